"""Bench readings: repeated values of one quantity, and drops counted under the microscope."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from zincite.evaluation.assay.plate_statistics import plate_mean
from zincite.evaluation.assay.reading import read_size_distribution
from zincite.evaluation.assay.reading.records import ColumnRule, read_records
from zincite.evaluation.assay.sizes import convert_weighting

__all__ = ["READ_QUANTITIES", "Drops", "Readings", "evaluate_drops", "evaluate_readings"]

READ_QUANTITIES = {
    "viscosity": ("viscosity_mPas", "mPa s"),
    "density": ("density_g_ml", "g/mL"),
    "ph": ("ph", ""),
}
"""Quantities that a bench instrument shows as a number: key in the notebook and unit."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Readings of one quantity.

    Attributes
    ----------
    method : str
    quantity, unit : str
        Key as in a prediction.
    mean : float
    sd, low, high : float or None
        Standard deviation and 95 % interval of the mean; None with a single reading.
    values : tuple of float
        As read.
    understood : tuple of str
        What was understood of the file.
    """

    method: str
    quantity: str
    unit: str
    mean: float
    sd: float | None
    low: float | None
    high: float | None
    values: tuple[float, ...]
    understood: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what the notebook keeps."""
        return asdict(self)


def evaluate_readings(path: str | Path, kind: str) -> Readings:
    """Return the mean of a file's readings.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with a column named as the quantity, a row a reading.
    kind : str
        One of `READ_QUANTITIES`.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    quantity, unit = READ_QUANTITIES[kind]
    layout = {
        kind: ColumnRule((quantity,)),
        "reading": ColumnRule(("no", "number", "run"), text=True, needed=False),
    }
    found = read_records(path, layout)
    values = tuple(float(row.number(kind) or 0.0) for row in found.rows)
    mean = plate_mean(values)
    return Readings(
        f"mean of {len(values)} readings",
        quantity,
        unit,
        mean.mean,
        mean.sd,
        mean.low,
        mean.high,
        values,
        found.understood,
    )


@dataclass(frozen=True, slots=True)
class Drops:
    """Counted drops.

    Attributes
    ----------
    method : str
    d32_um : float
        Sauter diameter, sum of d^3 over sum of d^2. [um]
    understood : tuple of str
        What was understood of the file.
    """

    method: str
    d32_um: float
    understood: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what the notebook keeps."""
        return asdict(self)


def evaluate_drops(path: str | Path) -> Drops:
    """Return the Sauter diameter of a count.

    Parameters
    ----------
    path : str or Path
        As `read_size_distribution`, by number or by volume.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    found = read_size_distribution(path)
    volume = convert_weighting(
        found.diameter_nm, found.share, weighting=found.weighting, to="volume"
    )
    d32_nm = 1.0 / float((volume / found.diameter_nm).sum())
    return Drops("Sauter diameter of counted drops", d32_nm / 1000, found.understood)
