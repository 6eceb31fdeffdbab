"""Reading of colorimeter L*a*b* values on skin, plates or cards."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.tables import (
    FoundTable,
    find_table,
    header_key,
    number_at,
    text_at,
)

__all__ = ["CONDITIONS", "ColourFile", "ColourRow", "condition_of", "read_colour"]

CONDITIONS = ("before", "after", "black", "white")
"""What a condition may be: bare skin is "before", skin with the film "after"; card grounds."""

_LAB = re.compile(
    r"(?:cie\s?)?(?:(?P<c>l|a|b)\s?(?:\*|\u2217|star)?|(?P<w>lightness))(?P<rest>(?:[\s(\[_,;:/-].*)?)"
)
_WORDS = {
    "before": r"before|bare|untreated|initial|baseline|pre|without|naked|vor|avant|t0|blank",
    "after": r"after|film|treated|applied|with|coated|post|product|nach|apr[e\u00e8]s|cream|t1",
    "black": r"black|schwarz|noir",
    "white": r"white|wei(?:\u00df|ss)|blanc",
}
_CONDITION = {
    name: re.compile(rf"(?<![a-z])(?:{words})(?![a-z])") for name, words in _WORDS.items()
}
_AFTER_WORD = re.compile(r"(?<![a-z])(?:after|post|nach|apr[e\u00e8]s)(?![a-z])")
_NAMES: dict[str, tuple[str, ...]] = {
    "subject": ("volunteer", "panellist", "panelist", "sample", "sample name", "subject id",
                "subject no", "volunteer no", "id", "no", "name", "proband", "plate", "card"),
    "site": ("spot", "area", "position", "zone", "location", "point", "test area", "region"),
    "condition": ("state", "treatment", "step", "phase", "measurement", "time", "skin",
                  "background", "ground"),
}  # fmt: skip
_KEYS = {header_key(name): role for role, names in _NAMES.items() for name in (role, *names)}
_ILLUMINANT = re.compile(r"(?<![A-Za-z0-9])(D\s?(?:50|55|65|75)|F(?:2|7|11))(?![0-9])", re.I)
_ILLUMINANT_LETTER = re.compile(r"illuminant\W{0,3}(A|C)(?![A-Za-z])", re.I)
_OBSERVER = re.compile(r"(?<![\d.])(2|10)\s?(?:\u00b0|deg|\u00ba)", re.I)


@dataclass(frozen=True, slots=True)
class ColourRow:
    """One colorimeter reading.

    Attributes
    ----------
    subject, site : str
        As printed, "" where the file has no such column.
    condition : str
        One of `CONDITIONS`, or "" where the file has one condition only.
    L, a, b : float
        CIELAB. [-]
    """

    subject: str
    site: str
    condition: str
    L: float
    a: float
    b: float


@dataclass(frozen=True, slots=True)
class ColourFile:
    """Colorimeter readings of one file.

    Attributes
    ----------
    name : str
        File name.
    rows : tuple of ColourRow
        Readings in file order.
    illuminant : str or None
        Such as "D65", where stated.
    observer_deg : int or None
        2 or 10, where stated. [degree]
    understood : tuple of str
        What the reader understood, in sentences.
    """

    name: str
    rows: tuple[ColourRow, ...]
    illuminant: str | None
    observer_deg: int | None
    understood: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.name,
            "illuminant": self.illuminant,
            "observer_deg": self.observer_deg,
            "rows": [
                {
                    "subject": row.subject,
                    "site": row.site,
                    "condition": row.condition or None,
                    "L": row.L,
                    "a": row.a,
                    "b": row.b,
                }
                for row in self.rows
            ],
            "understood": list(self.understood),
        }


def condition_of(text: str) -> str | None:
    """Return the condition that a text names, None where it names none or two.

    Examples
    --------
    >>> condition_of("with film")
    'after'
    """
    low = text[:80].lower().replace("_", " ")
    # "before film", "without product": the noun says only what is still to come
    found = [name for name, pattern in _CONDITION.items() if pattern.search(low)]
    if found == ["before", "after"] and not _AFTER_WORD.search(low):
        return "before"
    return found[0] if len(found) == 1 else None


def read_colour(path: str | Path, *, decimal: str | None = None) -> ColourFile:
    """Return the L*a*b* readings of an instrument's file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX, one reading a row with a column of conditions, or the conditions
        side by side ("L* before", "L* after").
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    ColourFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal, thousands_possible=False)
    conditions = _conditions_of_header(grid)
    required = [f"{letter} {c}".strip() for c in conditions for letter in "Lab"]
    table = find_table(grid, _role, required=required, numeric=required)
    rows = tuple(row for condition in conditions for row in _readings(table, condition))
    if "subject" in table.columns or "site" in table.columns:
        _refuse_unnamed_states(table, rows)
    illuminant, observer = _stated(grid, table)
    counts = Counter(row.condition or "one condition" for row in rows)
    shown_counts = ", ".join(f"{count} {condition}" for condition, count in counts.items())
    light = f"{illuminant or 'no illuminant'}, {observer or 'no'} degree observer stated"
    understood = (
        grid.describe(),
        *grid.notes,
        f"{len(rows)} readings of L*a*b* ({shown_counts}) of {_subjects(rows)}; {light}.",
        *table.skipped[:3],
    )
    return ColourFile(grid.name, rows, illuminant, observer, understood)


def _subjects(rows: tuple[ColourRow, ...]) -> str:
    count = len({row.subject for row in rows})
    return "1 subject" if count == 1 else f"{count} subjects"


def _role(header: str) -> str | None:
    low = header[:80].lower().strip()
    found = _LAB.fullmatch(low)
    if found:
        letter = "L" if found["w"] or found["c"] == "l" else found["c"]
        return f"{letter} {condition_of(found['rest']) or ''}".strip()
    return _KEYS.get(header_key(header))


def _conditions_of_header(grid: Grid) -> list[str]:
    """Return [""] for readings below each other, or the conditions that stand side by side."""
    for cells in grid.cells:
        roles = {_role(cell) for cell in cells if isinstance(cell, str)}
        if {"L", "a", "b"} <= roles:
            return [""]
        wide = [c for c in CONDITIONS if {f"L {c}", f"a {c}", f"b {c}"} <= roles]
        if wide:
            return wide
    return [""]


def _readings(table: FoundTable, condition: str) -> list[ColourRow]:
    found = []
    for row in table.rows:
        numbers = {}
        for letter in "Lab":
            role = f"{letter} {condition}".strip()
            least, most = (0.0, 105.0) if letter == "L" else (-130.0, 130.0)
            numbers[letter] = number_at(table, row, role, least=least, most=most)
        names = {
            role: (text_at(table, row, role) or "" if role in table.columns else "")
            for role in ("subject", "site")
        }
        state = condition or _condition_at(table, row)
        found.append(ColourRow(names["subject"], names["site"], state, **numbers))
    return found


def _condition_at(table: FoundTable, row: int) -> str:
    if "condition" not in table.columns:
        return ""
    text = text_at(table, row, "condition")
    condition = condition_of(text) if text else None
    if condition is None:
        table.grid.fail(
            f"holds {shown(text) if text else 'nothing'} for the condition, expected before or "
            "after, bare or film, black or white",
            row,
            table.columns["condition"],
        )
    return condition


def _refuse_unnamed_states(table: FoundTable, rows: tuple[ColourRow, ...]) -> None:
    """Refuse repeated subjects without conditions: they may be replicates or before and after."""
    if any(row.condition for row in rows):
        return
    counts = Counter((row.subject, row.site) for row in rows)
    (subject, site), most = counts.most_common(1)[0]
    if most > 1:
        who = " ".join(part for part in (subject, site) if part)
        table.grid.fail(
            f"has {most} readings of {shown(who)} and no column of conditions, expected one that "
            "says before or after, bare or film"
        )


def _stated(grid: Grid, table: FoundTable) -> tuple[str | None, int | None]:
    """Return illuminant and observer named anywhere in the file."""
    lights: set[str] = set()
    observers: set[int] = set()
    for cells in grid.cells:
        for cell in cells:
            if isinstance(cell, str):
                text = cell[:120]
                lights |= {x.upper().replace(" ", "") for x in _ILLUMINANT.findall(text)}
                lights |= {x.upper() for x in _ILLUMINANT_LETTER.findall(text)}
                observers |= {int(x) for x in _OBSERVER.findall(text)}
    if len(lights) > 1 or len(observers) > 1:
        found = " and ".join(sorted(lights) if len(lights) > 1 else map(str, sorted(observers)))
        what = "illuminants" if len(lights) > 1 else "observers"
        grid.fail(f"names the {what} {found}, expected one for all readings of a file")
    return (lights.pop() if lights else None), (observers.pop() if observers else None)
