"""The shipped library of material cards, and cards from a user's own files.

The library is read lazily: its files are cut at their `[[material]]` headers, and a card is parsed
when it is first asked for. A formula uses a dozen of some two hundred cards, so this keeps the
start of a command short.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from zincite.errors import InputError
from zincite.formula.card_reading import read_materials
from zincite.formula.documents import Document, nearest, parse_document, read_document
from zincite.formula.material import Material

__all__ = ["card_id", "library", "read_cards", "suggest"]

_ID = re.compile(r'^id = "([^"]+)"$', re.MULTILINE)
_CUT = re.compile(r"^\[\[material\]\]$", re.MULTILINE)
_MAX_FOLDER_FILES = 500


class _Library(Mapping[str, Material]):
    """Cards by id, each parsed when it is first asked for."""

    def __init__(self) -> None:
        self._pieces: dict[str, tuple[str, str]] = {}
        self._cards: dict[str, Material] = {}
        folder = files("zincite.data").joinpath("materials")
        for entry in sorted(folder.iterdir(), key=lambda item: item.name):
            if entry.name.endswith(".toml"):
                self._add(entry.name, entry.read_text("utf-8"))

    def _add(self, name: str, text: str) -> None:
        for piece in _CUT.split(text)[1:]:
            found = _ID.search(piece)
            if found is None or found[1] in self._pieces:
                raise InputError(
                    f"library file {name}: a card has no id or a doubled one, expected one each"
                )
            self._pieces[found[1]] = (name, piece)

    def __getitem__(self, key: str) -> Material:
        card = self._cards.get(key)
        if card is None:
            name, piece = self._pieces[key]
            document = parse_document(f"[[material]]{piece}", f"library file {name}")
            (card,) = read_materials(document)
            self._cards[key] = card
        return card

    def __contains__(self, key: object) -> bool:
        return key in self._pieces

    def __iter__(self) -> Iterator[str]:
        return iter(self._pieces)

    def __len__(self) -> int:
        return len(self._pieces)


@cache
def library() -> Mapping[str, Material]:
    """Return the shipped cards by id, in order of the files.

    Examples
    --------
    >>> library()["water"].inci
    'Aqua'
    """
    return _Library()


def card_id(inci: str) -> str:
    """Return the id that a single substance's card has: INCI in lower case with hyphens.

    Examples
    --------
    >>> card_id("Caprylic/Capric Triglyceride")
    'caprylic-capric-triglyceride'
    """
    if inci.strip().lower() in ("aqua", "water"):
        return "water"
    return re.sub(r"[^a-z0-9]+", "-", inci.lower()).strip("-")


def suggest(wanted: str, extra: Mapping[str, Material] | None = None) -> tuple[str, ...]:
    """Return up to three known ids that are most like a wanted one.

    Parameters
    ----------
    wanted : str
        What a user wrote.
    extra : mapping of str to Material, optional
        Cards beside the library's.
    """
    known = [*library(), *(extra or {})]
    name = card_id(wanted)
    close = list(nearest(name, known))
    holding = sorted((i for i in known if name and (name in i or i in name)), key=len)
    return tuple(dict.fromkeys([*close, *holding]))[:3]


def read_cards(path: str | Path) -> dict[str, Material]:
    """Return the cards of one TOML file or of all TOML files of a folder (not its sub-folders).

    Parameters
    ----------
    path : str or Path
        File or folder.

    Returns
    -------
    dict of str to Material
        By id.

    Raises
    ------
    InputError
        If it cannot be read, holds no card, or two files give the same id.
    """
    where = Path(path)
    if not where.is_dir():
        return _cards_of(read_document(path, "material cards"))
    names = sorted(where.glob("*.toml"))
    if not names:
        raise InputError(f"{path}: holds no .toml file, expected a folder of material cards")
    if len(names) > _MAX_FOLDER_FILES:
        raise InputError(
            f"{path}: holds {len(names)} .toml files, expected at most {_MAX_FOLDER_FILES}"
        )
    found: dict[str, Material] = {}
    origin: dict[str, Path] = {}
    for name in names:
        for key, card in _cards_of(read_document(name, "material cards")).items():
            if key in found:
                raise InputError(
                    f"{name}: material {key!r} stands in {origin[key].name} already, "
                    "expected each id once"
                )
            found[key], origin[key] = card, name
    return found


def _cards_of(document: Document) -> dict[str, Material]:
    unknown = [key for key in document.data if key != "material"]
    if unknown:
        document.top().fail(
            f"unknown key {unknown[0]!r}, expected [[material]] cards only", key=unknown[0]
        )
    cards = read_materials(document)
    if not cards:
        document.top().fail("holds no [[material]], expected at least one card")
    return {card.id: card for card in cards}
