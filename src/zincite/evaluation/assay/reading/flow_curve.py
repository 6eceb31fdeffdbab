"""Reading of flow curves: shear rate with viscosity or stress."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.tables import FoundTable, find_table, number_at

__all__ = ["FlowFile", "read_flow_curve", "viscosity_unit"]

_ROLES = {
    "stress": re.compile(r"stress|\btau\b|\u03c4|schubspannung|contrainte"),
    "shear_rate": re.compile(
        r"shear\s?rate|^rate\b|rate of shear|gamma|\u03b3|schergeschw|scherrate|taux de cis"
    ),
    "viscosity": re.compile(r"visco|visko|\beta\b|\u03b7"),
    "temperature": re.compile(r"temp"),
    "speed": re.compile(r"\brpm\b|\bspeed\b|drehzahl|1/min|min-1"),
}
_VISCOSITY_UNITS = (
    (
        re.compile(r"(?<![a-z])m\s?pa\W{0,2}s|(?<![a-z])cps?(?![a-z])|centipoise", re.I),
        1.0,
        "mPa s",
    ),
    (re.compile(r"(?<![a-z])pa\W{0,2}s", re.I), 1000.0, "Pa s"),
    (re.compile(r"(?<![a-z])p(?![a-z])|(?<!centi)poise", re.I), 100.0, "P"),
)
_STRESS_UNITS = (
    (re.compile(r"(?<![a-z])mpa(?!\W{0,2}s)", re.I), 0.001, "mPa"),
    (re.compile(r"dyn", re.I), 0.1, "dyn/cm2"),
    (re.compile(r"(?<![a-z])pa(?!\W{0,2}s)", re.I), 1.0, "Pa"),
)
_RATE_PER_MINUTE = re.compile(r"/\s?min|min\s?\^?-1", re.I)
_TEMPERATURE = re.compile(
    r"temp\w*[^\d]{0,20}?(-?\d+(?:[.,]\d+)?)\s?(?:\u00b0|\u00ba|deg)?\s?(c|f|k)?\b", re.I
)
_AGREE = 0.05
_AGREE_SHARE = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class FlowFile:
    """A flow curve.

    Attributes
    ----------
    name : str
        File name.
    shear_rate_1_s : ndarray, shape (n,)
        In file order, so that an up and a down ramp stay apart. [1/s]
    viscosity_mPas : ndarray, shape (n,)
        Apparent viscosity. [mPa s]
    stress_Pa : ndarray, shape (n,)
        Shear stress. [Pa]
    temperature_C : float or None
        Mean, where stated. [degree C]
    understood : tuple of str
        What the reader understood, in sentences.
    """

    name: str
    shear_rate_1_s: NDArray[np.float64]
    viscosity_mPas: NDArray[np.float64]
    stress_Pa: NDArray[np.float64]
    temperature_C: float | None
    understood: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.name,
            "shear_rate_1_s": self.shear_rate_1_s.tolist(),
            "viscosity_mPas": self.viscosity_mPas.tolist(),
            "stress_Pa": self.stress_Pa.tolist(),
            "temperature_C": self.temperature_C,
            "understood": list(self.understood),
        }


def read_flow_curve(path: str | Path, *, decimal: str | None = None) -> FlowFile:
    """Return the flow curve of a rheometer's file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with columns of shear rate and of viscosity or stress.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    FlowFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    grid = read_grid(path, decimal=decimal)
    _refuse_speed(grid)
    names = {
        "shear_rate": ("shear rate 1/s",),
        "viscosity|stress": ("viscosity mPa s", "stress Pa"),
    }
    table = find_table(
        grid,
        _role,
        required=("shear_rate", "viscosity|stress"),
        numeric=("shear_rate", "viscosity", "stress"),
        names=names,
    )
    rate = _column(table, "shear_rate")
    per_minute = bool(_RATE_PER_MINUTE.search(table.header_text("shear_rate")))
    rate = rate / 60.0 if per_minute else rate
    stress, stress_unit = _stress(table)
    viscosity, unit = _viscosity(table, rate, stress)
    if stress is None:
        stress = viscosity * 1e-3 * rate
    elif "viscosity" in table.columns:
        _check_agreement(table, rate, viscosity, stress)
    temperature = _temperature(table)
    warmth = f"{temperature:.4g} degrees C" if temperature is not None else "no temperature stated"
    sources = [
        f"{role.replace('_', ' ')} from {table.place(role)}"
        for role in ("shear_rate", "viscosity", "stress")
        if role in table.columns
    ]
    units = " and ".join(part for part in (unit, stress_unit) if part)
    understood = (
        grid.describe(),
        *grid.notes,
        f"{rate.size} points from {rate.min():g} to {rate.max():g} 1/s in {units}; {warmth}.",
        f"Columns: {', '.join(sources)}.",
        *table.skipped[:3],
    )
    return FlowFile(grid.name, rate, viscosity, stress, temperature, understood)


def _role(header: str) -> str | None:
    low = header[:80].lower().replace("_", " ")
    return next((role for role, pattern in _ROLES.items() if pattern.search(low)), None)


def _refuse_speed(grid: Grid) -> None:
    for cells in grid.cells:
        roles = {_role(cell) for cell in cells if isinstance(cell, str)}
        if "speed" in roles and "viscosity" in roles and "shear_rate" not in roles:
            grid.fail(
                "gives viscosity by rotational speed, which is no shear rate without the spindle's "
                "geometry, expected a column of shear rate in 1/s"
            )


def _column(table: FoundTable, role: str) -> NDArray[np.float64]:
    return np.array([number_at(table, row, role, above=0.0) for row in table.rows])


def viscosity_unit(header: str) -> tuple[float, str] | None:
    """Return the factor to mPa s and the unit that a header states, None where it states none.

    Examples
    --------
    >>> viscosity_unit("viscosity (Pa s)")
    (1000.0, 'Pa s')
    """
    return _unit_factor(header, _VISCOSITY_UNITS)


def _unit_factor(
    text: str, units: tuple[tuple[re.Pattern[str], float, str], ...]
) -> tuple[float, str] | None:
    return next(((factor, name) for pattern, factor, name in units if pattern.search(text)), None)


def _stress(table: FoundTable) -> tuple[NDArray[np.float64] | None, str]:
    if "stress" not in table.columns:
        return None, ""
    found = _unit_factor(table.header_text("stress"), _STRESS_UNITS)
    if found is None:
        table.grid.fail(f"{table.place('stress')} states no unit, expected stress in Pa")
    return _column(table, "stress") * found[0], found[1]


def _viscosity(
    table: FoundTable, rate: NDArray[np.float64], stress: NDArray[np.float64] | None
) -> tuple[NDArray[np.float64], str]:
    if "viscosity" not in table.columns:
        assert stress is not None
        return stress / rate * 1e3, ""
    values = _column(table, "viscosity")
    found = viscosity_unit(table.header_text("viscosity"))
    if found is None and stress is not None:
        ratio = float(np.median(stress / rate * 1e3 / values))
        found = next(
            (
                (factor, f"{name} (from stress and rate)")
                for _, factor, name in _VISCOSITY_UNITS
                if abs(ratio / factor - 1.0) < _AGREE
            ),
            None,
        )
    if found is None:
        table.grid.fail(
            f"{table.place('viscosity')} states no unit, expected viscosity in mPa s or Pa s"
        )
    return values * found[0], found[1]


def _check_agreement(
    table: FoundTable,
    rate: NDArray[np.float64],
    viscosity_mPas: NDArray[np.float64],
    stress_Pa: NDArray[np.float64],
) -> None:
    """Refuse columns whose units do not fit: viscosity is stress over rate by definition."""
    ratio = stress_Pa / rate * 1e3 / viscosity_mPas
    if float(np.mean(np.abs(ratio - 1.0) < _AGREE)) < _AGREE_SHARE:
        table.grid.fail(
            f"stress over shear rate is {float(np.median(ratio)):.3g} times the viscosity of "
            f"{table.place('viscosity')}, expected units in which they agree"
        )


def _temperature(table: FoundTable) -> float | None:
    grid = table.grid
    if "temperature" in table.columns:
        cells = [table.cell(row, "temperature") for row in table.rows]
        numbers = [cell for cell in cells if isinstance(cell, float)]
        if numbers:
            return float(np.mean(numbers))
    for cells_of_row in grid.cells[: table.header]:
        parts = [f"{c:g}" if isinstance(c, float) else c[:80] for c in cells_of_row[:12] if c]
        found = _TEMPERATURE.search(" ".join(parts))
        if found and (found[2] or "c").lower() == "c":
            return float(found[1].replace(",", "."))
    return None
