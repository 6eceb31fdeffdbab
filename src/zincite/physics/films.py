"""Thickness distributions of a spread film.

Heights are relative to the mean height. A film is given by nodes of height and their weights;
what a film transmits is the weighted mean of what each height transmits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln

from zincite.errors import OutOfRangeError

__all__ = [
    "HEIGHT_NODES",
    "gamma_film_transmittance",
    "gamma_film_weights",
    "gamma_height_density",
    "step_film",
]

Array = NDArray[np.float64]


def _nodes(lowest: float, highest: float, count: int) -> Array:
    nodes = np.geomspace(lowest, highest, count)
    nodes.flags.writeable = False
    return nodes


HEIGHT_NODES = _nodes(1e-5, 14.0, 28)
"""Relative heights for quadrature in ln h, to 1e-4 in transmittance for gamma shapes of 0.4 to 6
and absorbances to 20. [-]"""


def _at_least(name: str, value: ArrayLike, low: float, *, reached: bool = True) -> Array:
    number = np.asarray(value, dtype=float)
    bad = ~((number >= low) if reached else (number > low))
    if np.any(bad):
        expected = f"{low:g} or more" if reached else f"above {low:g}"
        raise OutOfRangeError(f"{name} is {float(number[bad].ravel()[0]):g}, expected {expected}")
    return number


def gamma_height_density(height: ArrayLike, shape: ArrayLike) -> Array:
    """Return the density of relative heights, h ~ Gamma(shape, mean 1).

    Parameters
    ----------
    height : array_like
        Relative height, > 0. [-]
    shape : array_like
        Evenness c: 0.5 poor, 1.5 good, 3 very good spreading (Ferrero 2003). [-]

    Returns
    -------
    ndarray, broadcast shape
        [-]

    Raises
    ------
    OutOfRangeError
        If a height or a shape is not above 0.

    References
    ----------
    Ferrero L., Pissavini M., Marguerie S., Zastrow L. (2003) J. Cosmet. Sci. 54, 463-481.
    """
    h = _at_least("relative height", height, 0.0, reached=False)
    c = _at_least("film shape", shape, 0.0, reached=False)
    density: Array = np.exp(c * np.log(c) + (c - 1) * np.log(h) - c * h - gammaln(c))
    return density


def gamma_film_weights(shape: ArrayLike, nodes: ArrayLike = HEIGHT_NODES) -> Array:
    """Return quadrature weights of a gamma film on given nodes, equidistant in ln h.

    Parameters
    ----------
    shape : array_like, shape (...)
        Evenness c, 0.3 to 20. [-]
    nodes : array_like, shape (n,)
        Relative heights. [-]

    Returns
    -------
    ndarray, shape (..., n)
        Weights that sum to 1 and keep the mean height at 1.

    Raises
    ------
    OutOfRangeError
        If a shape is outside 0.3 to 20.
    """
    c = np.asarray(shape, dtype=float)
    if np.any(~((c >= 0.3) & (c <= 20))):
        raise OutOfRangeError(
            f"film shape is {float(c[~((c >= 0.3) & (c <= 20))].ravel()[0]):g}, expected 0.3 to 20"
        )
    h = np.asarray(nodes, dtype=float)
    step = float(np.log(h[1] / h[0]))
    weights = gamma_height_density(h, c[..., None]) * h * step
    # what lies below the first node belongs to it: density ~ h^(c-1) there
    weights[..., 0] = gamma_height_density(h[0], c) * h[0] * (step / 2 + 1 / c)
    normed: Array = weights / weights.sum(axis=-1, keepdims=True)
    return normed


def gamma_film_transmittance(absorbance: ArrayLike, shape: ArrayLike) -> Array:
    """Return the transmittance of an absorbing gamma film in closed form.

    Parameters
    ----------
    absorbance : array_like
        Decadic absorbance of the even film, >= 0. [-]
    shape : array_like
        Evenness c. [-]

    Returns
    -------
    ndarray
        T = (1 + A ln 10 / c)^-c, the Laplace transform of the gamma density. [-]

    Raises
    ------
    OutOfRangeError
        If an absorbance is negative or a shape is not above 0.

    Examples
    --------
    Ferrero's "good spreading", even absorbance 10 (film absorbance 1.820):

    >>> print(f"{-float(np.log10(gamma_film_transmittance(10.0, 1.5))):.3f}")
    1.820
    """
    a = _at_least("absorbance", absorbance, 0.0)
    c = _at_least("film shape", shape, 0.0, reached=False)
    transmittance: Array = (1 + a * np.log(10) / c) ** -c
    return transmittance


def step_film(share: float, depth: float) -> tuple[Array, Array]:
    """Return heights and weights of a two-step film.

    Parameters
    ----------
    share : float
        Area share g of the lower step, 0..1 exclusive. [-]
    depth : float
        f: the lower step is 1 - f of the mean height. [-]

    Returns
    -------
    height, weight : ndarray, shape (2,)

    Raises
    ------
    OutOfRangeError
        If a parameter is outside 0 to 1.

    References
    ----------
    O'Neill J.J. (1984) J. Pharm. Sci. 73, 888 (idea); Herzog B. (2002) J. Cosmet. Sci. 53, 11-26
    (g = 0.269, f = 0.935 for 2 mg/cm2 in vivo; equation and values from memory).
    """
    if not (0 < share < 1 and 0 <= depth <= 1):
        raise OutOfRangeError(
            f"step film has share {share} and depth {depth}, expected between 0 and 1"
        )
    # the mean height stays 1: share (1 - f) + (1 - share) (f share/(1 - share) + 1) = 1
    upper = 1 + depth * share / (1 - share)
    return np.array([1 - depth, upper]), np.array([share, 1 - share])
