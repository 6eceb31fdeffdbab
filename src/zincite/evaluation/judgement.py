"""A brief judged line by line: passes, short or fails, with margin and probability."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.estimate import Estimate, Exact

__all__ = ["BriefLine", "judge_estimate", "judge_exact"]

Array = NDArray[np.float64]

PASSES, SHORT, FAILS, UNKNOWN = "passes", "short", "fails", "unknown"


@dataclass(frozen=True, slots=True)
class BriefLine:
    """One requirement of the brief.

    Attributes
    ----------
    topic : str
        What is asked, in words.
    verdict : str
        "passes" (the best estimate meets the limit), "short" (it misses, but the limit lies
        within the 90 % interval), "fails" (the whole interval misses) or "unknown".
    limit : float
        In `unit`.
    sense : str
        "at least" or "at most".
    unit : str
    found : Estimate or Exact
    margin : float or None
        How far the best estimate is on the good side, negative when it misses. [unit]
    probability : float or None
        That the requirement is met; None where the value is exact.
    lever : str
        The biggest lever, in words.
    note : str
        Why the limit is what it is.
    """

    topic: str
    verdict: str
    limit: float
    sense: str
    unit: str
    found: Estimate | Exact
    margin: float | None
    probability: float | None
    lever: str = ""
    note: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "topic": self.topic,
            "verdict": self.verdict,
            "sense": self.sense,
            "limit": self.limit,
            "unit": self.unit,
            "found": self.found.to_dict(),
            "margin": self.margin,
            "probability": self.probability,
            "biggest_lever": self.lever,
            "note": self.note,
        }


def judge_exact(
    topic: str, found: Exact, limit: float, sense: str, *, lever: str = "", note: str = ""
) -> BriefLine:
    """Judge a number that follows exactly from formula and cards."""
    if found.value is None:
        return BriefLine(topic, UNKNOWN, limit, sense, found.unit, found, None, None, lever, note)
    margin = found.value - limit if sense == "at least" else limit - found.value
    verdict = PASSES if margin >= -1e-9 else FAILS
    return BriefLine(topic, verdict, limit, sense, found.unit, found, margin, None, lever, note)


def judge_estimate(
    topic: str,
    found: Estimate,
    draws: Array | None,
    limit: float,
    sense: str,
    *,
    lever: str = "",
    note: str = "",
) -> BriefLine:
    """Judge an estimate with its interval and, where given, its draws.

    Parameters
    ----------
    topic : str
    found : Estimate
    draws : ndarray, shape (n,), or None
        Draws of the quantity for the probability.
    limit : float
    sense : str
        "at least" or "at most".

    Returns
    -------
    BriefLine
    """
    if sense == "at least":
        margin, worst_case = found.median - limit, found.high < limit
        met = None if draws is None else float(np.mean(draws >= limit))
    else:
        margin, worst_case = limit - found.median, found.low > limit
        met = None if draws is None else float(np.mean(draws <= limit))
    verdict = PASSES if margin >= 0 else FAILS if worst_case else SHORT
    return BriefLine(topic, verdict, limit, sense, found.unit, found, margin, met, lever, note)
