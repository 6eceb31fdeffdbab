"""Refractive index of the materials in a film: m = n + ik with k >= 0, 280-780 nm.

The tables lie in the folder nk; each names its source, status, range and its own weak point.
Outside a table's range the functions raise; nothing is extrapolated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from zincite.data.tables import read_header, read_rows, read_table
from zincite.errors import OutOfRangeError, UnknownMaterialError
from zincite.sources import Evidence

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "OIL_SHAPES",
    "OPTICAL_MATERIALS",
    "IndexUncertainty",
    "OpticalConstants",
    "index_uncertainty",
    "oil_index",
    "optical_constants",
    "optical_constants_table",
]

OPTICAL_MATERIALS = (
    "zinc-oxide",
    "titanium-dioxide-rutile",
    "titanium-dioxide-anatase",
    "iron-oxide-red",
    "iron-oxide-yellow",
    "iron-oxide-black",
    "silica",
    "alumina",
    "alumina-sapphire",
    "water",
    "dimethicone",
)
"""Names that `optical_constants` knows."""

OIL_SHAPES = ("ester", "hydrocarbon", "silicone", "aromatic")
"""Dispersion shapes that `oil_index` knows."""


@dataclass(frozen=True, slots=True)
class OpticalConstants:
    """Refractive index of one material as tabulated.

    Attributes
    ----------
    name : str
        Material, one of `OPTICAL_MATERIALS`.
    wavelength_nm : ndarray, shape (n,)
        Vacuum wavelength, rising. [nm]
    n, k : ndarray, shape (n,)
        Real and imaginary part, k >= 0. [-]
    status : Evidence
        How the table is known.
    source : tuple of str
        Source keys.
    range_nm : tuple of float
        Lowest and highest wavelength for which the table may be used. [nm]
    note : str
        Weak point of the table and what holds below the range of its source.
    """

    name: str
    wavelength_nm: NDArray[np.float64]
    n: NDArray[np.float64]
    k: NDArray[np.float64]
    status: Evidence
    source: tuple[str, ...]
    range_nm: tuple[float, float]
    note: str

    def at(self, wavelength_nm: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return n and k at wavelengths inside the range, linear between the tabulated ones.

        Parameters
        ----------
        wavelength_nm : array_like
            Vacuum wavelength. [nm]

        Returns
        -------
        n, k : ndarray, shape of `wavelength_nm`

        Raises
        ------
        OutOfRangeError
            If a wavelength lies outside `range_nm`.
        """
        wavelength = _inside(self.name, wavelength_nm, *self.range_nm)
        return (
            np.asarray(np.interp(wavelength, self.wavelength_nm, self.n)),
            np.asarray(np.interp(wavelength, self.wavelength_nm, self.k)),
        )


@dataclass(frozen=True, slots=True)
class IndexUncertainty:
    """How far the true index may lie from the table in one band.

    Attributes
    ----------
    low_nm, high_nm : float
        Band, its upper edge excluded except for the last band. [nm]
    k_log_sigma : float
        Standard deviation of ln k; 0.25 means about 25 %, 0.69 a factor of 2. [-]
    n_relative_sigma : float
        Standard deviation of n over n. [-]
    status : Evidence
        How the figure is known.
    note : str
        Reason for the figure.
    """

    low_nm: float
    high_nm: float
    k_log_sigma: float
    n_relative_sigma: float
    status: Evidence
    note: str


def _inside(name: str, wavelength_nm: ArrayLike, low: float, high: float) -> NDArray[np.float64]:
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    bad = ~((wavelength >= low) & (wavelength <= high))
    if np.any(bad):
        raise OutOfRangeError(
            f"optical constants of {name}: {float(wavelength[bad].flat[0]):g} nm found, "
            f"expected {low:g} to {high:g} nm"
        )
    return wavelength


def _check_name(name: str) -> None:
    if name not in OPTICAL_MATERIALS:
        raise UnknownMaterialError(
            f"no optical constants of {name!r}, expected one of {', '.join(OPTICAL_MATERIALS)}"
        )


@lru_cache(maxsize=len(OPTICAL_MATERIALS))
def optical_constants_table(name: str) -> OpticalConstants:
    """Return the table of one material with its status, range and note.

    Parameters
    ----------
    name : str
        One of `OPTICAL_MATERIALS`.

    Raises
    ------
    UnknownMaterialError
        If the name is not known.
    """
    _check_name(name)
    path = f"nk/{name.replace('-', '_')}.csv"
    header, table = read_header(path), read_table(path)
    low, high = (float(edge) for edge in header["range_nm"].split())
    return OpticalConstants(
        name=name,
        wavelength_nm=table["wavelength_nm"],
        n=table["n"],
        k=table["k"],
        status=Evidence(header["status"]),
        source=tuple(key.strip() for key in header["source"].split(",")),
        range_nm=(low, high),
        note=header["note"],
    )


def optical_constants(
    name: str, wavelength_nm: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the refractive index of a material.

    Parameters
    ----------
    name : str
        One of `OPTICAL_MATERIALS`. Birefringent crystals are powder averages (2 o + e)/3.
    wavelength_nm : array_like
        Vacuum wavelength, 280-780. [nm]

    Returns
    -------
    n, k : ndarray, shape of `wavelength_nm`
        Real and imaginary part of m = n + ik. [-]

    Raises
    ------
    UnknownMaterialError
        If the name is not known.
    OutOfRangeError
        If a wavelength lies outside the material's range.

    Examples
    --------
    >>> n, k = optical_constants("zinc-oxide", 550.0)
    >>> round(float(n), 3)
    2.025
    """
    return optical_constants_table(name).at(wavelength_nm)


@lru_cache(maxsize=len(OPTICAL_MATERIALS))
def index_uncertainty(name: str) -> tuple[IndexUncertainty, ...]:
    """Return the uncertainty of a material's index, band by band over 280-780 nm.

    Parameters
    ----------
    name : str
        One of `OPTICAL_MATERIALS`.

    Raises
    ------
    UnknownMaterialError
        If the name is not known.
    """
    _check_name(name)
    return tuple(
        IndexUncertainty(
            low_nm=float(row["low_nm"]),
            high_nm=float(row["high_nm"]),
            k_log_sigma=float(row["k_log_sigma"]),
            n_relative_sigma=float(row["n_relative_sigma"]),
            status=Evidence(row["status"]),
            note=row["note"],
        )
        for row in read_rows("nk/index_uncertainty.csv")
        if row["material"] == name
    )


def oil_index(
    refractive_index_D: float, shape: str, wavelength_nm: ArrayLike
) -> NDArray[np.float64]:
    """Return the refractive index of an oil from its n_D and the dispersion of its chemistry.

    Parameters
    ----------
    refractive_index_D : float
        Index at 589.3 nm and 20 C, 1.30-1.70. [-]
    shape : str
        One of `OIL_SHAPES`.
    wavelength_nm : array_like
        Vacuum wavelength, 280-780. [nm]

    Returns
    -------
    ndarray, shape of `wavelength_nm`
        Real refractive index; absorption of the oil is not covered. [-]

    Raises
    ------
    OutOfRangeError
        If the index, the shape or a wavelength is outside what is known.

    Notes
    -----
    n^2(w) - 1 = (n_D^2 - 1) s(w), s from a small molecule of the same chemistry (the oscillator
    strength per volume scales, its resonance does not). Below 300 nm the silicone shape is held.

    References
    ----------
    kozma2005 (ethyl acetate, hexane, toluene), gupta2019 (polydimethylsiloxane).

    Examples
    --------
    >>> round(float(oil_index(1.4498, "ester", 300.0)), 3)
    1.485
    """
    if shape not in OIL_SHAPES:
        raise OutOfRangeError(
            f"dispersion shape is {shape!r}, expected one of {', '.join(OIL_SHAPES)}"
        )
    if not 1.3 <= refractive_index_D <= 1.7:
        raise OutOfRangeError(
            f"n_D of the oil is {refractive_index_D}, expected a number from 1.30 to 1.70"
        )
    table = read_table("nk/oil_dispersion.csv")
    grid = table["wavelength_nm"]
    wavelength = _inside(f"{shape} oil", wavelength_nm, float(grid[0]), float(grid[-1]))
    ratio = np.interp(wavelength, grid, table[shape])
    return np.asarray(np.sqrt(1.0 + (refractive_index_D**2 - 1.0) * ratio))
