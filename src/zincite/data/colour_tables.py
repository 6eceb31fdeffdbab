"""Colour and skin tables: observers, lights, haemoglobin, skin classes and sample spectra.

Arrays are read-only; every loader reads its file once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.data.tables import read_rows, read_table
from zincite.errors import OutOfRangeError
from zincite.sources import Evidence

__all__ = [
    "Haemoglobin",
    "ItaClass",
    "ObserverIlluminants",
    "SkinClass",
    "SkinLikeSamples",
    "UvSkin",
    "haemoglobin",
    "ita_class_of",
    "ita_classes",
    "observer_illuminants",
    "skin_classes",
    "skin_like_reflectances",
    "uv_skin",
]


def _frozen(array: ArrayLike) -> NDArray[np.float64]:
    result = np.array(array, dtype=np.float64)
    result.flags.writeable = False
    return result


@dataclass(frozen=True, slots=True, eq=False)
class ObserverIlluminants:
    """Standard observers and daylight illuminants on one grid.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (81,)
        380 to 780 nm every 5 nm. [nm]
    cie_1931_2deg, cie_1964_10deg : ndarray, shape (81, 3)
        Colour-matching functions. [-]
    d65, d50 : ndarray, shape (81,)
        Relative spectral power, 100 at 560 nm. [-]
    """

    wavelength_nm: NDArray[np.float64]
    cie_1931_2deg: NDArray[np.float64]
    cie_1964_10deg: NDArray[np.float64]
    d65: NDArray[np.float64]
    d50: NDArray[np.float64]


@lru_cache(maxsize=1)
def observer_illuminants() -> ObserverIlluminants:
    """Return the CIE observers and illuminants of `colour/observer_illuminants.csv`."""
    table = read_table("colour/observer_illuminants.csv")

    def functions(observer: str) -> NDArray[np.float64]:
        return _frozen(np.stack([table[f"{axis}_{observer}"] for axis in "xyz"], axis=1))

    return ObserverIlluminants(
        table["wavelength_nm"], functions("2deg"), functions("10deg"), table["d65"], table["d50"]
    )


@dataclass(frozen=True, slots=True, eq=False)
class Haemoglobin:
    """Molar decadic extinction of haemoglobin.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (n,)
        Wavelengths. [nm]
    oxy_per_cm_molar, deoxy_per_cm_molar : ndarray, shape (n,)
        Of a molecule of 64500 g/mol. [1/(cm M)]
    """

    wavelength_nm: NDArray[np.float64]
    oxy_per_cm_molar: NDArray[np.float64]
    deoxy_per_cm_molar: NDArray[np.float64]

    def at(self, wavelength_nm: ArrayLike) -> Haemoglobin:
        """Return the table at other wavelengths, linear between its rows.

        Raises
        ------
        OutOfRangeError
            If a wavelength lies outside the table.
        """
        wanted = np.atleast_1d(np.asarray(wavelength_nm, dtype=np.float64))
        low, high = float(self.wavelength_nm[0]), float(self.wavelength_nm[-1])
        if not np.all((wanted >= low) & (wanted <= high)):
            raise OutOfRangeError(
                f"haemoglobin asked at {wanted.min():g} to {wanted.max():g} nm, "
                f"expected {low:g} to {high:g} nm"
            )
        return Haemoglobin(
            _frozen(wanted),
            _frozen(np.interp(wanted, self.wavelength_nm, self.oxy_per_cm_molar)),
            _frozen(np.interp(wanted, self.wavelength_nm, self.deoxy_per_cm_molar)),
        )


@lru_cache(maxsize=1)
def haemoglobin() -> Haemoglobin:
    """Return the extinction of haemoglobin of `colour/hemoglobin.csv`, 250-800 nm every 2 nm."""
    table = read_table("colour/hemoglobin.csv")
    return Haemoglobin(
        table["wavelength_nm"], table["oxy_per_cm_molar"], table["deoxy_per_cm_molar"]
    )


@dataclass(frozen=True, slots=True)
class ItaClass:
    """A class of constitutive skin colour by individual typology angle.

    Attributes
    ----------
    name : str
        Class name, from "very light" to "dark".
    ita_low_deg, ita_high_deg : float
        The class holds angles above the low bound and up to the high one. [deg]
    example_lab : tuple of float
        Illustrative L*, a*, b* (D65, 10 deg): assumed, not a measured mean.
    """

    name: str
    ita_low_deg: float
    ita_high_deg: float
    example_lab: tuple[float, float, float]


@lru_cache(maxsize=1)
def ita_classes() -> tuple[ItaClass, ...]:
    """Return the six classes of `colour/ita_classes.csv`, palest first."""
    return tuple(
        ItaClass(
            row["class"],
            float(row["ita_low_deg"]),
            float(row["ita_high_deg"]),
            (float(row["example_l"]), float(row["example_a"]), float(row["example_b"])),
        )
        for row in read_rows("colour/ita_classes.csv")
    )


def ita_class_of(ita_deg: float) -> ItaClass:
    """Return the class that an individual typology angle falls in.

    Parameters
    ----------
    ita_deg : float
        Angle; beyond 90 and -90 the outermost classes go on. [deg]

    Raises
    ------
    OutOfRangeError
        If the angle is not a number from -180 to 180.

    Examples
    --------
    >>> ita_class_of(35.0).name
    'intermediate'
    """
    if not -180.0 <= ita_deg <= 180.0:
        raise OutOfRangeError(f"typology angle is {ita_deg} deg, expected -180 to 180")
    classes = ita_classes()
    return next((c for c in classes if ita_deg > c.ita_low_deg), classes[-1])


@dataclass(frozen=True, slots=True, eq=False)
class SkinLikeSamples:
    """Standard skin-coloured samples.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (81,)
        380 to 780 nm every 5 nm. [nm]
    names : tuple of str
        Sample names.
    reflectance : ndarray, shape (6, 81)
        Reflectance factors, specular included. [-]
    """

    wavelength_nm: NDArray[np.float64]
    names: tuple[str, ...]
    reflectance: NDArray[np.float64]


@lru_cache(maxsize=1)
def skin_like_reflectances() -> SkinLikeSamples:
    """Return the six samples of `colour/skin_like_reflectances.csv`: standards, not people."""
    table = read_table("colour/skin_like_reflectances.csv")
    wavelength = table.pop("wavelength_nm")
    return SkinLikeSamples(wavelength, tuple(table), _frozen(np.stack(list(table.values()))))


@dataclass(frozen=True, slots=True, eq=False)
class SkinClass:
    """A skin on which a film is shown: one of the six classes, with its spectrum.

    Attributes
    ----------
    ita_class : ItaClass
        Name and bounds.
    melanin_fraction, blood_fraction, scattering_scale, oxygen_saturation : float
        Fitted composition of the skin model. [-]
    epidermis_thickness_um : float
        Thickness used in the fit. [um]
    surface_index : float
        Index of the outermost skin against air used in the fit. [-]
    lab : tuple of float
        L*, a*, b* of the bare skin (D65, 10 deg, d/8, specular included).
    ita_deg : float
        Individual typology angle of the bare skin. [deg]
    wavelength_nm : ndarray, shape (81,)
        380 to 780 nm every 5 nm. [nm]
    internal_reflectance : ndarray, shape (81,)
        Diffuse reflectance below the face to air, as a film of the same index meets it. [-]
    evidence : Evidence
        The colours aimed at are assumed, so the classes are.
    """

    ita_class: ItaClass
    melanin_fraction: float
    blood_fraction: float
    scattering_scale: float
    oxygen_saturation: float
    epidermis_thickness_um: float
    surface_index: float
    lab: tuple[float, float, float]
    ita_deg: float
    wavelength_nm: NDArray[np.float64]
    internal_reflectance: NDArray[np.float64]
    evidence: Evidence = Evidence.ASSUMED

    @property
    def name(self) -> str:
        """Name of the class."""
        return self.ita_class.name


@lru_cache(maxsize=1)
def skin_classes() -> tuple[SkinClass, ...]:
    """Return the six skins, palest first, as `scripts/fit_skin_classes.py` left them."""
    spectra = read_table("colour/skin_reflectance_internal.csv")
    bounds = {one.name: one for one in ita_classes()}
    return tuple(
        SkinClass(
            bounds[row["class"]],
            float(row["melanin_fraction"]),
            float(row["blood_fraction"]),
            float(row["scattering_scale"]),
            float(row["oxygen_saturation"]),
            float(row["epidermis_thickness_um"]),
            float(row["surface_index"]),
            (float(row["l"]), float(row["a"]), float(row["b"])),
            float(row["ita_deg"]),
            spectra["wavelength_nm"],
            spectra[row["class"].replace(" ", "_")],
        )
        for row in read_rows("colour/skin_classes.csv")
    )


@dataclass(frozen=True, slots=True, eq=False)
class UvSkin:
    """Reflectance of bare skin in the ultraviolet, an assumption with its range.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (111,)
        290 to 400 nm every 1 nm. [nm]
    surface_reflectance : ndarray, shape (111,)
        Seen in air, specular included. [-]
    internal_reflectance, internal_low, internal_high : ndarray, shape (111,)
        Below the face to air: best guess and range over skins. [-]
    evidence : Evidence
        Assumed: from memory of the general level.
    """

    wavelength_nm: NDArray[np.float64]
    surface_reflectance: NDArray[np.float64]
    internal_reflectance: NDArray[np.float64]
    internal_low: NDArray[np.float64]
    internal_high: NDArray[np.float64]
    evidence: Evidence = Evidence.ASSUMED


@lru_cache(maxsize=1)
def uv_skin() -> UvSkin:
    """Return the ultraviolet skin of `colour/skin_uv_reflectance.csv`, linear between its rows."""
    table = read_table("colour/skin_uv_reflectance.csv")
    grid = _frozen(np.arange(290.0, 401.0))

    def on_grid(column: str) -> NDArray[np.float64]:
        return _frozen(np.interp(grid, table["wavelength_nm"], table[column]))

    return UvSkin(
        grid,
        on_grid("surface"),
        on_grid("internal"),
        on_grid("internal_low"),
        on_grid("internal_high"),
    )
