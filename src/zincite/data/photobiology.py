"""Action spectra and light sources of the protection measures, 290-400 nm at 1 nm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from zincite.data.tables import read_rows, read_table
from zincite.errors import OutOfRangeError
from zincite.sources import Evidence

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "UVA_LAMP_LOG_SIGMA",
    "ColumnUncertainty",
    "LampInfo",
    "Photobiology",
    "erythema",
    "photobiology",
    "sunlight",
]

UVA_LAMP_LOG_SIGMA = 0.08
"""Standard deviation of ln UVA-PF to allow for the unknown UVA lamp. [-]

Half of ln(10.5/9.0), the gap between the simulator and the stand-in for a ZnO-like curve
(computed_uva_lamp). For a TiO2-like curve the same half gap is 0.19.
"""


@dataclass(frozen=True, slots=True)
class LampInfo:
    """What a report prints about a light source or action spectrum it used.

    Attributes
    ----------
    column : str
        Field of `Photobiology` that holds the spectrum.
    label : str
        Name to print.
    status : Evidence
        How the spectrum is known.
    note : str
        Weak point to print with the label.
    """

    column: str
    label: str
    status: Evidence
    note: str


@dataclass(frozen=True, slots=True)
class ColumnUncertainty:
    """Relative uncertainty of one spectrum.

    Attributes
    ----------
    independent : ndarray, shape (111,)
        Relative standard deviation of each cell on its own. [-]
    tilt : ndarray, shape (111,)
        Relative standard deviation that all cells share: one normal number times this. [-]
    note : str
        Reasons, with their size in a protection factor.
    """

    independent: NDArray[np.float64]
    tilt: NDArray[np.float64]
    note: str


@dataclass(frozen=True, slots=True)
class Photobiology:
    """Spectra on the photobiology grid.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (111,)
        290 to 400 in steps of 1. [nm]
    erythema : ndarray, shape (111,)
        CIE/ISO 17166 action spectrum. [-]
    ppd : ndarray, shape (111,)
        Persistent pigment darkening; 0 below 320 nm, where its sums do not run. [-]
    simulator_W_m2_nm : ndarray, shape (111,)
        UV solar simulator of SPF. [W/(m2 nm)]
    uva_source_relative : ndarray, shape (111,)
        UVA lamp, peak 1; 0 below 320 nm; a stand-in, see `info`. [-]
    sunlight_W_m2_nm : ndarray, shape (111,)
        ASTM G173 global tilted. [W/(m2 nm)]
    info : Mapping of str to LampInfo
        Label, status and note by field name, to print in reports.
    uncertainty : Mapping of str to ColumnUncertainty
        Relative uncertainty by field name.
    """

    wavelength_nm: NDArray[np.float64]
    erythema: NDArray[np.float64]
    ppd: NDArray[np.float64]
    simulator_W_m2_nm: NDArray[np.float64]
    uva_source_relative: NDArray[np.float64]
    sunlight_W_m2_nm: NDArray[np.float64]
    info: Mapping[str, LampInfo]
    uncertainty: Mapping[str, ColumnUncertainty]


def erythema(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Return the reference action spectrum of erythema.

    Parameters
    ----------
    wavelength_nm : array_like
        Wavelength, 250-400. [nm]

    Returns
    -------
    ndarray, shape of `wavelength_nm`
        Relative effectiveness, 1 up to 298 nm. [-]

    Raises
    ------
    OutOfRangeError
        If a wavelength lies outside 250-400 nm.

    References
    ----------
    cie17166.

    Examples
    --------
    >>> round(float(erythema(318.0)), 4)
    0.0132
    """
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    if not np.all((wavelength >= 250.0) & (wavelength <= 400.0)):
        raise OutOfRangeError(
            f"erythema: {float(wavelength.min()):g} to {float(wavelength.max()):g} nm found, "
            "expected wavelengths within 250 to 400 nm"
        )
    middle = 10.0 ** (0.094 * (298.0 - wavelength))
    last = 10.0 ** (0.015 * (140.0 - wavelength))
    return np.asarray(np.where(wavelength <= 298.0, 1.0, np.where(wavelength <= 328, middle, last)))


def _frozen(values: NDArray[np.float64]) -> NDArray[np.float64]:
    values.flags.writeable = False
    return values


def _uncertainty(
    column: str, rows: list[dict[str, str]], wavelength_nm: NDArray[np.float64]
) -> ColumnUncertainty:
    spread = {"cells": np.zeros(wavelength_nm.size), "tilt": np.zeros(wavelength_nm.size)}
    notes: list[str] = []
    for row in rows:
        if row["column"] != column:
            continue
        low, high = float(row["low_nm"]), float(row["high_nm"])
        band = (wavelength_nm >= low) & (wavelength_nm <= high)
        ends = [float(row["sigma_low"]), float(row["sigma_high"])]
        spread[row["kind"]][band] = np.interp(wavelength_nm[band], [low, high], ends)
        notes.append(row["note"])
    return ColumnUncertainty(_frozen(spread["cells"]), _frozen(spread["tilt"]), "; ".join(notes))


@lru_cache(maxsize=1)
def photobiology() -> Photobiology:
    """Return the action spectra and light sources, read-only.

    Examples
    --------
    >>> photobiology().info["uva_source_relative"].label
    'UVA lamp stand-in, 320-400 nm'
    """
    table = read_table("spectra/photobiology.csv")
    wavelength = table["wavelength_nm"]
    uncertainty_rows = read_rows("spectra/photobiology_uncertainty.csv")
    info = {
        row["column"]: LampInfo(row["column"], row["label"], Evidence(row["status"]), row["note"])
        for row in read_rows("spectra/labels.csv")
    }
    return Photobiology(
        wavelength_nm=wavelength,
        erythema=_frozen(erythema(wavelength)),
        ppd=table["ppd"],
        simulator_W_m2_nm=table["simulator_W_m2_nm"],
        uva_source_relative=table["uva_source_relative"],
        sunlight_W_m2_nm=table["sunlight_W_m2_nm"],
        info=MappingProxyType(info),
        uncertainty=MappingProxyType(
            {column: _uncertainty(column, uncertainty_rows, wavelength) for column in info}
        ),
    )


def sunlight(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Return the global tilted spectral irradiance of ASTM G173, linear between its 1 nm steps.

    Parameters
    ----------
    wavelength_nm : array_like
        Wavelength, 280-780. [nm]

    Returns
    -------
    ndarray, shape of `wavelength_nm`
        Spectral irradiance. [W/(m2 nm)]

    Raises
    ------
    OutOfRangeError
        If a wavelength lies outside the table.

    References
    ----------
    astm_g173.
    """
    table = read_table("spectra/solar_g173.csv")
    grid = table["wavelength_nm"]
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    if not np.all((wavelength >= grid[0]) & (wavelength <= grid[-1])):
        raise OutOfRangeError(
            f"sunlight: {float(wavelength.min()):g} to {float(wavelength.max()):g} nm found, "
            f"expected wavelengths within {grid[0]:g} to {grid[-1]:g} nm"
        )
    return np.asarray(np.interp(wavelength, grid, table["global_tilted_W_m2_nm"]))
