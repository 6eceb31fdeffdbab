"""Checks of a fit: prior and posterior predictive, errors before and after, and scores."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.learning.model import LabModel
from zincite.learning.observations import Observation
from zincite.learning.sampling import find_mode
from zincite.statistics.scoring import crps, interval_coverage

__all__ = ["ErrorLine", "LeaveOneOut", "leave_one_out", "predictive_check", "score_predictions"]

Array = NDArray[np.float64]
_FACTORS = ("spf-in-vivo", "uva-pf-in-vivo", "spf-in-vitro")


@dataclass(frozen=True, slots=True)
class ErrorLine:
    """One measured factor, before learning and from the other formulas.

    Attributes
    ----------
    formula, kind : str
    measured : float
    before, after : tuple of float
        Median and 90 % interval of the shipped model and of the laboratory's model fitted to all
        other formulas.
    """

    formula: str
    kind: str
    measured: float
    before: tuple[float, float, float]
    after: tuple[float, float, float]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        names = ("median", "low", "high")
        return {
            "formula": self.formula,
            "kind": self.kind,
            "measured": self.measured,
            "before": dict(zip(names, self.before, strict=True)),
            "after": dict(zip(names, self.after, strict=True)),
        }


@dataclass(frozen=True, slots=True)
class LeaveOneOut:
    """Errors before and after learning.

    Attributes
    ----------
    lines : tuple of ErrorLine
    before, after : dict of str to float or None
        Scores of the shipped model and of the fit to all other formulas, see
        `score_predictions`.
    """

    lines: tuple[ErrorLine, ...]
    before: dict[str, float | None]
    after: dict[str, float | None]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "lines": [line.to_dict() for line in self.lines],
            "before": self.before,
            "after": self.after,
        }


def _laplace(model: LabModel, count: int, rng: np.random.Generator) -> Array:
    """Return draws of the Laplace approximation, reweighted to the posterior."""
    mode, covariance = find_mode(model)
    wide = 1.15**2 * covariance
    proposals = rng.multivariate_normal(mode, wide, 4 * count)
    offset = proposals - mode
    quadratic = np.einsum("ij,jk,ik->i", offset, np.linalg.inv(wide), offset)
    logs = model.log_posterior(proposals) + 0.5 * quadratic
    weights = np.exp(logs - logs.max())
    weights = np.minimum(weights, np.sort(weights)[-max(4 * count // 50, 1)])  # tame the tail
    return np.asarray(proposals[rng.choice(4 * count, count, p=weights / weights.sum())])


def _new_results(model: LabModel, z: Array, rng: np.random.Generator) -> Array:
    """Return results that the model would measure anew, transformed, shape (n, n_predictors)."""
    parameters = model.parameters(z)
    expected = model.expected(parameters)
    noise = np.sqrt(model.variance(parameters)) * rng.standard_normal(expected.shape)
    effect = parameters.scatter[:, None] * rng.standard_normal(expected.shape)
    return np.asarray(expected + noise + np.where(model.alone_columns, 0.0, effect))


def leave_one_out(
    model: LabModel, observations: Sequence[Observation], *, seed: int = 1, count: int = 500
) -> LeaveOneOut:
    """Return errors of the shipped model and of the fit to all other formulas.

    Parameters
    ----------
    model : LabModel
    observations : sequence of Observation
        Those that the model was built of, in order.
    seed, count : int
        Seed, and draws of each fit (Laplace, importance weighted).

    Returns
    -------
    LeaveOneOut
    """
    rng = np.random.default_rng(seed)
    prior = _new_results(model, rng.standard_normal((count, model.size)), rng)
    after = np.full_like(prior, np.nan)
    for index in sorted({p.formula_index for p in model.predictors}):
        kept = model.without(index)
        if not kept.predictors:
            after[:] = prior
            continue
        z = _laplace(kept, count, rng)
        columns = [i for i, p in enumerate(model.predictors) if p.formula_index == index]
        after[:, columns] = _new_results(model, z, rng)[:, columns]
    factors = [i for i, p in enumerate(model.predictors) if p.kind in _FACTORS]
    lines = tuple(
        ErrorLine(
            observations[i].formula.code,
            observations[i].kind,
            observations[i].value,
            _interval(prior[:, i]),
            _interval(after[:, i]),
        )
        for i in factors
    )
    measured = 1 + np.exp(model.measured[factors])
    scores = [score_predictions(1 + np.exp(d[:, factors]), measured) for d in (prior, after)]
    return LeaveOneOut(lines, scores[0], scores[1])


def _interval(draws: Array) -> tuple[float, float, float]:
    low, median, high = 1 + np.exp(np.quantile(draws, [0.05, 0.5, 0.95]))
    return float(median), float(low), float(high)


def predictive_check(model: LabModel, draws: Array, *, seed: int = 2) -> dict[str, float]:
    """Return tail probabilities of the data under prior and posterior predictive.

    Parameters
    ----------
    model : LabModel
    draws : ndarray, shape (n, size)
        Posterior draws.
    seed : int

    Returns
    -------
    dict of str to float
        Share of simulated data sets whose sum of squared misses is larger than the measured one:
        near 0 the model cannot make such data, near 1 it is needlessly wide.
    """
    rng = np.random.default_rng(seed)
    found: dict[str, float] = {}
    for name, z in (
        ("prior", rng.standard_normal((400, model.size))),
        ("posterior", draws[rng.choice(draws.shape[0], 400)]),
    ):
        parameters = model.parameters(z)
        expected = model.expected(parameters)
        variance = model.variance(parameters) + np.where(
            model.alone_columns, 0.0, parameters.scatter[:, None] ** 2
        )
        noise = np.sqrt(variance) * rng.standard_normal(expected.shape)
        simulated = np.sum(noise**2 / variance, axis=1)
        measured = np.sum((model.measured - expected) ** 2 / variance, axis=1)
        found[name] = float(np.mean(simulated > measured))
    return found


def score_predictions(draws: Array, measured: Array) -> dict[str, float | None]:
    """Return how far predictions may be trusted, from results that have arrived.

    Parameters
    ----------
    draws : ndarray, shape (n_draws, n_results)
        Predictive draws of protection factors, made without the result. [-]
    measured : ndarray, shape (n_results,)
        Above 1. [-]

    Returns
    -------
    dict of str to float or None
        `rms_log_error` of ln(factor - 1), `coverage_90` of the interval, mean `crps` in units of
        the factor; None without results.
    """
    if not measured.size:
        return {"rms_log_error": None, "coverage_90": None, "crps": None}
    miss = np.log(np.median(draws, axis=0) - 1) - np.log(measured - 1)
    return {
        "rms_log_error": float(np.sqrt(np.mean(miss**2))),
        "coverage_90": float(interval_coverage(draws, measured).share),
        "crps": float(np.mean(crps(draws, measured))),
    }
