"""Size distributions of particles: lognormal and measured, by number or by volume.

Diameters are in nm throughout. A lognormal by volume and one by number with the same
geometric standard deviation differ only in the median (Hatch and Choate 1929):
ln d_volume = ln d_number + 3 ln^2(gsd).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from zincite.errors import OutOfRangeError

__all__ = [
    "SizeNodes",
    "effective_radius_and_variance",
    "histogram_nodes",
    "lognormal_nodes",
    "number_fraction_below",
    "number_median_from_volume",
    "volume_median_from_number",
]


@dataclass(frozen=True, slots=True)
class SizeNodes:
    """Quadrature nodes of a size distribution.

    Attributes
    ----------
    diameter_nm : ndarray, shape (n,)
        Diameters. [nm]
    volume_weight : ndarray, shape (n,)
        Share of the particles' volume at each diameter, summing to 1. [-]
    """

    diameter_nm: NDArray[np.float64]
    volume_weight: NDArray[np.float64]

    @property
    def number_weight(self) -> NDArray[np.float64]:
        """Share of the particles' number at each diameter, summing to 1. [-]"""
        weight: NDArray[np.float64] = self.volume_weight / self.diameter_nm**3
        return np.asarray(weight / weight.sum())

    @property
    def sauter_diameter_nm(self) -> float:
        """Volume-to-surface mean diameter d32. [nm]"""
        return 1.0 / float(np.sum(self.volume_weight / self.diameter_nm))


def volume_median_from_number(number_median_nm: float, gsd: float) -> float:
    """Return the volume median of a lognormal given by number. [nm]"""
    return number_median_nm * math.exp(3.0 * math.log(gsd) ** 2)


def number_median_from_volume(volume_median_nm: float, gsd: float) -> float:
    """Return the number median of a lognormal given by volume. [nm]

    Examples
    --------
    >>> round(number_median_from_volume(250.0, 1.8))
    89
    """
    return volume_median_nm * math.exp(-3.0 * math.log(gsd) ** 2)


def _check(median_nm: float, gsd: float, weighting: str) -> None:
    if not (math.isfinite(median_nm) and median_nm > 0):
        raise OutOfRangeError(f"median diameter is {median_nm} nm, expected a number above 0")
    if not (math.isfinite(gsd) and gsd >= 1):
        raise OutOfRangeError(f"geometric standard deviation is {gsd}, expected 1 or more")
    if weighting not in ("volume", "number"):
        raise OutOfRangeError(f"weighting is {weighting!r}, expected 'volume' or 'number'")


def lognormal_nodes(
    median_nm: float, gsd: float, *, weighting: str = "volume", points: int = 24
) -> SizeNodes:
    """Return Gauss-Hermite nodes of a lognormal distribution.

    Parameters
    ----------
    median_nm : float
        Median diameter by `weighting`, > 0. [nm]
    gsd : float
        Geometric standard deviation, >= 1. [-]
    weighting : str
        "volume" or "number".
    points : int
        Number of nodes; one node when gsd is 1.

    Returns
    -------
    SizeNodes
        Nodes of the distribution by volume.

    Raises
    ------
    OutOfRangeError
        If the median or the deviation is impossible.
    """
    _check(median_nm, gsd, weighting)
    if weighting == "number":
        median_nm = volume_median_from_number(median_nm, gsd)
    if gsd == 1:
        return SizeNodes(np.array([float(median_nm)]), np.array([1.0]))
    nodes, weight = _hermite_nodes(points)
    return SizeNodes(median_nm * np.exp(nodes * math.log(gsd)), weight)


@lru_cache(maxsize=8)
def _hermite_nodes(points: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return Gauss-Hermite nodes and weights (sum 1), without weights that cannot matter."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(points)
    keep = weights > 1e-9 * weights.max()
    return nodes[keep], weights[keep] / weights[keep].sum()


def histogram_nodes(
    diameter_nm: ArrayLike, share: ArrayLike, *, weighting: str = "volume"
) -> SizeNodes:
    """Return the nodes of a measured histogram.

    Parameters
    ----------
    diameter_nm : array_like, shape (n,)
        Class middles, > 0. [nm]
    share : array_like, shape (n,)
        Share in each class by `weighting`, >= 0, in any scale.
    weighting : str
        "volume" or "number".

    Returns
    -------
    SizeNodes

    Raises
    ------
    OutOfRangeError
        If the histogram is empty, negative or has impossible diameters.
    """
    diameter = np.asarray(diameter_nm, dtype=float)
    weight = np.asarray(share, dtype=float)
    if diameter.ndim != 1 or diameter.shape != weight.shape or diameter.size == 0:
        raise OutOfRangeError("size histogram is empty or uneven, expected as many sizes as shares")
    possible = np.isfinite(diameter) & (diameter > 0)
    if not np.all(possible):
        raise OutOfRangeError(
            f"size histogram holds a diameter of {float(diameter[~possible][0]):g} nm, "
            "expected a number above 0"
        )
    _check(1.0, 1.0, weighting)
    if not (np.all(np.isfinite(weight)) and np.all(weight >= 0)):
        raise OutOfRangeError("size histogram holds a negative or missing share, expected >= 0")
    if weight.sum() <= 0:
        raise OutOfRangeError("size histogram is empty (all shares are 0), expected some above 0")
    if weighting == "number":
        weight = weight * diameter**3
    keep = weight > 0
    return SizeNodes(diameter[keep], weight[keep] / weight.sum())


def number_fraction_below(
    limit_nm: float, median_nm: float, gsd: float, *, weighting: str = "volume"
) -> float:
    """Return the share by number of a lognormal's particles below a diameter.

    The nano decision asks for it at 100 nm of the constituent particles
    (Commission Recommendation 2022/C 229/01).

    Examples
    --------
    >>> round(number_fraction_below(100.0, 250.0, 1.8), 2)
    0.58
    """
    _check(median_nm, gsd, weighting)
    if weighting == "volume":
        median_nm = number_median_from_volume(median_nm, gsd)
    if gsd == 1:
        return 1.0 if median_nm < limit_nm else 0.0
    return float(ndtr(math.log(limit_nm / median_nm) / math.log(gsd)))


def effective_radius_and_variance(
    radius_geometric: float, gsd: float
) -> tuple[float, float, float]:
    """Return effective radius, effective variance and mean cubed radius of a lognormal by number.

    Hansen J.E., Travis L.D. (1974), Space Sci. Rev. 16, 527, eqs 2.53-2.54 with the moments
    <r^k> = r_g^k exp(k^2 s^2 / 2), s = ln gsd.
    """
    _check(radius_geometric, gsd, "number")
    s2 = math.log(gsd) ** 2
    return (
        radius_geometric * math.exp(2.5 * s2),
        math.exp(s2) - 1.0,
        radius_geometric**3 * math.exp(4.5 * s2),
    )
