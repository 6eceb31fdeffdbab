"""Ladder study: the dispersant at which a mill base of fixed solids is thinnest."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.dispersion.ladder_result import InProduct, LadderResult, Level
from zincite.evaluation.making.dispersion.milled import mill_base_of
from zincite.formula.formula import Formula
from zincite.statistics.minimum import Parabola, fit_parabola

__all__ = ["dispersant_percent_of_product", "evaluate_ladder"]

Array = NDArray[np.float64]

_LEAST_LEVELS = 4
_REACH = 2  # levels on each side of the thinnest one that the curve is laid through
_SPARING = 1.10  # viscosity over the lowest that is still as good; own rule
_LACK_P = 0.05


def dispersant_percent_of_product(of_pigment_percent: float, pigment_percent: float) -> float:
    """Return the dispersant in per cent of the product. [%]

    Parameters
    ----------
    of_pigment_percent : float
        Dispersant per pigment. [%]
    pigment_percent : float
        Pigment of the product. [%]

    Examples
    --------
    Trade relation R05, 3 % on 20 % zinc oxide:

    >>> round(dispersant_percent_of_product(3, 20), 3)
    0.6
    """
    return of_pigment_percent * pigment_percent / 100


def evaluate_ladder(
    dispersant_percent: ArrayLike,
    viscosity_mPas: ArrayLike,
    *,
    solids_percent: float | None = None,
    formula: Formula | None = None,
    confidence: float = 0.95,
) -> LadderResult:
    """Return the dispersant at which a mill base is thinnest (trade relation R05).

    Parameters
    ----------
    dispersant_percent : array_like, shape (n,)
        Of the pigment, >= 0; replicates repeat their level. [%]
    viscosity_mPas : array_like, shape (n,)
        > 0. [mPa s]
    solids_percent : float, optional
        Pigment of the mill base. [%]
    formula : Formula, optional
        Product that the answer is translated to.
    confidence : float
        Of the interval, between 0 and 1.

    Raises
    ------
    OutOfRangeError
        If there are fewer than 4 levels or a number is impossible.
    FormulaError
        If the formula holds no pigment.

    Notes
    -----
    A parabola in ln viscosity is laid through the thinnest level and two on each side, all
    samples counting alike. There is no minimum inside the ladder if the thinnest level is an end
    one or the curve does not turn between the ends.
    """
    x = np.asarray(dispersant_percent, dtype=float)
    eta = np.asarray(viscosity_mPas, dtype=float)
    _check(x, eta, confidence)
    places = np.unique(x)
    means = np.array([float(np.exp(np.log(eta[x == place]).mean())) for place in places])
    thinnest = int(means.argmin())
    product = None if formula is None else _held(formula)
    chosen = places[max(thinnest - _REACH, 0) : thinnest + _REACH + 1]
    at_end = _at_end(places, thinnest)
    fit = None if at_end else _fit(x, eta, chosen)
    status, reason = ("none", at_end) if fit is None else _status(places, fit, confidence)
    fit = None if status == "none" else fit
    best = None if fit is None else fit.minimum_x
    interval = None if fit is None else _from_none(fit.profile_interval(confidence))
    levels = tuple(
        Level(float(place), float(mean), int((x == place).sum()), place in chosen)
        for place, mean in zip(places, means, strict=True)
    )
    return LadderResult(
        levels=levels,
        solids_percent=solids_percent,
        status=status,
        reason=reason,
        best_percent=best,
        interval_percent=interval,
        delta_interval_percent=None if fit is None else _from_none(fit.delta_interval(confidence)),
        lowest_mPas=None if fit is None or best is None else float(np.exp(fit(best))),
        sparing_percent=None if fit is None or best is None else _sparing(fit, best, places),
        fit=fit,
        confidence=confidence,
        product=None if product is None else _translated(product, best, interval),
        basis=_basis(fit, interval, places, replicated=x.size > places.size),
    )


def _check(x: Array, eta: Array, confidence: float) -> None:
    if x.ndim != 1 or x.shape != eta.shape:
        raise OutOfRangeError(
            f"{x.size} levels and {eta.size} viscosities are given, expected as many of each"
        )
    if not (np.isfinite(x).all() and (x >= 0).all()):
        raise OutOfRangeError("a level of dispersant is not a number of 0 % or more")
    if not (np.isfinite(eta).all() and (eta > 0).all()):
        raise OutOfRangeError("a viscosity is not a number above 0 mPa s")
    count = np.unique(x).size
    if count < _LEAST_LEVELS:
        raise OutOfRangeError(
            f"the ladder has {count} level{'s' * (count != 1)} of dispersant, expected at least "
            f"{_LEAST_LEVELS} for a minimum with an interval"
        )
    if not 0 < confidence < 1:
        raise OutOfRangeError(f"confidence is {confidence:g}, expected between 0 and 1")


def _at_end(places: Array, thinnest: int) -> str:
    """Return why an end level as the thinnest one shows no minimum, "" for an inner level."""
    if thinnest == places.size - 1:
        return f"it is thinnest at the highest level, {places[-1]:g} %: add levels above"
    if thinnest == 0:
        return f"it is thinnest at the lowest level, {places[0]:g} %: add levels below"
    return ""


def _fit(x: Array, eta: Array, chosen: Array) -> Parabola:
    used = np.isin(x, chosen)
    return fit_parabola(x[used], np.log(eta[used]))


def _status(places: Array, fit: Parabola, confidence: float) -> tuple[str, str]:
    place = fit.minimum_x
    if place is None or not places[0] <= place <= places[-1]:
        return "none", "the curve through the levels does not turn between them: repeat samples"
    if fit.profile_interval(confidence) is None:
        return "weak", "the curve bends too little for its scatter: repeat samples, or go wider"
    return "minimum", ""


def _from_none(interval: tuple[float, float] | None) -> tuple[float, float] | None:
    """Return an interval without amounts below no dispersant at all."""
    return None if interval is None else (max(interval[0], 0.0), interval[1])


def _sparing(fit: Parabola, best: float, places: Array) -> float:
    """Return the least dispersant with at most 10 % more viscosity, not below the ladder."""
    return max(best - math.sqrt(math.log(_SPARING) / fit.coefficients[2]), float(places[0]))


def _held(formula: Formula) -> InProduct:
    mill = mill_base_of(formula)
    return InProduct(mill.powder_percent, None, None, None, mill.dispersant_percent)


def _translated(
    product: InProduct, best: float | None, interval: tuple[float, float] | None
) -> InProduct:
    pigment = product.pigment_percent
    found = [
        None if of_pigment is None else dispersant_percent_of_product(of_pigment, pigment)
        for of_pigment in (best, *(interval or (None, None)))
    ]
    return InProduct(pigment, found[0], found[1], found[2], product.held_percent)


def _basis(
    fit: Parabola | None,
    interval: tuple[float, float] | None,
    places: Array,
    *,
    replicated: bool,
) -> Basis:
    warnings = [
        "The answer holds for this powder, coating and oil: a new one asks for a new ladder."
    ]
    if fit is None:
        return Basis(("R05",), (), tuple(warnings))
    if not replicated:
        warnings.append("No level was repeated, so the interval rests on how well a parabola fits.")
    if interval is not None and (interval[0] < places[0] or interval[1] > places[-1]):
        warnings.append("The interval reaches beyond the ladder, where nothing was measured.")
    if fit.lack_of_fit_p is not None and fit.lack_of_fit_p < _LACK_P:
        warnings.append(
            "The levels stray from a parabola by more than their repeats do "
            f"(p {fit.lack_of_fit_p:.2g}): add levels close to the minimum."
        )
    return Basis(
        ("R05",),
        ("The curve is taken as a parabola in ln viscosity near its minimum: own choice.",),
        tuple(warnings),
    )
