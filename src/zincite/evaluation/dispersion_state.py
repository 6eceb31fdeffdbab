"""The dispersion state of a grade in the optics: what the card, the model or a laboratory says."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.pigments import AGGREGATE_NODES_NM, GradeOptics
from zincite.formula.material import Grade, Material

__all__ = ["state_weights", "stated_state"]

Array = NDArray[np.float64]

_LOG_NODES = np.log(np.array(AGGREGATE_NODES_NM))


def stated_state(grade: Grade | None, draws: ModelDraws) -> tuple[Array, Array]:
    """Return the dispersion state that a card states, else the model's.

    Parameters
    ----------
    grade : Grade or None
        The card's, or the one fitted to its measured extinction.
    draws : ModelDraws

    Returns
    -------
    logit, log_nm : ndarray, shape (n,)
        Logit of the mass share in aggregates; logarithm of their median in nm.
    """
    logit, log_nm = draws.aggregate_logit, draws.aggregate_log_nm
    if grade is not None and grade.aggregate_fraction is not None:
        share = grade.aggregate_fraction.value
        # a stated share keeps the model's spread about it
        middle = np.log(min(max(share, 1e-4), 1 - 1e-4) / (1 - min(max(share, 1e-4), 1 - 1e-4)))
        logit = middle + (logit - np.median(logit)) * (0.5 if 0 < share < 1 else 0.0)
    if grade is not None and grade.aggregate_median_nm is not None:
        log_nm = np.log(grade.aggregate_median_nm.value) + 0.5 * (log_nm - np.median(log_nm))
    return logit, log_nm


def state_weights(material: Material, optics: GradeOptics, draws: ModelDraws) -> Array:
    """Return the mass shares of free particles and of each aggregate node, shape (draws, 1 + n)."""
    logit, log_nm = stated_state(optics.fitted or material.grade, draws)
    logit = draws.grade_logit.get(material.id, logit)
    log_nm = draws.grade_log_nm.get(material.id, log_nm)
    lumped = expit(logit)
    place = np.clip(
        np.interp(log_nm, _LOG_NODES, np.arange(_LOG_NODES.size)), 0, _LOG_NODES.size - 1 - 1e-6
    )
    low = place.astype(int)
    weights = np.zeros((draws.size, 1 + _LOG_NODES.size))
    rows = np.arange(draws.size)
    weights[:, 0] = 1 - lumped
    weights[rows, 1 + low] += lumped * (1 - (place - low))
    weights[rows, 2 + low] += lumped * (place - low)
    return weights
