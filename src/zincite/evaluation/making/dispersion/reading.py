"""Reading of the bench's files: ladders of dispersant, wet points and flow points."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.flow_curve import viscosity_unit
from zincite.evaluation.assay.reading.grid import read_grid
from zincite.evaluation.assay.reading.tables import FoundTable, find_table, number_at, text_at

__all__ = ["LadderFile", "PointsFile", "read_ladder", "read_points"]

_LADDER = {
    "viscosity": re.compile(r"visco|visko"),
    "dispersant": re.compile(r"dispers|wetting agent"),
    "solids": re.compile(r"solid|pigment"),
}
_POINTS = {
    "wet": re.compile(r"\bwet(?!ting agent)|netzpunkt"),
    "flow": re.compile(r"\bflow|fliess|fließ"),
    "pigment": re.compile(r"pigment|powder"),
    "liquid": re.compile(r"liquid|oil|vehicle|dispersant|agent|sample|pair|medium"),
}
_OF_ANOTHER = re.compile(r"formula|product|mill base|total|slurry|paste|batch")
_OF_PIGMENT = re.compile(r"(?:of|on|per)[ _]*(?:the[ _]*)?(?:pigment|powder)|pigment|powder")
_BY_VOLUME = re.compile(r"(?<![a-z])m[lL](?![a-z])|\bcm3\b")
_MOST_DISPERSANT = 60.0
_STEADY = 0.5  # solids may scatter by this much within one ladder [%], own rule


@dataclass(frozen=True, slots=True)
class LadderFile:
    """A ladder of dispersant at one content of solids.

    Attributes
    ----------
    name : str
        File name.
    dispersant_percent, viscosity_mPas : tuple of float
        Of each sample: dispersant per pigment and viscosity. [%], [mPa s]
    solids_percent : float or None
        Mean, where stated. [%]
    understood : tuple of str
    """

    name: str
    dispersant_percent: tuple[float, ...]
    viscosity_mPas: tuple[float, ...]
    solids_percent: float | None
    understood: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PointsFile:
    """Wet points and flow points.

    Attributes
    ----------
    name : str
        File name.
    liquids : tuple of str
        Of each measurement.
    wet_g_100g, flow_g_100g : tuple of float
        Liquid per 100 g of pigment. [g]
    understood : tuple of str
    """

    name: str
    liquids: tuple[str, ...]
    wet_g_100g: tuple[float, ...]
    flow_g_100g: tuple[float, ...]
    understood: tuple[str, ...]


def _role_in(patterns: dict[str, re.Pattern[str]], header: str) -> str | None:
    low = header[:80].lower().replace("_", " ")
    return next((role for role, pattern in patterns.items() if pattern.search(low)), None)


def read_ladder(path: str | Path, *, decimal: str | None = None) -> LadderFile:
    """Return the ladder of a file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with a row a sample: dispersant in % of the pigment, viscosity with
        its unit and, where stated, the solids; replicates are further rows.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    names = {
        "dispersant": ("dispersant, % of pigment",),
        "viscosity": ("viscosity, mPa s",),
    }
    table = find_table(
        grid,
        lambda header: _role_in(_LADDER, header),
        required=("dispersant", "viscosity"),
        numeric=("dispersant", "viscosity", "solids"),
        names=names,
    )
    header = table.header_text("dispersant").lower().replace("_", " ")
    if _OF_ANOTHER.search(header):
        grid.fail(f"{table.place('dispersant')} is of something else, expected % of the pigment")
    unit = viscosity_unit(table.header_text("viscosity"))
    if unit is None:
        grid.fail(f"{table.place('viscosity')} states no unit, expected viscosity in mPa s or Pa s")
    dispersant = tuple(
        number_at(table, row, "dispersant", least=0.0, most=_MOST_DISPERSANT) for row in table.rows
    )
    viscosity = tuple(number_at(table, row, "viscosity", above=0.0) * unit[0] for row in table.rows)
    solids = _solids(table)
    said = "" if _OF_PIGMENT.search(header) else " (taken as % of the pigment)"
    at = "no solids stated" if solids is None else f"{solids:.4g} % solids"
    understood = (
        grid.describe(),
        *grid.notes,
        f"{len(dispersant)} samples at {len(set(dispersant))} levels, {at}; dispersant from "
        f"{table.place('dispersant')}{said}, viscosity from {table.place('viscosity')} in "
        f"{unit[1]}.",
        *table.skipped[:3],
    )
    return LadderFile(grid.name, dispersant, viscosity, solids, understood)


def _solids(table: FoundTable) -> float | None:
    """Return the mean of the solids, which a ladder keeps fixed."""
    if "solids" not in table.columns:
        return None
    values = [
        number_at(table, row, "solids", above=0.0, most=95.0)
        for row in table.rows
        if table.cell(row, "solids") is not None
    ]
    if not values:
        return None
    if max(values) - min(values) > _STEADY:
        table.grid.fail(
            f"{table.place('solids')} runs from {min(values):g} to {max(values):g} %, expected "
            "one content of solids in a ladder"
        )
    return sum(values) / len(values)


def read_points(path: str | Path, *, decimal: str | None = None) -> PointsFile:
    """Return the wet points and flow points of a file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with a row a measurement: liquid, wet point and flow point in g per
        100 g of pigment, or in g beside a column of the pigment weighed.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    names = {
        "liquid": ("liquid", "oil", "sample"),
        "wet": ("wet point, g/100 g",),
        "flow": ("flow point, g/100 g",),
    }
    table = find_table(
        grid,
        lambda header: _role_in(_POINTS, header),
        required=("liquid", "wet", "flow"),
        numeric=("wet", "flow"),
        names=names,
    )
    for role in ("wet", "flow"):
        if _BY_VOLUME.search(table.header_text(role)):
            grid.fail(f"{table.place(role)} is by volume, expected grams of liquid")
    liquids, wet, flow = [], [], []
    for row in table.rows:
        name = text_at(table, row, "liquid")
        if name is None:
            grid.fail("holds nothing for the liquid, expected a name", row, table.columns["liquid"])
        scale = 100.0 / number_at(table, row, "pigment", above=0.0) if _weighed(table) else 1.0
        liquids.append(name)
        wet.append(scale * number_at(table, row, "wet", above=0.0))
        flow.append(scale * number_at(table, row, "flow", above=0.0))
        if flow[-1] < wet[-1]:
            grid.fail(
                f"holds a flow point of {flow[-1]:.4g} below the wet point of {wet[-1]:.4g} g per "
                f"100 g for {shown(name)}, expected at least as much",
                row,
                table.columns["flow"],
            )
    base = "per pigment weighed" if _weighed(table) else "per 100 g of pigment"
    understood = (
        grid.describe(),
        *grid.notes,
        f"{len(liquids)} measurements of {len(set(liquids))} liquids, in g {base}.",
        *table.skipped[:3],
    )
    return PointsFile(grid.name, tuple(liquids), tuple(wet), tuple(flow), understood)


def _weighed(table: FoundTable) -> bool:
    return "pigment" in table.columns
