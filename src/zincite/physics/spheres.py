"""Scattering by coated spheres (Aden and Kerker 1951) in ratio form.

Sign convention, stated once: index = n + i k with k >= 0 absorbing, fields ~ exp(-i omega t),
zeta_n(z) = z h_n^(1)(z). Sizes enter as x = pi d n_medium / wavelength.

Riccati-Bessel functions are never formed for the complex arguments. Only ratios of
neighbouring orders are, u_n = psi_(n-1)/psi_n downward and w_n = zeta_(n-1)/zeta_n upward,
each in its stable direction, and Q_n = [psi_n/zeta_n](m2 x) / [psi_n/zeta_n](m2 y), which
cannot overflow. This is why thick absorbing shells stay right at any size.

References
----------
Aden A.L., Kerker M. (1951) J. Appl. Phys. 22, 1242 (the solution).
Kaiser T., Schweiger G. (1993) Comput. Phys. 7, 682; Yang W. (2003) Appl. Opt. 42, 1710
(logarithmic-derivative form for layers).
Bohren C.F., Huffman D.R. (1983) Absorption and Scattering of Light by Small Particles, ch. 4
(efficiencies and asymmetry, eqs 4.61, 4.62 and p. 120).
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics._sphere_series import orders_needed, sphere_sums

__all__ = ["Efficiencies", "coated_sphere"]

_BLOCK = 2048  # spheres worked on together: their order tables stay in the second-level cache
_LARGEST_SIZE = 2.0e4
_MEDIUM_K_LIMIT = 1e-4


class _Triple(NamedTuple):
    extinction: NDArray[np.float64]
    scattering: NDArray[np.float64]
    asymmetry: NDArray[np.float64]


class Efficiencies(_Triple):
    """Efficiencies per geometric cross-section of the outer sphere.

    Unpacks to (extinction, scattering, asymmetry). `absorption` is summed for itself, not
    taken as a difference, so that it keeps its digits in weakly absorbing spheres;
    extinction is scattering plus absorption.

    Attributes
    ----------
    extinction, scattering, asymmetry, absorption : ndarray
        Broadcast shape of the inputs. [-]
    """

    absorption: NDArray[np.float64]

    def __new__(
        cls,
        extinction: NDArray[np.float64],
        scattering: NDArray[np.float64],
        asymmetry: NDArray[np.float64],
        absorption: NDArray[np.float64] | None = None,
    ) -> Efficiencies:
        """Build the triple and attach the absorption."""
        made = super().__new__(cls, extinction, scattering, asymmetry)
        made.absorption = extinction - scattering if absorption is None else absorption
        return made


def _index(value: ArrayLike, name: str) -> NDArray[Any]:
    index = np.asarray(value)
    if np.iscomplexobj(index) and not np.any(index.imag):
        index = index.real
    if not np.all(np.isfinite(index)):
        raise OutOfRangeError(f"{name} holds a missing number, expected n + 1j*k")
    if np.any(index.real <= 0):
        raise OutOfRangeError(f"{name} has n = {index.real.min():g}, expected n > 0")
    if np.iscomplexobj(index) and np.any(index.imag < 0):
        raise OutOfRangeError(f"{name} has k = {index.imag.min():g}, expected k >= 0 (n + 1j*k)")
    return index if np.iscomplexobj(index) else index.astype(float)


def _positive(value: ArrayLike, name: str, *, zero_allowed: bool = False) -> NDArray[np.float64]:
    number = np.asarray(value, dtype=float)
    bad = ~np.isfinite(number) | ((number < 0) if zero_allowed else (number <= 0))
    if np.any(bad):
        first = float(number[bad].ravel()[0])
        expected = "0 or more" if zero_allowed else "a finite number above 0"
        raise OutOfRangeError(f"{name} is {first:g}, expected {expected}")
    return number


def coated_sphere(
    core_diameter_nm: ArrayLike,
    shell_thickness_nm: ArrayLike,
    core_index: ArrayLike,
    shell_index: ArrayLike,
    medium_index: ArrayLike,
    wavelength_nm: ArrayLike,
) -> Efficiencies:
    """Return extinction, scattering and asymmetry of coated spheres.

    All arguments broadcast against each other.

    Parameters
    ----------
    core_diameter_nm : array_like
        Core diameter, > 0. [nm]
    shell_thickness_nm : array_like
        Thickness of the coating, >= 0; 0 makes a homogeneous sphere. [nm]
    core_index, shell_index : array_like, complex
        n + 1j*k with k >= 0. [-]
    medium_index : array_like
        Index of the surrounding medium; real (k up to 1e-4 is ignored). [-]
    wavelength_nm : array_like
        Vacuum wavelength, > 0. [nm]

    Returns
    -------
    Efficiencies
        extinction, scattering, asymmetry (and absorption), broadcast shape. Efficiencies are
        per geometric cross-section of the outer sphere. [-]

    Raises
    ------
    OutOfRangeError
        If a size, an index or a wavelength is impossible, or a size parameter is above 20000.

    Notes
    -----
    Scattering and absorption follow from the coefficients a_n, b_n; absorption from
    Im(H_n) |zeta_n X - zeta_n'|^-2 by the Wronskian of the Riccati-Bessel functions, which has
    no difference of near-equal numbers.

    References
    ----------
    Yang W. (2003) Appl. Opt. 42, 1710; Bohren and Huffman (1983) ch. 4, 8.

    Examples
    --------
    The sample sphere of Bohren and Huffman (1983), appendix A:

    >>> q = coated_sphere(1050.0, 0.0, 1.55, 1.55, 1.0, 632.8)
    >>> print(f"{float(q.extinction):.5f} {float(q.asymmetry):.5f}")
    3.10543 0.63314
    """
    core = _positive(core_diameter_nm, "core_diameter_nm")
    shell = _positive(shell_thickness_nm, "shell_thickness_nm", zero_allowed=True)
    wavelength = _positive(wavelength_nm, "wavelength_nm")
    medium = _index(medium_index, "medium_index")
    if np.iscomplexobj(medium):
        if np.any(medium.imag > _MEDIUM_K_LIMIT):
            raise OutOfRangeError(
                f"medium_index has k = {medium.imag.max():g}, expected a transparent medium"
            )
        medium = medium.real
    m1 = _index(core_index, "core_index") / medium
    m2 = _index(shell_index, "shell_index") / medium
    x, y, m1, m2 = np.broadcast_arrays(
        np.pi * core * medium / wavelength,
        np.pi * (core + 2 * shell) * medium / wavelength,
        m1,
        m2,
    )
    if y.size and float(y.max()) > _LARGEST_SIZE:
        raise OutOfRangeError(
            f"size parameter is {float(y.max()):g}, expected at most {_LARGEST_SIZE:g}"
        )
    shape = x.shape
    scattering, absorption, asymmetry = _in_blocks(x.ravel(), y.ravel(), m1.ravel(), m2.ravel())
    scattering, absorption = scattering.reshape(shape), absorption.reshape(shape)
    return Efficiencies(scattering + absorption, scattering, asymmetry.reshape(shape), absorption)


def _in_blocks(
    x: NDArray[np.float64], y: NDArray[np.float64], m1: NDArray[Any], m2: NDArray[Any]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Work through spheres of like size together, since the largest sets the orders needed."""
    order = np.argsort(y, kind="stable")
    sums = np.empty((3, y.size))
    start = 0
    while start < y.size:
        # in a block of unlike sizes the small spheres' chi would overflow at the large ones' orders
        limit = 1.25 * orders_needed(float(y[order[start]])) + 2
        stop = min(start + _BLOCK, y.size)
        if orders_needed(float(y[order[stop - 1]])) > limit:
            counts = [orders_needed(float(size)) for size in y[order[start:stop]]]
            stop = start + int(np.searchsorted(counts, limit, side="right"))
        pick = order[start:stop]
        sums[:, pick] = sphere_sums(x[pick], y[pick], m1[pick], m2[pick])
        start = stop
    return sums[0], sums[1], sums[2]
