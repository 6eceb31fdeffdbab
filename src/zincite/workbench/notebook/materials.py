"""Acts on materials: enter cards and lots."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from zincite.errors import InputError
from zincite.formula.library import read_cards
from zincite.notebook.lots import CertificateValue, add_lot, get_lot
from zincite.notebook.materials import add_material, keep_material
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

__all__ = ["enter_lot", "enter_materials"]


def enter_materials(
    where: Where, path: str | Path, *, who: str, reason: str = ""
) -> tuple[Entered, ...]:
    """Enter the cards of a file or folder; those that are there unchanged are passed over.

    Parameters
    ----------
    where : str, Path or Notebook
    path : str or Path
        TOML file of `[[material]]` cards, or a folder of such files.
    who : str
    reason : str
        What changed; needed for a card that is there in another version.

    Returns
    -------
    tuple of Entered
        One for each card that was entered, all or none of them.

    Raises
    ------
    InputError
        If a card cannot be read, the reason is missing, or no card is new.
    """
    cards = read_cards(path)
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            if len(cards) == 1:
                (card,) = cards.values()
                ids = [add_material(writer, card, reason)]
            else:
                kept = [keep_material(writer, card, reason) for card in cards.values()]
                ids = [id for id, is_new in kept if is_new]
        if not ids:
            raise InputError(
                f"{path}: the notebook has all {len(cards)} cards as they are, expected a change"
            )
        return tuple(entered(notebook, "material", id) for id in ids)


def enter_lot(
    where: Where,
    code: str,
    material: str,
    *,
    who: str,
    supplier: str = "",
    received_on: str = "",
    expires_on: str = "",
    note: str = "",
    values: Sequence[CertificateValue] = (),
) -> Entered:
    """Enter a lot; see `add_lot`. A lot that has expired by today is entered with a note."""
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_lot(
                writer,
                code,
                material,
                supplier=supplier,
                received_on=received_on,
                expires_on=expires_on,
                note=note,
                values=values,
            )
            lot = get_lot(writer.connection, id)
        today = datetime.date.today().isoformat()
        expired = f"lot {lot.code} expired on {lot.expires_on}"
        return entered(notebook, "lot", id, notes=[expired] if lot.expired_on(today) else [])
