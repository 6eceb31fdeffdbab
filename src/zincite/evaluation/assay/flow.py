"""Evaluation of a flow curve: viscosity at stated shear rates, power law, yield stress."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.statistics.intervals import student_t_quantile

__all__ = ["FittedValue", "FlowEvaluation", "FlowFit", "evaluate_flow"]

Array = NDArray[np.float64]

_STANDARD_RATES_1_S = (1.0, 10.0, 100.0)
"""Shear rates reported if none are stated; common practice, no source. [1/s]"""
_GOOD_DEVIATION = 0.15
"""Root mean square of ln stress from which a model does not describe the curve; own rule."""
_F_PROBABILITY = 0.95  # of the F test that a yield stress must pass


@dataclass(frozen=True, slots=True)
class FittedValue:
    """A fitted parameter with its 95 % interval; None where the interval does not exist."""

    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class FlowFit:
    """A flow model fitted to the logarithm of the stress.

    Attributes
    ----------
    model : str
        "power law", stress = K rate^n, or "Herschel-Bulkley", stress = stress0 + K rate^n.
    consistency_Pa_s_n, exponent, yield_stress_Pa : FittedValue
        K, n and stress0; no stress0 in a power law. [Pa s^n], [-], [Pa]
    rms_log_stress : float
        Root mean square deviation of ln stress.
    """

    model: str
    consistency_Pa_s_n: FittedValue
    exponent: FittedValue
    yield_stress_Pa: FittedValue | None
    rms_log_stress: float


@dataclass(frozen=True, slots=True)
class FlowEvaluation:
    """Result of a flow curve.

    Attributes
    ----------
    method : str
    points : int
    shear_rate_range_1_s : tuple of float
    viscosity_mPas : dict of str to float or None
        By shear rate in 1/s; None outside the measured range. [mPa s]
    power_law : FlowFit
    herschel_bulkley : FlowFit or None
        None with fewer than 5 points.
    chosen : str
        Model that the data ask for.
    valid : bool
    reasons, marks, notes : tuple of str
    """

    method: str
    points: int
    shear_rate_range_1_s: tuple[float, float]
    viscosity_mPas: dict[str, float | None]
    power_law: FlowFit
    herschel_bulkley: FlowFit | None
    chosen: str
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return dict(plain(self))


def _curve(
    shear_rate_1_s: ArrayLike, stress_Pa: ArrayLike | None, viscosity_mPas: ArrayLike | None
) -> tuple[Array, Array]:
    """Return shear rates and stresses in rising order of the rate."""
    if (stress_Pa is None) == (viscosity_mPas is None):
        raise OutOfRangeError(
            "flow curve: give either the stress or the viscosity at each shear rate, "
            f"found {'neither' if stress_Pa is None else 'both'}"
        )
    rate = np.asarray(shear_rate_1_s, dtype=float)
    given = stress_Pa if stress_Pa is not None else viscosity_mPas
    values = np.asarray(given, dtype=float)
    if rate.ndim != 1 or rate.shape != values.shape or rate.size < 3:
        raise OutOfRangeError(
            f"flow curve: {rate.size} shear rates and {values.size} values found, expected as "
            "many of each and at least 3"
        )
    for name, column in (("shear rate", rate), ("stress or viscosity", values)):
        wrong = ~(np.isfinite(column) & (column > 0))
        if wrong.any():
            raise OutOfRangeError(
                f"flow curve: {name} {float(column[wrong][0]):g} found in row "
                f"{int(np.argmax(wrong)) + 1}, expected a number above 0"
            )
    if np.unique(rate).size < 3:
        raise OutOfRangeError("flow curve: fewer than 3 different shear rates, expected at least 3")
    order = np.argsort(rate, kind="stable")
    stress = values if stress_Pa is not None else 1e-3 * values * rate
    return rate[order], stress[order]


def _viscosities(rate: Array, stress: Array, at: Sequence[float]) -> dict[str, float | None]:
    """Return viscosities between the points, linear in the logarithms. [mPa s]"""
    distinct = np.unique(rate)
    logs = [float(np.mean(np.log(stress[rate == r] / r))) for r in distinct]
    found: dict[str, float | None] = {}
    for wanted in at:
        if not 0 < wanted < math.inf:
            raise OutOfRangeError(f"shear rate is {wanted:g} 1/s, expected above 0")
        inside = distinct[0] <= wanted <= distinct[-1]
        value = float(np.exp(np.interp(np.log(wanted), np.log(distinct), logs)))
        found[f"{wanted:g}"] = 1e3 * value if inside else None
    return found


def _intervals(
    parameters: Array, jacobian: Array, sum_of_squares: float, free: int
) -> list[tuple[float, float] | None]:
    """Return 95 % intervals from the curvature at the minimum, t with `free` degrees."""
    normal = jacobian.T @ jacobian
    if free < 1 or np.linalg.cond(normal) > 1e14:
        return [None] * parameters.size
    spread = np.sqrt(np.diag(np.linalg.inv(normal)) * sum_of_squares / free)
    reach = student_t_quantile(0.975, free) * spread
    return [(float(p - r), float(p + r)) for p, r in zip(parameters, reach, strict=True)]


def _fitted(
    value: float,
    interval: tuple[float, float] | None,
    change: Callable[[float], float] = float,
) -> FittedValue:
    if interval is None:
        return FittedValue(change(value), None, None)
    return FittedValue(change(value), change(interval[0]), change(interval[1]))


def _power_law(rate: Array, stress: Array) -> tuple[FlowFit, float]:
    """Fit ln stress = ln K + n ln rate; also return the sum of squares."""
    design = np.stack([np.ones(rate.size), np.log(rate)], axis=1)
    logs = np.log(stress)
    parameters = np.linalg.lstsq(design, logs, rcond=None)[0]
    squares = float(np.sum((logs - design @ parameters) ** 2))
    bounds = _intervals(parameters, design, squares, rate.size - 2)
    fit = FlowFit(
        "power law",
        _fitted(float(parameters[0]), bounds[0], math.exp),
        _fitted(float(parameters[1]), bounds[1]),
        None,
        math.sqrt(squares / rate.size),
    )
    return fit, squares


def _herschel_bulkley(rate: Array, stress: Array, start: FlowFit) -> tuple[FlowFit, float] | None:
    """Fit ln stress = ln(stress0 + K rate^n), stress0 >= 0; also return the sum of squares."""
    if rate.size < 5:
        return None
    from scipy.optimize import least_squares

    logs, lowest = np.log(stress), float(stress.min())

    def residual(p: Array) -> Array:
        # stress0 in units of the lowest stress: all parameters are then of one size
        return np.asarray(np.log(lowest * p[0] + np.exp(p[1]) * rate ** p[2]) - logs)

    low, high = [0.0, -30.0, 0.02], [1.5, 30.0, 3.0]
    tries = []
    for share in (0.01, 0.5, 0.95):
        n = start.exponent.value
        first = [share, math.log(start.consistency_Pa_s_n.value), min(max(n, 0.1), 1.5)]
        tries.append(
            least_squares(
                residual, first, bounds=(low, high), x_scale="jac",
                xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=2000,
            )
        )  # fmt: skip
    best = min(tries, key=lambda found: float(found.cost))
    squares = float(2 * best.cost)
    bounds = _intervals(best.x, best.jac, squares, rate.size - 3)
    yield_bounds = bounds[0]
    if yield_bounds is not None:
        yield_bounds = max(yield_bounds[0], 0.0), yield_bounds[1]
    fit = FlowFit(
        "Herschel-Bulkley",
        _fitted(float(best.x[1]), bounds[1], math.exp),
        _fitted(float(best.x[2]), bounds[2]),
        _fitted(float(best.x[0]), yield_bounds, lambda x: lowest * x),
        math.sqrt(squares / rate.size),
    )
    return fit, squares


def _has_yield_stress(simple: float, full: float, points: int) -> bool:
    """Return whether a third parameter earns its place: F test with 1 and n - 3 degrees."""
    from scipy.special import fdtri

    free = points - 3
    tiny = 1e-20 * points  # an exact power law leaves rounding errors on both sides
    if simple <= tiny:
        return False
    ratio = (simple - full) * free / max(full, tiny)
    return ratio > float(fdtri(1, free, _F_PROBABILITY))


def evaluate_flow(
    shear_rate_1_s: ArrayLike,
    *,
    stress_Pa: ArrayLike | None = None,
    viscosity_mPas: ArrayLike | None = None,
    at_shear_rates_1_s: Sequence[float] = _STANDARD_RATES_1_S,
) -> FlowEvaluation:
    """Evaluate a steady flow curve.

    Parameters
    ----------
    shear_rate_1_s : array_like, shape (n,)
        > 0, at least 3 different ones; up and down ramps together are averaged. [1/s]
    stress_Pa, viscosity_mPas : array_like, shape (n,)
        One of the two, > 0. [Pa], [mPa s]
    at_shear_rates_1_s : sequence of float
        Where to report the viscosity. [1/s]

    Returns
    -------
    FlowEvaluation

    Raises
    ------
    OutOfRangeError
        If the curve is too short, uneven or not positive.

    Notes
    -----
    Least squares on ln stress, as rheometers err in proportion. Intervals (95 %) from the
    curvature at the minimum. A yield stress is taken where it earns its place by an F test (5 %);
    it is that of the model over the measured range, not a static one.

    References
    ----------
    Herschel W.H., Bulkley R. (1926) Kolloid-Z. 39, 291; power law of Ostwald and de Waele.
    """
    rate, stress = _curve(shear_rate_1_s, stress_Pa, viscosity_mPas)
    at = _viscosities(rate, stress, at_shear_rates_1_s)
    simple, simple_squares = _power_law(rate, stress)
    full = _herschel_bulkley(rate, stress, simple)
    chosen = simple
    if full is not None and _has_yield_stress(simple_squares, full[1], rate.size):
        chosen = full[0]
    outside = [key for key, value in at.items() if value is None]
    notes = [
        f"viscosity at {key} 1/s lies outside the measured {rate[0]:g} to {rate[-1]:g} 1/s"
        for key in outside
    ]
    if full is None:
        notes.append("fewer than 5 points: no yield stress was sought")
    reasons = []
    if chosen.rms_log_stress > _GOOD_DEVIATION:
        reasons.append(
            f"neither model describes the curve: stresses deviate by "
            f"{100 * chosen.rms_log_stress:.0f} % on average"
        )
    return FlowEvaluation(
        "flow curve, least squares on ln stress",
        int(rate.size),
        (float(rate[0]), float(rate[-1])),
        at,
        simple,
        None if full is None else full[0],
        chosen.model,
        not reasons,
        tuple(reasons),
        (),
        tuple(notes),
    )
