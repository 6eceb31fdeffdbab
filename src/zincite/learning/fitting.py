"""One call from results to a laboratory's posterior with everything that judges it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from zincite.learning.checks import leave_one_out, predictive_check
from zincite.learning.model import GLOBAL_NAMES, LabModel, build_model
from zincite.learning.observations import Observation
from zincite.learning.posterior import LabPosterior, posterior_from_draws
from zincite.learning.sampling import Chain, sample

__all__ = ["learn"]


def learn(
    observations: Sequence[Observation],
    *,
    laboratory: str = "",
    seed: int = 1,
    seconds: float = 20.0,
    progress: Callable[[str, int, int], None] | None = None,
) -> LabPosterior:
    """Return a laboratory's posterior: MAP, then sampling, then checks.

    Parameters
    ----------
    observations : sequence of Observation
        Results of the laboratory, at least one.
    laboratory : str
        Its name, kept with the posterior.
    seed : int
    seconds : float
        Longest time for sampling. [s]
    progress : callable, optional
        Called with a phase in words, steps done and steps in all. A KeyboardInterrupt while
        sampling ends it with the draws at hand.

    Returns
    -------
    LabPosterior
        `report` holds convergence, predictive checks, errors before and after, and parameters.

    Raises
    ------
    MissingDataError
        If there is nothing to learn from.
    """

    def tell(phase: str, done: int, whole: int) -> None:
        if progress is not None:
            progress(phase, done, whole)

    tell("film model of each formula", 0, 1)
    model = build_model(observations)
    chain = sample(
        model,
        seed=seed,
        seconds=seconds,
        progress=lambda done, whole: tell("sampling", done, whole),
    )
    tell("checks", 0, 1)
    return posterior_from_draws(
        model, chain.draws, laboratory, _report(model, chain, observations), seed=seed
    )


def _report(model: LabModel, chain: Chain, observations: Sequence[Observation]) -> dict[str, Any]:
    parameters = {
        name: _summary(chain.draws[:, i]) for i, name in enumerate((*GLOBAL_NAMES, *model.grades))
    }
    errors = [p.emulator.error for p in model.predictors if p.emulator is not None]
    return {
        "results": len(observations),
        "formulas": len({p.formula_index for p in model.predictors}),
        "convergence": chain.convergence.to_dict(),
        "predictive_check": predictive_check(model, chain.draws),
        "leave_one_out": leave_one_out(model, observations).to_dict(),
        "emulator_worst_rms": max(errors, default=0.0),
        "shift_in_prior_deviations": parameters,
    }


def _summary(values: np.ndarray[Any, np.dtype[np.float64]]) -> dict[str, float]:
    low, median, high = np.quantile(values, [0.05, 0.5, 0.95])
    return {"median": float(median), "low": float(low), "high": float(high)}
