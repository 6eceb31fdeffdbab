"""Reading of particle-size distributions by number, volume or intensity."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.tables import FoundTable, find_table, number_at

__all__ = ["WEIGHTINGS", "SizeFile", "read_size_distribution"]

WEIGHTINGS = ("number", "volume", "intensity")

_WEIGHTING = {
    "number": re.compile(r"\bnum|\bq0|\banzahl|\bnombre|\bcount"),
    "volume": re.compile(r"\bvol|\bq3|\bmass\b|\bmasse"),
    "intensity": re.compile(r"\bintens"),
}
_CUMULATIVE = re.compile(r"\bcum|under\s?size|passing|finer|\bbelow\b|durchgang|summe")
_OVERSIZE = re.compile(r"over\s?size|retained|\babove\b|r\u00fcckstand")
_UPPER_Q = re.compile(r"(?<![dA-Za-z])Q[03](?![A-Za-z0-9])")
_PER_LOG = re.compile(r"/\s?d\s?\(?(?:log|ln|lg)|per log|q[03]\s?(?:\*|lg|log)", re.I)
_PER_WIDTH = re.compile(r"1/(?:nm|um|\u00b5m|\u03bcm)|/\s?d\s?[xd]\b", re.I)
_SHARE = re.compile(r"%|share|freq|percent|fraction|density|distribution|amount|anteil")
_DIAMETER = re.compile(
    r"\b(?:size|diam\w*|d|x|channel|class|durchmesser|gr\u00f6(?:\u00df|ss)e|taille)\b|particle"
)
_BOUND = {
    "lower": re.compile(r"\b(?:lower|from|von|min)\b|size low"),
    "upper": re.compile(r"\b(?:upper|to|bis|max)\b|size high"),
}
_NM = re.compile(r"(?<![a-z])nm(?![a-z])|nanomet", re.I)
_UM = re.compile(r"(?<![a-z])(?:u|\u00b5|\u03bc)m(?![a-z])|micron|micromet", re.I)
_FLAGS = {
    "intensity": "Weighted by intensity: it never decides whether a material is nano.",
    "volume": "Weighted by volume: the nano decision asks for numbers of particles.",
}
_COMPLETE = 0.95
_LEAST_CLASSES = 3


@dataclass(frozen=True, slots=True, eq=False)
class SizeFile:
    """A size distribution.

    Attributes
    ----------
    name : str
        File name.
    diameter_nm : ndarray, shape (n,)
        Class middles, rising. [nm]
    share : ndarray, shape (n,)
        Share of each class by `weighting`, summing to 1. [-]
    weighting : str
        "number", "volume" or "intensity".
    was_cumulative : bool
        Whether the file holds a cumulative curve.
    d10_nm, d50_nm, d90_nm : float or None
        Percentiles by `weighting`; None below the first class of a cumulative curve. [nm]
    flags : tuple of str
        What the distribution must not be used for.
    understood : tuple of str
        What the reader understood, in sentences.
    """

    name: str
    diameter_nm: NDArray[np.float64]
    share: NDArray[np.float64]
    weighting: str
    was_cumulative: bool
    d10_nm: float | None
    d50_nm: float | None
    d90_nm: float | None
    flags: tuple[str, ...]
    understood: tuple[str, ...]

    @property
    def can_decide_nano(self) -> bool:
        """Whether the nano decision, which asks for numbers of particles, may use it."""
        return self.weighting == "number"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.name,
            "weighting": self.weighting,
            "d10_nm": self.d10_nm,
            "d50_nm": self.d50_nm,
            "d90_nm": self.d90_nm,
            "can_decide_nano": self.can_decide_nano,
            "diameter_nm": self.diameter_nm.tolist(),
            "share": self.share.tolist(),
            "flags": list(self.flags),
            "understood": list(self.understood),
        }


def read_size_distribution(
    path: str | Path,
    *,
    weighting: str | None = None,
    unit: str | None = None,
    decimal: str | None = None,
) -> SizeFile:
    """Return the size distribution of an instrument's file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with a column of diameters (or of lower and upper bounds) and one of
        shares or a cumulative curve.
    weighting : str, optional
        "number", "volume" or "intensity" where the file does not say or holds several.
    unit : str, optional
        "nm" or "um" where the file does not say.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    SizeFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.

    Notes
    -----
    A cumulative curve becomes the share between neighbouring diameters, at their geometric mean.
    Percentiles are interpolated in the logarithm of the diameter; classes without stated bounds
    meet at the geometric mean of neighbouring middles.
    """
    if weighting is not None and weighting not in WEIGHTINGS:
        raise InputError(
            f"weighting is {shown(weighting)}, expected one of {', '.join(WEIGHTINGS)}"
        )
    if unit not in (None, "nm", "um"):
        raise InputError(f"unit is {shown(unit)}, expected 'nm' or 'um'")
    grid = read_grid(path, decimal=decimal)
    roles = ["diameter", "lower", "upper", *_share_roles()]
    table = find_table(
        grid,
        _role,
        required=("diameter|upper", "|".join(_share_roles())),
        numeric=roles,
        names={"|".join(_share_roles()): ("share", "Volume %", "Cumulative number %")},
    )
    role, by = _choose(table, weighting)
    _refuse_swapped(table, role)
    factor, found_unit = _unit(table, unit)
    edges, middles, rows = _diameters(table, factor)
    values = np.array([number_at(table, row, role, least=0.0) for row in rows])
    below = _cumulative_curve(table, role, rows, values)
    cumulative = below is not None
    if below is None:
        share = _density(table, role, values, edges)
        d10, d50, d90 = _percentiles(edges, np.concatenate([[0.0], np.cumsum(share)]))
    else:
        upper = edges[1:] if "lower" in table.columns else middles
        share = np.maximum(np.diff(below, prepend=0.0), 0.0)
        share = share / share.sum()
        d10, d50, d90 = _percentiles(upper, below / below[-1])
        middles = np.concatenate([upper[:1], np.sqrt(upper[1:] * upper[:-1])])
    kind = "Cumulative curve" if cumulative else "Shares"
    understood = (
        grid.describe(),
        *grid.notes,
        f"Diameters in {found_unit} from {_place(table)}, {len(rows)} classes from "
        f"{middles[0]:.4g} to {middles[-1]:.4g} nm.",
        f"{kind} by {by} from {table.place(role)}.",
        *table.skipped[:3],
    )
    flags = tuple(_FLAGS[key] for key in (by,) if key in _FLAGS)
    return SizeFile(grid.name, middles, share, by, cumulative, d10, d50, d90, flags, understood)


def _share_roles() -> list[str]:
    return [
        f"{by}{form}" for by in (*WEIGHTINGS, "share") for form in ("", " cumulative", " oversize")
    ]


def _role(header: str) -> str | None:
    low = header[:120].lower().replace("_", " ")
    by = [name for name, pattern in _WEIGHTING.items() if pattern.search(low)]
    cumulative = bool(_CUMULATIVE.search(low) or _UPPER_Q.search(header[:120]))
    oversize = bool(_OVERSIZE.search(low))
    for bound, pattern in _BOUND.items():
        if pattern.search(low) and not by and not cumulative and not oversize:
            return bound
    if len(by) > 1:
        return None
    if not by and not cumulative and not oversize and _DIAMETER.search(low):
        return "diameter"
    if by or cumulative or oversize or _SHARE.search(low):
        form = " oversize" if oversize else " cumulative" if cumulative else ""
        return f"{by[0] if by else 'share'}{form}"
    return "diameter" if _NM.fullmatch(low) or _UM.fullmatch(low) else None


def _choose(table: FoundTable, weighting: str | None) -> tuple[str, str]:
    """Return the column to use and its weighting."""
    grid = table.grid
    roles = [role for role in _share_roles() if role in table.columns]
    by = list(dict.fromkeys(role.split()[0] for role in roles))
    if by == ["share"]:
        stated = weighting or _stated_weighting(grid, table)
        if stated is None:
            grid.fail(
                f"{table.place(roles[0])} does not say whether shares are by number, volume or "
                "intensity, expected it in a header (or say weighting=)"
            )
        return roles[0], stated
    named = [name for name in by if name != "share"]
    if weighting is not None and weighting not in named:
        grid.fail(
            f"holds shares by {' and '.join(named)}, though {weighting} was asked for, "
            "expected the weighting that the file names"
        )
    if weighting is None and len(named) > 1:
        places = " and ".join(f"{name}" for name in named)
        grid.fail(
            f"holds shares by {places} in {_line_of(table)}, expected one of them (say "
            f"weighting={named[0]!r} or weighting={named[1]!r})"
        )
    chosen = weighting or named[0]
    return next(role for role in roles if role.split()[0] == chosen), chosen


def _refuse_swapped(table: FoundTable, role: str) -> None:
    size = "diameter" if "diameter" in table.columns else "upper"
    share_header = table.header_text(role)
    lengths = _NM.search(share_header) or _UM.search(share_header)
    if "%" in table.header_text(size) or (lengths and not _PER_WIDTH.search(share_header)):
        table.grid.fail(
            f"{table.place(size)} and {table.place(role)} look swapped by their units, expected "
            "diameters in nm or um and shares in %"
        )


def _line_of(table: FoundTable) -> str:
    sheet, number = table.grid.row_origin[table.header]
    return f"row {number} of sheet {shown(sheet)}" if sheet else f"row {number}"


def _stated_weighting(grid: Grid, table: FoundTable) -> str | None:
    found = {
        name
        for text in _texts_above(grid, table)
        for name, pattern in _WEIGHTING.items()
        if pattern.search(text[:200].lower().replace("_", " "))
    }
    return found.pop() if len(found) == 1 else None


def _texts_above(grid: Grid, table: FoundTable) -> list[str]:
    return [
        cell for row in grid.cells[: table.rows[0]] for cell in row[:50] if isinstance(cell, str)
    ]


def _unit(table: FoundTable, unit: str | None) -> tuple[float, str]:
    """Return nm per unit of the diameters and the unit's name."""
    role = "diameter" if "diameter" in table.columns else "upper"
    for texts in ([table.header_text(role)], _texts_above(table.grid, table)):
        nm = any(_NM.search(text[:120]) for text in texts)
        um = any(_UM.search(text[:120]) for text in texts)
        if nm != um:
            found = "nm" if nm else "um"
            if unit not in (None, found):
                table.grid.fail(
                    f"{table.place(role)} is in {found}, though {unit} was asked for, expected the "
                    "unit that the file names"
                )
            return (1.0 if nm else 1000.0), found
    if unit is None:
        table.grid.fail(f"{table.place(role)} states no unit, expected nm or um (or say unit=)")
    return (1.0 if unit == "nm" else 1000.0), unit


def _diameters(
    table: FoundTable, factor: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], list[int]]:
    """Return class edges (n + 1) and middles (n) in nm, rising, and the rows in that order."""
    bounds = "lower" in table.columns and "upper" in table.columns
    role = "upper" if "diameter" not in table.columns else "diameter"
    rows = list(table.rows)
    if len(rows) < _LEAST_CLASSES:
        table.grid.fail(f"holds {len(rows)} classes, expected at least {_LEAST_CLASSES}")
    above = -np.inf if bounds else 0.0
    diameter = np.array([number_at(table, row, role, least=0.0, above=above) for row in rows])
    if diameter[-1] < diameter[0]:
        rows, diameter = rows[::-1], diameter[::-1]
    steps = np.diff(diameter)
    if (steps <= 0).any():
        row = rows[int(np.argmax(steps <= 0)) + 1]
        found = diameter[int(np.argmax(steps <= 0)) + 1]
        table.grid.fail(
            f"holds a diameter of {found:g} that repeats or is out of order, expected each once, "
            "rising or falling",
            row,
            table.columns[role],
        )
    diameter = diameter * factor
    if bounds:
        low = np.array([number_at(table, row, "lower", least=0.0) for row in rows]) * factor
        high = np.array([number_at(table, row, "upper", above=0.0) for row in rows]) * factor
        if (high <= low).any():
            row = rows[int(np.argmax(high <= low))]
            table.grid.fail(
                "is not above its lower bound, expected rising bounds", row, table.columns["upper"]
            )
        edges = np.concatenate([[max(float(low[0]), 0.5 * float(high[0]))], high])
        return edges, np.sqrt(edges[:-1] * edges[1:]), rows
    inner = np.sqrt(diameter[1:] * diameter[:-1])
    edges = np.concatenate([[diameter[0] ** 2 / inner[0]], inner, [diameter[-1] ** 2 / inner[-1]]])
    return edges, diameter, rows


def _density(
    table: FoundTable, role: str, values: NDArray[np.float64], edges: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the share of each class, summing to 1."""
    header = table.header_text(role)
    if _PER_LOG.search(header):
        values = values * np.diff(np.log(edges))
    elif _PER_WIDTH.search(header):
        values = values * np.diff(edges)
    elif "%" in header and abs(float(values.sum()) - 100.0) > 100.0 * (1 - _COMPLETE):
        table.grid.fail(
            f"{table.place(role)} sums to {values.sum():.4g} %, expected 100 % (is the file whole?)"
        )
    total = float(values.sum())
    if not (np.isfinite(total) and total > 0):
        table.grid.fail(f"{table.place(role)} holds no share above 0, expected some")
    return np.asarray(values / total)


def _looks_cumulative(values: NDArray[np.float64]) -> bool:
    rising = bool((np.diff(values) >= 0).all())
    full = min(abs(float(values[-1]) - 1.0), abs(float(values[-1]) - 100.0) / 100.0) < 0.01
    return rising and full and float(values.sum()) > 1.5 * float(values[-1])


def _cumulative_curve(
    table: FoundTable, role: str, rows: Sequence[int], values: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """Return the share below each diameter, 0 to 1, or None where the column holds classes."""
    oversize = role.endswith("oversize")
    if not (oversize or role.endswith("cumulative") or _looks_cumulative(values)):
        return None
    top = float(values.max())
    scale = 100.0 if top > 1.5 else 1.0
    below = 1.0 - values / scale if oversize else values / scale
    wrong = np.flatnonzero(np.diff(below) < -1e-3)
    if wrong.size or top > 1.02 * scale:
        row = rows[int(wrong[0]) + 1] if wrong.size else rows[int(values.argmax())]
        table.grid.fail(
            "breaks the cumulative curve, expected values that run steadily between 0 and 100 %",
            row,
            table.columns[role],
        )
    if below[-1] < _COMPLETE:
        table.grid.fail(
            f"{table.place(role)} ends at {100 * below[-1]:.4g} %, expected a curve to 100 % "
            "(is the file whole?)"
        )
    return np.asarray(below)


def _percentiles(
    diameter_nm: NDArray[np.float64], below: NDArray[np.float64]
) -> tuple[float | None, float | None, float | None]:
    """Return d10, d50 and d90, linear in ln d; None where the curve starts above. [nm]"""
    rising = np.concatenate([[True], np.diff(below) > 0])
    curve, points = below[rising], np.log(diameter_nm[rising])
    d10, d50, d90 = (
        float(np.exp(np.interp(target, curve, points))) if target >= curve[0] else None
        for target in (0.1, 0.5, 0.9)
    )
    return d10, d50, d90


def _place(table: FoundTable) -> str:
    return table.place("diameter" if "diameter" in table.columns else "upper")
