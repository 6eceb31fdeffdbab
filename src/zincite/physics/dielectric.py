"""Dielectric functions: the zinc oxide index model, and the rules that mix materials.

Convention: m = n + ik and epsilon = m^2 with k >= 0 and Im epsilon >= 0 (time factor
exp(-i omega t)); wavelengths in vacuum.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from zincite.errors import OutOfRangeError
from zincite.physics.effective_medium import bruggeman, lorentz_lorenz_mix, maxwell_garnett

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = [
    "HC_EV_NM",
    "bruggeman",
    "exciton_dielectric_tanguy1995",
    "lorentz_lorenz_mix",
    "maxwell_garnett",
    "powder_average",
    "zinc_oxide_index",
    "zinc_oxide_sellmeier_bond1965",
]

HC_EV_NM = 1239.841984
"""Photon energy times vacuum wavelength, CODATA 2018. [eV nm]"""

_BOND_1965 = {
    "ordinary": (2.81418, 0.87968, 0.3042, 0.00711),
    "extraordinary": (2.80333, 0.94470, 0.3004, 0.00714),
}
"""Sellmeier coefficients of zinc oxide with the wavelength in um (bond1965)."""

_BOND_LOW_NM = 450.0
"""Lowest wavelength that Bond measured. [nm]"""

_FIT_GRID_NM = np.arange(450.0, 781.0, 5.0)
"""Where amplitude and background are fitted to Bond. [nm]"""

_GAP_EV, _BINDING_MEV, _BROADENING_MEV = 3.38, 60.0, 45.0
"""Exciton parameters at which amplitude and background are fitted (computed_zinc_oxide)."""

_TAIL_BELOW_GAP_EV = 0.125
"""Depth below the gap at which the exponential tail starts (3.255 eV for 3.38 eV). [eV]

The exciton's Lorentzian wing would give a powder that absorbs in the visible; a crystal's edge
falls exponentially (Urbach).
"""


def zinc_oxide_sellmeier_bond1965(
    wavelength_nm: ArrayLike, ray: str = "ordinary"
) -> NDArray[np.float64]:
    """Return the measured index of the zinc oxide crystal.

    Parameters
    ----------
    wavelength_nm : array_like
        Vacuum wavelength, 450-4000. [nm]
    ray : str
        "ordinary" or "extraordinary".

    Returns
    -------
    ndarray, shape of `wavelength_nm`
        Real index. [-]

    Raises
    ------
    OutOfRangeError
        If the ray is unknown or a wavelength outside the measured range.

    Notes
    -----
    n^2 = A + B w^2/(w^2 - C^2) - D w^2, w in um (bond1965).

    Examples
    --------
    >>> round(float(zinc_oxide_sellmeier_bond1965(550.0)), 4)
    2.0198
    """
    if ray not in _BOND_1965:
        raise OutOfRangeError(f"ray is {ray!r}, expected 'ordinary' or 'extraordinary'")
    wavelength = _within(wavelength_nm, _BOND_LOW_NM, 4000.0)
    a, b, c, d = _BOND_1965[ray]
    square = (wavelength / 1000.0) ** 2
    return np.asarray(np.sqrt(a + b * square / (square - c**2) - d * square))


def exciton_dielectric_tanguy1995(
    energy_eV: ArrayLike, *, gap_eV: float, binding_meV: float, broadening_meV: float
) -> NDArray[np.complex128]:
    """Return the dielectric function of three-dimensional Wannier excitons, amplitude 1.

    Parameters
    ----------
    energy_eV : array_like
        Photon energy, > 0. [eV]
    gap_eV : float
        Band gap, > 0. [eV]
    binding_meV : float
        Exciton binding energy (effective Rydberg), > 0. [meV]
    broadening_meV : float
        Half width of the Lorentzian broadening, > 0. [meV]

    Returns
    -------
    ndarray of complex, shape of `energy_eV`
        Contribution to epsilon per unit amplitude. [1/eV^(3/2)]

    Notes
    -----
    Bound states and continuum in closed form: with z = E + i Gamma, xi(z) = sqrt(R/(Eg - z)) and
    g(xi) = 2 ln xi - 2 pi cot(pi xi) - 2 psi(xi) - 1/xi, the sum is
    sqrt(R)/z^2 [g(xi(z)) + g(xi(-z)) - 2 g(xi(0))]. Causal, so that moving the gap moves n and k
    together.

    References
    ----------
    tanguy1995.
    """
    from scipy.special import digamma

    rydberg, broadening = binding_meV / 1000.0, broadening_meV / 1000.0
    if not (rydberg > 0 and broadening > 0 and gap_eV > 0):
        raise OutOfRangeError(
            f"exciton with gap {gap_eV} eV, binding {binding_meV} meV, broadening "
            f"{broadening_meV} meV found, expected numbers above 0"
        )

    def g(energy: NDArray[np.complex128]) -> NDArray[np.complex128]:
        xi = np.sqrt(rydberg / (gap_eV - energy))
        return np.asarray(
            2.0 * np.log(xi) - 2.0 * np.pi / np.tan(np.pi * xi) - 2.0 * digamma(xi) - 1.0 / xi
        )

    z = np.asarray(energy_eV, dtype=np.complex128) + 1j * broadening
    return np.asarray(np.sqrt(rydberg) / z**2 * (g(z) + g(-z) - 2.0 * g(np.zeros_like(z))))


@lru_cache(maxsize=2)
def _amplitude_and_background(ray: str) -> tuple[float, float]:
    """Fit amplitude and background to Bond's n^2 by least squares, at the default exciton."""
    shape = _default_exciton(_FIT_GRID_NM).real
    square = zinc_oxide_sellmeier_bond1965(_FIT_GRID_NM, ray) ** 2
    amplitude = float(
        np.dot(shape - shape.mean(), square - square.mean()) / np.sum((shape - shape.mean()) ** 2)
    )
    return amplitude, float(square.mean() - amplitude * shape.mean())


def _default_exciton(wavelength_nm: NDArray[np.float64]) -> NDArray[np.complex128]:
    return exciton_dielectric_tanguy1995(
        HC_EV_NM / wavelength_nm,
        gap_eV=_GAP_EV,
        binding_meV=_BINDING_MEV,
        broadening_meV=_BROADENING_MEV,
    )


def _ray_index(
    wavelength_nm: NDArray[np.float64],
    ray: str,
    exciton: tuple[float, float, float],
    urbach_meV: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    gap, binding, broadening = exciton
    amplitude, background = _amplitude_and_background(ray)
    edge = gap - _TAIL_BELOW_GAP_EV
    # The last element is the edge itself, where the tail starts at the model's k.
    energy = np.append(HC_EV_NM / wavelength_nm, edge)
    shape = exciton_dielectric_tanguy1995(
        energy, gap_eV=gap, binding_meV=binding, broadening_meV=broadening
    )
    index = np.sqrt(background + amplitude * shape)
    n, k = index.real.copy(), index.imag.copy()
    below = energy < edge
    k[below] = k[-1] * np.exp((energy[below] - edge) / (urbach_meV / 1000.0))
    seen = wavelength_nm >= _BOND_LOW_NM
    if np.any(seen):
        # Bond's index, moved by what another exciton than the fitted one changes.
        measured = zinc_oxide_sellmeier_bond1965(wavelength_nm[seen], ray) ** 2
        change = shape[:-1][seen].real - _default_exciton(wavelength_nm[seen]).real
        n[:-1][seen] = np.sqrt(measured + amplitude * change)
    return n[:-1], k[:-1]


def zinc_oxide_index(
    wavelength_nm: ArrayLike,
    *,
    gap_eV: float = _GAP_EV,
    binding_meV: float = _BINDING_MEV,
    broadening_meV: float = _BROADENING_MEV,
    urbach_meV: float = 25.0,
    ray: str = "powder",
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the refractive index of zinc oxide from its exciton model.

    Parameters
    ----------
    wavelength_nm : array_like
        Vacuum wavelength, 280-780. [nm]
    gap_eV : float
        Band gap, 3.2-3.6. [eV]
    binding_meV : float
        Exciton binding energy, 10-150. [meV]
    broadening_meV : float
        Broadening, 5-200. [meV]
    urbach_meV : float
        Slope of the exponential edge, 5-200; 25 for a good crystal, 40-80 for defective or doped
        grades. It sets the critical wavelength. [meV]
    ray : str
        "powder" for (2 o + e)/3, "ordinary" or "extraordinary".

    Returns
    -------
    n, k : ndarray, shape of `wavelength_nm`
        Real and imaginary part of m = n + ik. [-]

    Raises
    ------
    OutOfRangeError
        If a parameter or wavelength is outside its range.

    Notes
    -----
    epsilon = B + A times `exciton_dielectric_tanguy1995`; A and B are fitted at the default
    parameters to the measured visible index only (450-780 nm every 5 nm), so the ultraviolet is a
    prediction: k within about 25 %, n within 5 % (15 % at 365-385 nm). From 125 meV below the gap
    downwards k is exponential, which n ignores. From 450 nm up n is the measured index, plus the
    model's change where a parameter is not the default. n steps by 0.006 at 450 nm.

    References
    ----------
    tanguy1995, bond1965, computed_zinc_oxide.

    Examples
    --------
    >>> n, k = zinc_oxide_index(360.0)
    >>> round(float(n), 3), round(float(k), 3)
    (2.207, 0.506)
    """
    wavelength = np.ravel(_within(wavelength_nm, 280.0, 780.0))
    _parameter("band gap", gap_eV, 3.2, 3.6, "eV")
    _parameter("exciton binding energy", binding_meV, 10.0, 150.0, "meV")
    _parameter("broadening", broadening_meV, 5.0, 200.0, "meV")
    _parameter("slope of the exponential edge", urbach_meV, 5.0, 200.0, "meV")
    if ray not in ("powder", *_BOND_1965):
        raise OutOfRangeError(f"ray is {ray!r}, expected 'powder', 'ordinary' or 'extraordinary'")
    exciton = (gap_eV, binding_meV, broadening_meV)
    if ray == "powder":
        n_o, k_o = _ray_index(wavelength, "ordinary", exciton, urbach_meV)
        n_e, k_e = _ray_index(wavelength, "extraordinary", exciton, urbach_meV)
        n, k = powder_average(n_o, n_e), powder_average(k_o, k_e)
    else:
        n, k = _ray_index(wavelength, ray, exciton, urbach_meV)
    shape = np.shape(wavelength_nm)
    return n.reshape(shape), k.reshape(shape)


def _within(wavelength_nm: ArrayLike, low: float, high: float) -> NDArray[np.float64]:
    wavelength = np.asarray(wavelength_nm, dtype=np.float64)
    bad = ~((wavelength >= low) & (wavelength <= high))
    if np.any(bad):
        raise OutOfRangeError(
            f"zinc oxide index: {float(wavelength[bad].flat[0]):g} nm found, "
            f"expected {low:g} to {high:g} nm"
        )
    return wavelength


def _parameter(name: str, value: float, low: float, high: float, unit: str) -> None:
    if not low <= value <= high:
        raise OutOfRangeError(
            f"{name} of zinc oxide is {value} {unit}, expected {low:g} to {high:g} {unit}"
        )


def powder_average(
    ordinary: NDArray[np.float64], extraordinary: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the orientation average (2 o + e)/3 of a uniaxial crystal's n or k.

    Examples
    --------
    >>> float(powder_average(np.array(2.0), np.array(2.3)).round(3))
    2.1
    """
    return np.asarray((2.0 * ordinary + extraordinary) / 3.0)
