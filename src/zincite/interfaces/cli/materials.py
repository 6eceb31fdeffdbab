"""`zincite materials`: the shipped cards."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.errors import UnknownMaterialError
from zincite.interfaces.cli.options import as_json

if TYPE_CHECKING:
    from zincite.formula.material import Material

__all__ = ["materials"]


@click.group()
def materials() -> None:
    """Look into the library of material cards."""


@materials.command("list")
@click.option("--function", "function", metavar="F", help='Such as dispersant or "UV filter".')
@click.option("--phase", metavar="P", help="oil, water, pigment or cool-down.")
@click.option("--search", "search", metavar="TEXT", help="Part of id, INCI name or note.")
@as_json
def list_materials(
    function: str | None, phase: str | None, search: str | None, as_json: bool
) -> None:
    """List cards by function, phase or text."""
    from zincite.errors import InputError
    from zincite.formula.formula import PHASE_KINDS
    from zincite.formula.library import library

    if phase is not None and phase not in PHASE_KINDS:
        raise InputError(f"--phase is {phase!r}, expected one of {', '.join(PHASE_KINDS)}")
    found = [
        card for card in library().values()
        if _matches(card, function, phase, search)
    ]  # fmt: skip
    if function is not None and not found and phase is None and search is None:
        known = sorted({name for card in library().values() for name in card.functions})
        raise InputError(f"--function is {function!r}, expected one of {', '.join(known)}")
    from zincite.interfaces.cli.materials_view import card_dict, show_list
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json({"materials": [card_dict(card) for card in found]})
        return
    screen = Screen()
    show_list(screen, found)
    screen.write()


def _matches(card: Material, function: str | None, phase: str | None, text: str | None) -> bool:
    wanted = (function or "").lower()
    if wanted and not any(wanted in name.lower() for name in card.functions):
        return False
    if phase is not None and card.phase != phase:
        return False
    return (text or "").lower() in " ".join((card.id, card.inci, card.notes)).lower()


@materials.command("show")
@click.argument("card_id", metavar="ID")
@as_json
def show_material(card_id: str, as_json: bool) -> None:
    """Show every value of one card with unit, range, evidence and source."""
    from zincite.formula.library import library, suggest

    if card_id not in library():
        close = suggest(card_id)
        hint = f"such as {', '.join(close)}" if close else "from `zincite materials list`"
        raise UnknownMaterialError(f"no material card has the id {card_id!r}, expected one {hint}")
    from zincite.interfaces.cli.materials_view import card_dict, show_card
    from zincite.interfaces.cli.terminal import Screen, print_json

    card = library()[card_id]
    if as_json:
        print_json(card_dict(card))
        return
    screen = Screen()
    show_card(screen, card)
    screen.write()
