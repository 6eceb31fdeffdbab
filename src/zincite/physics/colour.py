"""Colour as an instrument reports it: tristimulus values, CIELAB, differences and sRGB.

Everything works on arrays whose last axis is the spectrum or the three colour coordinates; all
leading axes broadcast.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError

__all__ = [
    "ScreenColour",
    "contrast_ratio",
    "delta_e00",
    "hex_from_srgb",
    "ita_deg",
    "lab_from_xyz",
    "srgb_from_lab",
    "tristimulus_weights",
    "white_point",
    "xyz_from_lab",
    "xyz_from_reflectance",
]

_EPSILON = (6.0 / 29.0) ** 3
"""Start of CIELAB's cube root; linear below (CIE 15:2018, eq 8.5)."""

_SLOPE = (29.0 / 6.0) ** 2 / 3.0
_OFFSET = 4.0 / 29.0

_C25_7 = 25.0**7
"""Of the rotation and chroma terms of CIEDE2000."""


def tristimulus_weights(observer: ArrayLike, illuminant: ArrayLike) -> NDArray[np.float64]:
    """Return the weights that turn a reflectance spectrum into X, Y and Z by one product.

    Parameters
    ----------
    observer : array_like, shape (n, 3)
        Colour-matching functions on an even grid. [-]
    illuminant : array_like, shape (n,)
        Relative spectral power on the same grid, in any scale.

    Returns
    -------
    ndarray, shape (n, 3)
        Weights; they sum to the white point, with Y of a perfect white = 100.

    Raises
    ------
    OutOfRangeError
        If the shapes do not fit or there is no light.

    Notes
    -----
    CIE 15:2018, eq 7.1, as a plain sum on the grid (5 nm is the coarsest that CIE 15 allows for
    it); no correction for the instrument's bandwidth.
    """
    functions = np.asarray(observer, dtype=np.float64)
    power = np.asarray(illuminant, dtype=np.float64)
    if functions.ndim != 2 or functions.shape[1] != 3 or power.shape != functions.shape[:1]:
        raise OutOfRangeError(
            f"observer has shape {functions.shape} and illuminant {power.shape}, "
            "expected (n, 3) and (n,) on one wavelength grid"
        )
    weights = functions * power[:, None]
    luminous = float(weights[:, 1].sum())
    if not luminous > 0:
        raise OutOfRangeError("illuminant holds no visible light, expected power above 0")
    return np.asarray(100.0 / luminous * weights)


def white_point(weights: ArrayLike) -> NDArray[np.float64]:
    """Return X, Y, Z of the perfect white from `tristimulus_weights`."""
    return np.asarray(np.asarray(weights, dtype=np.float64).sum(axis=0))


def xyz_from_reflectance(
    reflectance: ArrayLike, observer: ArrayLike, illuminant: ArrayLike
) -> NDArray[np.float64]:
    """Return X, Y, Z of reflectance spectra.

    Parameters
    ----------
    reflectance : array_like, shape (..., n)
        Reflectance factor, 0..1. [-]
    observer : array_like, shape (n, 3)
        Colour-matching functions. [-]
    illuminant : array_like, shape (n,)
        Relative spectral power.

    Returns
    -------
    ndarray, shape (..., 3)
        Tristimulus values, Y of a perfect white = 100. For many batches keep
        `tristimulus_weights` and multiply.
    """
    spectra = np.asarray(reflectance, dtype=np.float64)
    return np.asarray(spectra @ tristimulus_weights(observer, illuminant))


def lab_from_xyz(xyz: ArrayLike, white: ArrayLike) -> NDArray[np.float64]:
    """Return CIELAB 1976 coordinates.

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
        Tristimulus values.
    white : array_like, shape (3,)
        Tristimulus values of the white, in the same scale, > 0.

    Returns
    -------
    ndarray, shape (..., 3)
        L*, a*, b*.

    Raises
    ------
    OutOfRangeError
        If the white is not above 0.

    Notes
    -----
    CIE 15:2018, eqs 8.3 to 8.8, with the linear part near black.
    """
    reference = np.asarray(white, dtype=np.float64)
    if not np.all(reference > 0):
        raise OutOfRangeError(f"white point is {reference}, expected three numbers above 0")
    ratio = np.asarray(xyz, dtype=np.float64) / reference
    f = np.where(ratio > _EPSILON, np.cbrt(ratio), _SLOPE * ratio + _OFFSET)
    lab = np.empty_like(f)
    lab[..., 0] = 116.0 * f[..., 1] - 16.0
    lab[..., 1] = 500.0 * (f[..., 0] - f[..., 1])
    lab[..., 2] = 200.0 * (f[..., 1] - f[..., 2])
    return lab


def xyz_from_lab(lab: ArrayLike, white: ArrayLike) -> NDArray[np.float64]:
    """Return tristimulus values of CIELAB coordinates, the inverse of `lab_from_xyz`.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        L*, a*, b*.
    white : array_like, shape (3,)
        Tristimulus values of the white, > 0.

    Returns
    -------
    ndarray, shape (..., 3)
        Tristimulus values in the scale of the white.
    """
    values = np.asarray(lab, dtype=np.float64)
    fy = (values[..., 0] + 16.0) / 116.0
    f = np.stack([fy + values[..., 1] / 500.0, fy, fy - values[..., 2] / 200.0], axis=-1)
    ratio = np.where(f > 6.0 / 29.0, f**3, (f - _OFFSET) / _SLOPE)
    return np.asarray(ratio * np.asarray(white, dtype=np.float64))


def _chroma_ratio(chroma: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return sqrt(C^7 / (C^7 + 25^7)); products, since a general power is ten times slower."""
    cube = chroma * chroma * chroma
    seventh = cube * cube * chroma
    return np.asarray(np.sqrt(seventh / (seventh + _C25_7)))


def _hue_weight(cosine: NDArray[np.float64], sine: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return T (eq 15) by multiple-angle sums: three cosines fewer to evaluate."""
    c2, s2 = cosine * cosine - sine * sine, 2.0 * sine * cosine
    c3, s3 = c2 * cosine - s2 * sine, s2 * cosine + c2 * sine
    c4, s4 = c2 * c2 - s2 * s2, 2.0 * s2 * c2
    shift = np.deg2rad([30.0, 6.0, 63.0])
    (a1, a3, a4), (b1, b3, b4) = np.cos(shift), np.sin(shift)
    return np.asarray(
        1.0
        - 0.17 * (cosine * a1 + sine * b1)
        + 0.24 * c2
        + 0.32 * (c3 * a3 - s3 * b3)
        - 0.20 * (c4 * a4 + s4 * b4)
    )


def delta_e00(lab1: ArrayLike, lab2: ArrayLike) -> NDArray[np.float64]:
    """Return the CIEDE2000 colour difference.

    Parameters
    ----------
    lab1, lab2 : array_like, shape (..., 3)
        L*, a*, b* of the two colours; leading axes broadcast.

    Returns
    -------
    ndarray, shape (...)
        Difference with kL = kC = kH = 1. [-]

    Notes
    -----
    Sharma G., Wu W., Dalal E.N. (2005), Color Res. Appl. 30, 21, eqs 2 to 22, with their rules
    for the mean hue: the shorter arc, and the plain sum where one colour is grey.

    Examples
    --------
    >>> print(f"{delta_e00([50, 2.6772, -79.7751], [50, 0, -82.7485]):.4f}")
    2.0425
    """
    first, second = np.asarray(lab1, dtype=np.float64), np.asarray(lab2, dtype=np.float64)
    (l1, a1, b1), (l2, a2, b2) = np.moveaxis(first, -1, 0), np.moveaxis(second, -1, 0)
    mean_chroma = 0.5 * (np.sqrt(a1 * a1 + b1 * b1) + np.sqrt(a2 * a2 + b2 * b2))
    stretch = 1.5 - 0.5 * _chroma_ratio(mean_chroma)  # eq 4, as 1 + G
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.sqrt(a1 * a1 + b1 * b1), np.sqrt(a2 * a2 + b2 * b2)
    h1, h2 = np.arctan2(b1, a1), np.arctan2(b2, a2)
    h1, h2 = h1 + 2 * np.pi * (h1 < 0), h2 + 2 * np.pi * (h2 < 0)
    grey = c1 * c2 == 0
    turn = h2 - h1
    wrapped = (np.abs(turn) > np.pi) & ~grey
    turn = turn - 2 * np.pi * np.sign(turn) * wrapped
    turn = np.where(grey, 0.0, turn)
    # eq 14: half a turn away where the short arc crosses red; the sum itself where one is grey.
    total = h1 + h2
    mean_hue = np.where(
        grey, total, 0.5 * total + np.pi * wrapped * np.where(total < 2 * np.pi, 1.0, -1.0)
    )
    chroma, light = 0.5 * (c1 + c2), 0.5 * (l1 + l2)
    weight = _hue_weight(np.cos(mean_hue), np.sin(mean_hue))
    away = (light - 50.0) ** 2
    dl = (l2 - l1) / (1.0 + 0.015 * away / np.sqrt(20.0 + away))
    dc = (c2 - c1) / (1.0 + 0.045 * chroma)
    dh = 2.0 * np.sqrt(c1 * c2) * np.sin(0.5 * turn) / (1.0 + 0.015 * chroma * weight)
    blue = np.deg2rad(60.0) * np.exp(-(((np.rad2deg(mean_hue) - 275.0) / 25.0) ** 2))  # 2 dtheta
    rotation = -np.sin(blue) * 2.0 * _chroma_ratio(chroma)
    square = dl * dl + dc * dc + dh * dh + rotation * dc * dh
    # Rounding may leave a hair below zero for colours that are the same.
    return np.asarray(np.sqrt(np.maximum(square, 0.0)))


def ita_deg(lab: ArrayLike) -> NDArray[np.float64]:
    """Return the individual typology angle of skin.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        L*, a*, b*.

    Returns
    -------
    ndarray, shape (...)
        Angle. [deg]

    Notes
    -----
    arctan((L* - 50)/b*), Chardon A., Cretois I., Hourseau C. (1991), Int. J. Cosmet. Sci. 13, 191.
    It is taken as the angle of the point (b*, L* - 50), which is the same for b* > 0, where all
    bare skin lies. Under a whitening film b* may reach 0 or less: the angle then runs on above 90
    (or below -90) instead of jumping by 180 deg, so paler still reads higher.

    Examples
    --------
    >>> print(f"{ita_deg([66.0, 8.0, 15.0]):.1f}")
    46.8
    """
    values = np.asarray(lab, dtype=np.float64)
    return np.asarray(np.rad2deg(np.arctan2(values[..., 0] - 50.0, values[..., 2])))


class ScreenColour(NamedTuple):
    """Colours for a screen.

    Attributes
    ----------
    srgb : ndarray, shape (..., 3)
        Red, green, blue, 0..1, gamma-encoded and clipped. [-]
    in_gamut : ndarray of bool, shape (...)
        Whether nothing had to be clipped.
    """

    srgb: NDArray[np.float64]
    in_gamut: NDArray[np.bool_]


_D65_CHROMATICITY = (0.3127, 0.3290)
_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
"""Chromaticities of white and primaries of IEC 61966-2-1."""

_GAMUT_SLACK = 1e-6
"""Rounding of a white that is exactly 1 must not count as clipped."""


def _xyz_of(x: float, y: float) -> NDArray[np.float64]:
    return np.array([x / y, 1.0, (1.0 - x - y) / y])


def _rgb_matrix() -> NDArray[np.float64]:
    """Return the matrix from X, Y, Z (white Y = 1) to linear red, green, blue."""
    columns = np.stack([_xyz_of(*primary) for primary in _PRIMARIES], axis=1)
    return np.asarray(
        np.linalg.inv(columns * np.linalg.solve(columns, _xyz_of(*_D65_CHROMATICITY)))
    )


_TO_RGB = _rgb_matrix()


def srgb_from_lab(lab: ArrayLike) -> ScreenColour:
    """Return the screen colour of CIELAB coordinates under D65.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        L*, a*, b* (D65).

    Returns
    -------
    ScreenColour
        Encoded values and whether they lie in the gamut.

    Notes
    -----
    IEC 61966-2-1:1999, with the matrix derived from its chromaticities (its printed matrix has four
    decimals). Coordinates of the 10 deg observer are shown as if they were of the 2 deg one, white
    to white: a common simplification (no source), good for swatches and not for matching.
    """
    xyz = xyz_from_lab(lab, _xyz_of(*_D65_CHROMATICITY))
    linear = xyz @ _TO_RGB.T
    inside = np.all((linear >= -_GAMUT_SLACK) & (linear <= 1.0 + _GAMUT_SLACK), axis=-1)
    clipped = np.clip(linear, 0.0, 1.0)
    encoded = np.where(
        clipped <= 0.0031308, 12.92 * clipped, 1.055 * clipped ** (1.0 / 2.4) - 0.055
    )
    return ScreenColour(np.clip(encoded, 0.0, 1.0), np.asarray(inside))


def hex_from_srgb(srgb: ArrayLike) -> list[str]:
    """Return colours as six-digit web notation.

    Parameters
    ----------
    srgb : array_like, shape (3,) or (..., 3)
        Encoded red, green, blue, 0..1. [-]

    Returns
    -------
    list of str
        "#rrggbb" of each colour, leading axes flattened in order.

    Raises
    ------
    OutOfRangeError
        If a value is outside 0..1.

    Examples
    --------
    >>> hex_from_srgb([1.0, 0.5, 0.0])
    ['#ff8000']
    """
    values = np.asarray(srgb, dtype=np.float64)
    if not np.all((values >= 0) & (values <= 1)):
        raise OutOfRangeError("a screen colour is outside 0 to 1, expected clipped values")
    # Half up, not to even, so that 0.5 gives 128 as elsewhere on the web.
    codes = np.floor(values.reshape(-1, 3) * 255.0 + 0.5).astype(int)
    return ["#{:02x}{:02x}{:02x}".format(*code) for code in codes]


def contrast_ratio(
    over_black: ArrayLike, over_white: ArrayLike, weights: ArrayLike
) -> NDArray[np.float64]:
    """Return the hiding power of a film: Y over black as a percentage of Y over white.

    Parameters
    ----------
    over_black, over_white : array_like, shape (..., n)
        Reflectance of the film over a black and over a white ground, 0..1. [-]
    weights : array_like, shape (n, 3)
        From `tristimulus_weights`.

    Returns
    -------
    ndarray, shape (...)
        Contrast ratio. [%]

    Notes
    -----
    ISO 6504-3 (definition from memory).
    """
    luminous = np.asarray(weights, dtype=np.float64)[:, 1]
    black = np.asarray(over_black, dtype=np.float64) @ luminous
    white = np.asarray(over_white, dtype=np.float64) @ luminous
    return np.asarray(100.0 * black / white)
