"""Reflectance of bare skin: an epidermis with melanin over a deep dermis with blood.

Coefficients are Napierian and in 1/cm, as in the skin literature; wavelengths in nm. Published
sets differ by orders of magnitude (Lister, Wright and Chappell 2012, J. Biomed. Opt. 17, 090901,
seen as a review), so the fractions here are fitted to a wanted colour and describe no person.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics.fresnel import (
    diffuse_external,
    diffuse_internal,
    fresnel_normal,
    saunderson,
    saunderson_inverse,
)
from zincite.physics.two_flux import kubelka_munk_layer
from zincite.units import LN10

__all__ = [
    "EPIDERMIS_THICKNESS_UM",
    "OXYGEN_SATURATION",
    "SKIN_SURFACE_INDEX",
    "SkinComposition",
    "baseline_absorption_per_cm",
    "blood_absorption_per_cm",
    "deep_reflectance",
    "internal_from_surface",
    "internal_reflectance",
    "melanosome_absorption_per_cm",
    "reduced_scattering_per_cm",
    "surface_reflectance",
]

EPIDERMIS_THICKNESS_UM = 60.0
"""Thickness of the epidermis: 60 to 100 um (Jacques 1998; from memory). [um]"""

OXYGEN_SATURATION = 0.7
"""Oxygen saturation of the blood: 0.6 to 0.8 (Jacques 1998; from memory). [-]"""

SKIN_SURFACE_INDEX = 1.45
"""Index of the outermost skin, taken as that of a dried cosmetic film, so that a clear film does
not change the colour. Stratum corneum is given as 1.43 to 1.53 (from memory): assumed. [-]"""

HAEMOGLOBIN_G_PER_L = 150.0
"""Haemoglobin of whole blood (Prahl compilation, read). [g/L]"""

HAEMOGLOBIN_G_PER_MOL = 64500.0
"""Molar mass used with Prahl's molar extinction (read). [g/mol]"""


class SkinComposition(NamedTuple):
    """What colours the skin.

    Attributes
    ----------
    melanin_fraction : float
        Volume fraction of melanosomes in the epidermis, 0..1: 0.013-0.063 light, 0.11-0.16
        moderate, 0.18-0.43 dark (Jacques 1998; from memory). [-]
    blood_fraction : float
        Volume fraction of whole blood in the dermis, 0..1: 0.0005-0.006 (Jacques 1998; from
        memory). [-]
    scattering_scale : float
        Factor on the mean reduced scattering of skin, > 0. [-]
    oxygen_saturation : float
        Share of oxyhaemoglobin, 0..1. [-]
    epidermis_thickness_um : float
        Thickness of the epidermis, >= 0. [um]
    """

    melanin_fraction: float
    blood_fraction: float
    scattering_scale: float = 1.0
    oxygen_saturation: float = OXYGEN_SATURATION
    epidermis_thickness_um: float = EPIDERMIS_THICKNESS_UM


def baseline_absorption_per_cm(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Return the absorption of tissue without blood and melanin, in 1/cm.

    0.244 + 85.3 exp(-(nm - 154)/66.2), 350-1100 nm: Jacques S.L. (1998), Skin Optics, Oregon
    Medical Laser Center News (read).
    """
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    return np.asarray(0.244 + 85.3 * np.exp(-(wavelength - 154.0) / 66.2))


def melanosome_absorption_per_cm(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Return the absorption inside a melanosome, in 1/cm.

    519 (nm/500)^-3.53, 400-900 nm, used from 380 nm: Jacques S.L. (2013), Phys. Med. Biol. 58,
    R37 (from memory).
    """
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    return np.asarray(519.0 * (wavelength / 500.0) ** -3.53)


def reduced_scattering_per_cm(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Return the mean reduced scattering of skin, in 1/cm.

    46.0 (nm/500)^-1.421, 400-1300 nm, used from 380 nm: Jacques S.L. (2013), Phys. Med. Biol.
    58, R37, Table 2 (from memory).
    """
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    return np.asarray(46.0 * (wavelength / 500.0) ** -1.421)


def blood_absorption_per_cm(
    oxy_per_cm_molar: ArrayLike, deoxy_per_cm_molar: ArrayLike, oxygen_saturation: float
) -> NDArray[np.float64]:
    """Return the absorption of whole blood.

    Parameters
    ----------
    oxy_per_cm_molar, deoxy_per_cm_molar : array_like, shape (n,)
        Molar decadic extinction of oxy- and deoxyhaemoglobin. [1/(cm M)]
    oxygen_saturation : float
        Share of oxyhaemoglobin, 0..1. [-]

    Returns
    -------
    ndarray, shape (n,)
        ln(10) e x / M with x = 150 g/L and M = 64500 g/mol (Prahl compilation, read). [1/cm]

    Raises
    ------
    OutOfRangeError
        If the saturation is outside 0..1.
    """
    if not 0.0 <= oxygen_saturation <= 1.0:
        raise OutOfRangeError(f"oxygen saturation is {oxygen_saturation}, expected 0 to 1")
    oxy, deoxy = (np.asarray(e, dtype=np.float64) for e in (oxy_per_cm_molar, deoxy_per_cm_molar))
    molar = oxygen_saturation * oxy + (1.0 - oxygen_saturation) * deoxy
    return np.asarray(LN10 * molar * HAEMOGLOBIN_G_PER_L / HAEMOGLOBIN_G_PER_MOL)


def deep_reflectance(absorption: ArrayLike, reduced_scattering: ArrayLike) -> NDArray[np.float64]:
    """Return the reflectance of an endless diffusing body for diffuse light, faces matched.

    Parameters
    ----------
    absorption, reduced_scattering : array_like
        Coefficients in one unit; not both 0.

    Returns
    -------
    ndarray, broadcast shape
        Reflectance, 0..1. [-]

    Raises
    ------
    OutOfRangeError
        If a coefficient is negative or both are 0.

    Notes
    -----
    (1 - s)(1 - 0.139 s)/(1 + 1.17 s), s^2 = absorption/(absorption + reduced scattering):
    spherical albedo of a semi-infinite medium, van de Hulst H.C. (1980), Multiple Light
    Scattering (from memory; within 0.002 of discrete ordinates in the tests). Diffusion theory
    agrees for strong scattering only and turns negative where absorption wins.
    """
    a, scattering = (np.asarray(v, dtype=np.float64) for v in (absorption, reduced_scattering))
    total = a + scattering
    if not (np.all(a >= 0) and np.all(scattering >= 0) and np.all(total > 0)):
        raise OutOfRangeError(
            "absorption or scattering of a deep body is negative or both are 0, expected 0 or more"
        )
    s = np.sqrt(a / total)
    return np.asarray((1.0 - s) * (1.0 - 0.139 * s) / (1.0 + 1.17 * s))


def _check(composition: SkinComposition) -> None:
    melanin, blood, scale, _, thickness = composition
    for name, fraction in (("melanin", melanin), ("blood", blood)):
        if not 0.0 <= fraction <= 1.0:
            raise OutOfRangeError(f"{name} fraction is {fraction}, expected 0 to 1")
    if not scale > 0:
        raise OutOfRangeError(f"scattering scale is {scale}, expected a number above 0")
    if not thickness >= 0:
        raise OutOfRangeError(f"epidermis thickness is {thickness} um, expected 0 or more")


def internal_reflectance(
    wavelength_nm: ArrayLike,
    oxy_per_cm_molar: ArrayLike,
    deoxy_per_cm_molar: ArrayLike,
    composition: SkinComposition,
) -> NDArray[np.float64]:
    """Return the diffuse reflectance of skin as met from inside a film of its own index.

    Parameters
    ----------
    wavelength_nm : array_like, shape (n,)
        Wavelengths, 380-780. [nm]
    oxy_per_cm_molar, deoxy_per_cm_molar : array_like, shape (n,)
        Molar decadic extinction of haemoglobin at them. [1/(cm M)]
    composition : SkinComposition
        What colours the skin.

    Returns
    -------
    ndarray, shape (n,)
        Internal reflectance, 0..1, without any face to air. [-]

    Raises
    ------
    OutOfRangeError
        If a fraction, the scale or the thickness is impossible.

    Notes
    -----
    The dermis (blood, baseline) is endless: `deep_reflectance`. The epidermis (melanin, baseline)
    is a two-flux layer over it with S = 3/4 of the reduced scattering (Mudgett and Richards 1971,
    Appl. Opt. 10, 1485; from memory) and a K that carries the longer path of diffuse light:
    exp(-K d) = 2 E3(mu_a d), exact without scattering and K = 2 mu_a for a weak layer. Against
    two-layer discrete ordinates the sum is within 0.025. Not covered: nails, hair, lips,
    bilirubin and carotene, fluorescence, sideways loss at a small aperture.
    """
    # Predictions use the fitted spectra and never come here: no scipy at their start.
    from scipy.special import expn

    _check(composition)
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    baseline = baseline_absorption_per_cm(wavelength)
    scattering = composition.scattering_scale * reduced_scattering_per_cm(wavelength)
    blood = blood_absorption_per_cm(
        oxy_per_cm_molar, deoxy_per_cm_molar, composition.oxygen_saturation
    )
    part = composition.blood_fraction
    dermis = deep_reflectance(part * blood + (1.0 - part) * baseline, scattering)
    if composition.epidermis_thickness_um == 0:
        return dermis
    part = composition.melanin_fraction
    absorption = part * melanosome_absorption_per_cm(wavelength) + (1.0 - part) * baseline
    thickness_cm = composition.epidermis_thickness_um * 1e-4
    path = -np.log(2.0 * expn(3, absorption * thickness_cm)) / thickness_cm
    return kubelka_munk_layer(path, 0.75 * scattering, thickness_cm, dermis).over_background


def _faces(index: float, diffuse_light: bool) -> tuple[float, float]:
    first = diffuse_external(index) if diffuse_light else fresnel_normal(index)
    return float(first), float(diffuse_internal(index))


def surface_reflectance(
    internal: ArrayLike,
    index: float = SKIN_SURFACE_INDEX,
    *,
    specular_included: bool = True,
    geometry: str = "d/8",
) -> NDArray[np.float64]:
    """Return the reflectance of bare skin as an instrument in air sees it.

    Parameters
    ----------
    internal : array_like
        Internal reflectance, 0..1. [-]
    index : float
        Index of the outermost skin against air, >= 1. [-]
    specular_included : bool
        Whether the mirror reflection of the face counts.
    geometry : str
        "d/8" (or 8/d: one of the two directions is near the normal) or "d/d" (both diffuse).

    Returns
    -------
    ndarray
        Reflectance. [-]

    Raises
    ------
    OutOfRangeError
        If the index or geometry is impossible.

    Notes
    -----
    Saunderson's correction with exact Fresnel values for the face; 8 deg counts as normal
    (the difference is below 1e-5).
    """
    if geometry not in ("d/8", "d/d"):
        raise OutOfRangeError(f"geometry is {geometry!r}, expected 'd/8' or 'd/d'")
    k1, k2 = _faces(index, geometry == "d/d")
    outside = saunderson(internal, k1, k2)
    return outside if specular_included else outside - k1


def internal_from_surface(
    outside: ArrayLike, index: float = SKIN_SURFACE_INDEX
) -> NDArray[np.float64]:
    """Return the internal reflectance of a measured skin (d/8, specular included).

    Parameters
    ----------
    outside : array_like
        Measured reflectance, at least that of the face. [-]
    index : float
        Index of the outermost skin against air, >= 1. [-]

    Returns
    -------
    ndarray
        Internal reflectance, the inverse of `surface_reflectance`. [-]

    Raises
    ------
    OutOfRangeError
        If a reflectance is below that of the face alone.
    """
    return saunderson_inverse(outside, *_faces(index, diffuse_light=False))
