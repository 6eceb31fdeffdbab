"""What the tests on people share: who counts, and the panel's statistics."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError, MissingDataError
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.rules import Limit, limit, limit_marks
from zincite.statistics.intervals import mean_interval

__all__ = ["Panel", "SubjectResult", "evaluate_panel", "truncated"]


_LARGEST = 1000.0
"""No sunscreen protects by more; J and mJ mixed up do (our rule, no source)."""


@dataclass(frozen=True, slots=True)
class SubjectResult:
    """One subject judged: ratio of its doses, and whether it counts.

    Attributes
    ----------
    subject : str
    unprotected, protected : float or None
    value : float or None
        Individual protection factor; None where the doses give none.
    used : bool
    reason : str
        Why it is not used, "" if it is.
    ita_deg : float or None
    """

    subject: str
    unprotected: float | None
    protected: float | None
    value: float | None
    used: bool
    reason: str
    ita_deg: float | None

    def to_dict(self, value_key: str) -> dict[str, object]:
        """Return what `--json` prints, the factor under the given key."""
        return {
            "subject": self.subject,
            "unprotected": self.unprotected,
            "protected": self.protected,
            value_key: self.value,
            "used": self.used,
            "reason": self.reason,
            "ita_deg": self.ita_deg,
        }


@dataclass(frozen=True, slots=True)
class Panel:
    """Statistics of a panel and the criteria that all panel methods share.

    Attributes
    ----------
    subjects : tuple of SubjectResult
    values : ndarray, shape (n,)
        Individual factors that count.
    mean : float
        Arithmetic mean.
    sd, ci_low, ci_high, half_width_percent, cv_percent : float or None
        With n - 1 and 95 % two-sided; None for a single subject. Half width in % of the mean.
    reasons : tuple of str
        Criteria that are not met.
    marks : tuple of str
        Criteria from memory.
    """

    subjects: tuple[SubjectResult, ...]
    values: NDArray[np.float64]
    mean: float
    sd: float | None
    ci_low: float | None
    ci_high: float | None
    half_width_percent: float | None
    cv_percent: float | None
    reasons: tuple[str, ...]
    marks: tuple[str, ...]

    @property
    def n(self) -> int:
        """Number of subjects that count."""
        return int(self.values.size)

    @property
    def reported(self) -> float:
        """Mean truncated to one decimal, as reports print it."""
        return truncated(self.mean)

    @property
    def rejected(self) -> tuple[SubjectResult, ...]:
        """Subjects that do not count."""
        return tuple(item for item in self.subjects if not item.used)


def truncated(value: float, decimals: int = 1) -> float:
    """Return a value cut to a number of decimals, not rounded.

    Examples
    --------
    >>> truncated(29.98), truncated(30.0)
    (29.9, 30.0)
    """
    scale = 10.0**decimals
    # a mean of 30 may be held as 29.999999999999996: that is no reason to print 29.9
    return math.floor(round(value * scale, 6)) / scale


def _judged(item: PanelSubject, dose: str) -> SubjectResult:
    doses = {"unprotected": item.unprotected, "protected": item.protected}
    wrong = [
        f"{dose} on {where} skin is {found:g}, expected above 0"
        for where, found in doses.items()
        if found is not None and not (math.isfinite(found) and found > 0)
    ]
    missing = [f"{dose} on {where} skin is missing" for where, found in doses.items() if not found]
    ratio = None
    if not wrong and item.unprotected and item.protected:
        ratio = item.protected / item.unprotected
    if item.excluded:
        reason = f"left out by the laboratory: {item.excluded}"
    elif wrong:
        reason = "; ".join(wrong)
    elif ratio is None:
        reason = item.note or "; ".join(missing)
    elif ratio > _LARGEST:
        reason = f"impossible ratio {ratio:.3g}: are both {dose} in one unit?"
    elif ratio < 1:
        reason = f"impossible ratio {ratio:.3g}: less {dose} with product than without"
    else:
        reason = ""
    return SubjectResult(
        item.subject, item.unprotected, item.protected, ratio, not reason, reason, item.ita_deg
    )


def _check_names(subjects: Sequence[PanelSubject]) -> None:
    if not subjects:
        raise MissingDataError("the panel holds no subject, expected at least 1")
    seen: set[str] = set()
    for item in subjects:
        if item.subject in seen:
            raise InputError(f"subject {item.subject} is given twice, expected one row for each")
        seen.add(item.subject)


def _values(judged: Sequence[SubjectResult], dose: str) -> NDArray[np.float64]:
    values = [item.value for item in judged if item.used and item.value is not None]
    if values:
        return np.array(values)
    ratios = [item.value for item in judged if item.value is not None]
    if len(ratios) > 1 and all(ratio < 1 for ratio in ratios):
        raise InputError(
            f"every subject has less {dose} with product than without, expected more: are the two "
            "columns swapped?"
        )
    raise MissingDataError(
        f"no subject has a usable pair of {dose} (subject {judged[0].subject}: "
        f"{judged[0].reason}), expected at least 1"
    )


def _criteria(
    method: str, n: int, rejected: int, half_width: float | None
) -> tuple[list[str], list[Limit]]:
    count = limit(method, "subjects")
    width = limit(method, "half_width_percent")
    left_out = limit(method, "exclusions")
    reasons = []
    if not count.holds(n):
        plural = "subject" if n == 1 else "subjects"
        reasons.append(f"{n} valid {plural}, expected {count.low:g} to {count.high:g}")
    if half_width is not None and not width.holds(half_width):
        reasons.append(
            f"95 % interval is +/- {half_width:.2f} % of the mean, "
            f"expected at most {width.high:g} %"
        )
    if not left_out.holds(rejected):
        reasons.append(f"{rejected} subjects left out, expected at most {left_out.high:g}")
    return reasons, [count, width, left_out]


def evaluate_panel(subjects: Sequence[PanelSubject], method: str, dose: str) -> Panel:
    """Return the statistics of a panel and the criteria it misses.

    Parameters
    ----------
    subjects : sequence of PanelSubject
        At least one.
    method : str
        "ISO 24444" or "ISO 24442", whose limits hold.
    dose : str
        What the doses are called in messages, such as "MED".

    Returns
    -------
    Panel

    Raises
    ------
    InputError
        If a subject occurs twice, or all ratios are below 1 (columns swapped).
    MissingDataError
        If there is no subject, or none with a usable pair of doses.

    Notes
    -----
    Factor = protected/unprotected dose; interval = mean +/- t(0.975; n - 1) s / sqrt(n). A ratio
    below 1 or above 1000 is taken as impossible (our rule, no source).
    """
    _check_names(subjects)
    judged = tuple(_judged(item, dose) for item in subjects)
    values = _values(judged, dose)
    rejected = sum(not item.used for item in judged)
    if values.size == 1:
        reasons, limits = _criteria(method, 1, rejected, None)
        mean, sd, low, high, width, cv = float(values[0]), None, None, None, None, None
    else:
        found = mean_interval(values)
        mean, sd, low, high = found.mean, found.sd, found.low, found.high
        width, cv = 100.0 * found.half_width / found.mean, found.cv_percent
        reasons, limits = _criteria(method, found.n, rejected, width)
    return Panel(
        judged,
        values,
        mean,
        sd,
        low,
        high,
        width,
        cv,
        tuple(reasons),
        limit_marks(limits),
    )
