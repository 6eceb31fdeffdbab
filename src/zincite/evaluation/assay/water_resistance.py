"""Water resistance on people, ISO 16217 (immersion) and ISO 18861 (percentage retained)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError, MissingDataError, OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.rules import formula_marks, limit, limit_marks
from zincite.evaluation.assay.spf_in_vivo import ReferenceCheck, check_reference
from zincite.statistics.intervals import half_width_percent, lower_limit

__all__ = ["WaterResistance", "WaterSubject", "WaterSubjectResult", "evaluate_water_resistance"]

METHOD = "ISO 18861:2020 with ISO 16217:2020"
_RULES = "ISO 18861"
_IMMERSIONS_MIN = (40.0, 80.0)


@dataclass(frozen=True, slots=True)
class WaterSubject:
    """One subject: SPF before (static) and after immersion, and why it is left out, if it is."""

    subject: str
    spf_static: float | None
    spf_wet: float | None
    excluded: str = ""


@dataclass(frozen=True, slots=True)
class WaterSubjectResult:
    """One subject judged; `retention_percent` is None where the two SPF give none."""

    subject: str
    spf_static: float | None
    spf_wet: float | None
    retention_percent: float | None
    used: bool
    reason: str


@dataclass(frozen=True, slots=True)
class WaterResistance:
    """A test by ISO 18861 evaluated.

    Attributes
    ----------
    method : str
    immersion_min : float
        Total immersion. [min]
    baths : int
        Immersions of 20 min.
    subjects : tuple of WaterSubjectResult
    n : int
        Subjects that count.
    mean_spf_static, mean_spf_wet : float
        Of the subjects that count.
    mean_retention_percent : float
    sd_percent, lower_limit_percent : float or None
        Standard deviation and one-sided 90 % lower limit of the mean; None for one subject.
    resistant : bool or None
        Whether the lower limit reaches 50 %; None while the test is not valid.
    valid : bool
        Whether the test itself meets its criteria, whatever it found.
    reasons : tuple of str
        Criteria of the test that are not met.
    verdict : str
        What the test says of the product, in words.
    reference : ReferenceCheck or None
        Static SPF of reference P2 in the same test.
    notes, marks : tuple of str
        What could not be checked; equations and limits from memory.
    """

    method: str
    immersion_min: float
    baths: int
    subjects: tuple[WaterSubjectResult, ...]
    n: int
    mean_spf_static: float
    mean_spf_wet: float
    mean_retention_percent: float
    sd_percent: float | None
    lower_limit_percent: float | None
    resistant: bool | None
    valid: bool
    reasons: tuple[str, ...]
    verdict: str
    reference: ReferenceCheck | None
    notes: tuple[str, ...]
    marks: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(self)
        return shown


def _judged(item: WaterSubject) -> WaterSubjectResult:
    retention = None
    reason = ""
    for where, spf, least in (("static", item.spf_static, 1.0), ("wet", item.spf_wet, 0.0)):
        if spf is None:
            reason = reason or f"{where} SPF is missing"
        elif not (math.isfinite(spf) and spf > least):
            reason = reason or f"{where} SPF is {spf:g}, expected above {least:g}"
    if not reason and item.spf_static is not None and item.spf_wet is not None:
        retention = 100.0 * (item.spf_wet - 1.0) / (item.spf_static - 1.0)
    if item.excluded:
        reason = f"left out by the laboratory: {item.excluded}"
    return WaterSubjectResult(
        item.subject, item.spf_static, item.spf_wet, retention, not reason, reason
    )


def _check_names(subjects: Sequence[WaterSubject]) -> None:
    names = [item.subject for item in subjects]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputError(f"subject {twice} is given twice, expected one row for each")


def evaluate_water_resistance(
    subjects: Sequence[WaterSubject],
    *,
    immersion_min: float = 40.0,
    reference_p2_static_spf: float | None = None,
) -> WaterResistance:
    """Evaluate the percentage of water resistance by ISO 18861.

    Parameters
    ----------
    subjects : sequence of WaterSubject
    immersion_min : float
        Total immersion, 40 or 80. [min]
    reference_p2_static_spf : float, optional
        Mean static SPF of reference P2 in the same test.

    Returns
    -------
    WaterResistance

    Raises
    ------
    InputError
        If a subject occurs twice.
    MissingDataError
        If no subject has a usable pair of SPF.
    OutOfRangeError
        If the immersion is neither 40 nor 80 min.

    Notes
    -----
    %WRR = 100 (SPF wet - 1)/(SPF static - 1) for each subject (ISO 18861:2020, 5.4), mean (5.5),
    mean - t(0.90; n - 1) s/sqrt(n) (5.6) of at least 50 %; the clauses were seen in a contents
    list, the equations and limits are from memory. Baths of 20 min (ISO 16217).
    """
    if immersion_min not in _IMMERSIONS_MIN:
        raise OutOfRangeError(f"immersion is {immersion_min:g} min, expected 40 or 80")
    _check_names(subjects)
    judged = tuple(_judged(item) for item in subjects)
    used = [item for item in judged if item.used]
    if not used:
        first = f" (subject {judged[0].subject}: {judged[0].reason})" if judged else ""
        raise MissingDataError(
            f"no subject has a usable static and wet SPF{first}, expected at least 1"
        )
    static, wet, retention = _columns(used)
    several = len(used) > 1
    bound = limit(_RULES, "lower_limit_percent")
    confidence = limit(_RULES, "one_sided_confidence")
    low = lower_limit(retention, confidence.low) if several else None
    reference = (
        None if reference_p2_static_spf is None else check_reference("P2", reference_p2_static_spf)
    )
    flaws, marks = _criteria(static, len(judged) - len(used), reference)
    resistant = None if flaws or low is None else bound.holds(low)
    return WaterResistance(
        method=METHOD,
        immersion_min=float(immersion_min),
        baths=round(immersion_min / limit("ISO 16217", "bath_minutes").low),
        subjects=judged,
        n=len(used),
        mean_spf_static=float(static.mean()),
        mean_spf_wet=float(wet.mean()),
        mean_retention_percent=float(retention.mean()),
        sd_percent=float(retention.std(ddof=1)) if several else None,
        lower_limit_percent=low,
        resistant=resistant,
        valid=not flaws,
        reasons=tuple(flaws),
        verdict=_verdict(resistant, low, bound.low, immersion_min),
        reference=reference,
        notes=(
            ()
            if reference
            else ("Reference P2 is not given; the standard asks for it in each test.",)
        ),
        marks=(
            *formula_marks(_RULES),
            *marks,
            *limit_marks([bound, confidence]),
        ),
    )


def _verdict(resistant: bool | None, low: float | None, bound: float, minutes: float) -> str:
    if low is None:
        return "One subject gives no limit of the retention."
    says = "reaches" if low >= bound - 1e-9 else "misses"
    start = (
        f"The lower limit of the retention, {low:.1f} %, {says} {bound:g} % after {minutes:g} min"
    )
    if resistant is None:
        return f"{start}; the test is not valid, so it says nothing of the product."
    return f"{start}: water resistant." if resistant else f"{start}: not water resistant."


def _columns(
    used: Sequence[WaterSubjectResult],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    table = np.array(
        [(item.spf_static, item.spf_wet, item.retention_percent) for item in used], dtype=np.float64
    )
    return table[:, 0], table[:, 1], table[:, 2]


def _criteria(
    static: NDArray[np.float64], rejected: int, reference: ReferenceCheck | None
) -> tuple[list[str], tuple[str, ...]]:
    count = limit(_RULES, "subjects")
    left_out = limit(_RULES, "exclusions")
    width = limit(_RULES, "static_half_width_percent")
    flaws = []
    if not count.holds(static.size):
        plural = "subject" if static.size == 1 else "subjects"
        flaws.append(f"{static.size} valid {plural}, expected {count.low:g} to {count.high:g}")
    if static.size > 1 and not width.holds(found := half_width_percent(static)):
        flaws.append(
            f"95 % interval of the static SPF is +/- {found:.2f} % of the mean, "
            f"expected at most {width.high:g} %"
        )
    if not left_out.holds(rejected):
        flaws.append(f"{rejected} subjects left out, expected at most {left_out.high:g}")
    if reference is not None and not reference.accepted:
        flaws.append(
            f"reference {reference.name} gave static SPF {reference.mean_spf:.1f}, "
            f"expected {reference.low:g} to {reference.high:g}"
        )
    return flaws, limit_marks([count, left_out, width])
