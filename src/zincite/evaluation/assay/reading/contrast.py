"""Reading of contrast cards: the film over the black and the white half."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.colour import condition_of, read_colour
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.tables import FoundTable, find_table, number_at

__all__ = ["ContrastFile", "read_contrast"]

_OTHER = re.compile(r"(?:cie\s?)?[abcxz]\s?(?:\*|star)?(?![a-z])")
_Y = re.compile(r"(?<![a-z])y(?![a-z])")
_L = re.compile(r"(?<![a-z])l\s?(?:\*|star)?(?![a-z])|lightness")
_GROUNDS = ("black", "white")


@dataclass(frozen=True, slots=True)
class ContrastFile:
    """Readings of one file.

    Attributes
    ----------
    name : str
    over_black, over_white : tuple of float
        One a card, on `scale`.
    scale : str
        "Y" or "L*".
    understood : tuple of str
    """

    name: str
    over_black: tuple[float, ...]
    over_white: tuple[float, ...]
    scale: str
    understood: tuple[str, ...]


def read_contrast(
    path: str | Path, *, scale: str | None = None, decimal: str | None = None
) -> ContrastFile:
    """Return readings over black and white.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX: a row a card with two columns ("Y black", "Y white", or L*), or
        L*a*b* with a column that says black or white.
    scale : {"Y", "L*"}, optional
        Where the headers do not say.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    prefix = _prefix(grid)
    if prefix is None and _has_lab(grid):
        return _from_colour(path, decimal)
    roles = [f"{prefix or ''} {ground}".strip() for ground in _GROUNDS]
    if prefix is None:
        roles = ["Y black", "Y white"]
    table = find_table(grid, _role, required=roles, numeric=roles)
    stated = prefix or scale
    if not stated:
        grid.fail(
            f"{table.place(roles[0])} does not say whether readings are Y or L*, expected it in "
            "the headers (or say --scale)"
        )
    if prefix and scale not in (None, prefix):
        grid.fail(
            f"{table.place(roles[0])} holds {prefix} though {scale} was asked for, expected the "
            "scale that the file names"
        )
    black, white = (_column(table, role) for role in roles)
    return ContrastFile(grid.name, black, white, stated, _preview(grid, table, len(black), stated))


def _role(header: str) -> str | None:
    low = header[:80].lower().replace("_", " ").strip()
    ground = condition_of(low)
    if ground not in _GROUNDS or _OTHER.match(low):
        return None
    scale = "Y" if _Y.search(low) else "L*" if _L.search(low) else ""
    return f"{scale} {ground}".strip()


def _prefix(grid: Grid) -> str | None:
    """Return the scale of the first row that names both grounds on it, None where none does."""
    for cells in grid.cells:
        roles = {_role(cell) for cell in cells if isinstance(cell, str)}
        for prefix in ("Y", "L*", ""):
            if {f"{prefix} {ground}".strip() for ground in _GROUNDS} <= roles:
                return prefix
    return None


def _has_lab(grid: Grid) -> bool:
    wanted = {"l", "a", "b"}
    return any(
        wanted <= {c.lower().strip(" *") for c in cells if isinstance(c, str) and len(c) < 6}
        for cells in grid.cells
    )


def _from_colour(path: str | Path, decimal: str | None) -> ContrastFile:
    found = read_colour(path, decimal=decimal)
    readings: dict[str, dict[tuple[str, str], list[float]]] = {g: {} for g in _GROUNDS}
    for row in found.rows:
        if row.condition in readings:
            readings[row.condition].setdefault((row.subject, row.site), []).append(row.L)
    cards = [key for key in readings["black"] if key in readings["white"]]
    unmatched = set(readings["black"]) ^ set(readings["white"])
    if unmatched or not cards:
        from zincite.evaluation.assay.reading.files import refuse

        who = " ".join(next(iter(sorted(unmatched)), ("", ""))).strip()
        refuse(
            found.name,
            (f"card {shown(who)} has" if unmatched else "no card has")
            + " readings over one ground only, expected black and white of each",
        )
    means = [
        tuple(sum(readings[g][card]) / len(readings[g][card]) for card in cards) for g in _GROUNDS
    ]
    return ContrastFile(found.name, means[0], means[1], "L*", found.understood)


def _column(table: FoundTable, role: str) -> tuple[float, ...]:
    return tuple(number_at(table, row, role, least=0.0) for row in table.rows)


def _preview(grid: Grid, table: FoundTable, count: int, scale: str) -> tuple[str, ...]:
    places = " and ".join(table.place(role) for role in table.columns if role != "card")
    cards = "1 card" if count == 1 else f"{count} cards"
    return (grid.describe(), *grid.notes, f"{cards}, {scale} from {places}.", *table.skipped[:3])
