"""Whether a panel's skin colours and dose ladders are what ISO 24444 asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from zincite.evaluation.assay.panel import SubjectResult
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.rules import Limit, limit, limit_marks

__all__ = ["PanelSkin", "dose_ratio_reasons", "panel_skin"]

_METHOD = "ISO 24444"

_PRINTED = 1.01
"""Doses are printed with three digits, so a ratio of 1.12 may read 1.125."""


@dataclass(frozen=True, slots=True)
class PanelSkin:
    """Skin colour of the subjects that count.

    Attributes
    ----------
    mean_ita_deg : float
        Mean individual typology angle. [deg]
    counts : tuple of int
        Subjects in the three ranges of the angle, from the darker to the paler.
    reasons : tuple of str
        Criteria that are not met.
    marks : tuple of str
        Criteria from memory.
    """

    mean_ita_deg: float
    counts: tuple[int, ...]
    reasons: tuple[str, ...]
    marks: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "mean_ita_deg": plain(self.mean_ita_deg),
            "subjects_per_ita_range": list(self.counts),
        }


def panel_skin(subjects: Sequence[SubjectResult]) -> PanelSkin | None:
    """Return the skin colours of a panel judged, None where an angle is missing.

    Parameters
    ----------
    subjects : sequence of SubjectResult
        Those that do not count are passed over.

    Returns
    -------
    PanelSkin or None

    Notes
    -----
    ISO 24444:2019, foreword: mean angle of 41 to 55 deg and at least 3 subjects in at least two of
    the three ranges. Bounds of the ranges (28, 41, 55) and 28 deg for each subject from memory.
    """
    angles = [item.ita_deg for item in subjects if item.used]
    known = np.array([angle for angle in angles if angle is not None], dtype=np.float64)
    if known.size == 0 or known.size < len(angles) or not np.isfinite(known).all():
        return None
    panel, each = limit(_METHOD, "panel_ita_deg"), limit(_METHOD, "subject_ita_deg")
    bounds = limit(_METHOD, "ita_range_bounds_deg")
    enough = limit(_METHOD, "subjects_per_ita_range")
    filled = limit(_METHOD, "ita_ranges_filled")
    mean = float(known.mean())
    places = np.searchsorted([bounds.low, bounds.high], known[known >= each.low])
    counts = tuple(int(count) for count in np.bincount(places, minlength=3))
    reasons = []
    if not panel.holds(mean):
        reasons.append(
            f"mean typology angle is {mean:.1f} deg, expected {panel.low:g} to {panel.high:g}"
        )
    if sum(count >= enough.low for count in counts) < filled.low:
        reasons.append(
            f"the three ranges of skin colour hold {', '.join(map(str, counts))} subjects, "
            f"expected at least {enough.low:g} in at least {filled.low:g} of them"
        )
    low = [x.subject for x in subjects if x.used and x.ita_deg is not None and x.ita_deg < each.low]
    if low:
        reasons.append(
            f"typology angle is below {each.low:g} deg for {', '.join(low)}, expected none"
        )
    return PanelSkin(mean, counts, tuple(reasons), limit_marks([bounds, each]))


def dose_ratio_reasons(
    subjects: Sequence[PanelSubject], expected_spf: float
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return where dose ladders are too coarse, and marks; both empty where none is known.

    Parameters
    ----------
    subjects : sequence of PanelSubject
    expected_spf : float
        Above 25 the ladders on protected skin must be finer.

    Notes
    -----
    Neighbouring doses of at most 1.25, on protected skin 1.12 above an expected SPF of 25, from
    memory of ISO 24444:2019; 1 % is allowed for printed digits.
    """
    plain_limit = limit(_METHOD, "dose_ratio")
    fine_limit = limit(_METHOD, "dose_ratio_high_spf")
    switch = limit(_METHOD, "high_spf")
    covered = fine_limit if expected_spf > switch.low else plain_limit
    reasons, used = [], list[Limit]()
    for where, largest, ratios in (
        ("unprotected", plain_limit, [(x.subject, x.unprotected_ratio) for x in subjects]),
        ("protected", covered, [(x.subject, x.protected_ratio) for x in subjects]),
    ):
        known = [(name, ratio) for name, ratio in ratios if ratio is not None]
        if known:
            used.append(largest)
        coarse = [name for name, ratio in known if ratio > largest.high * _PRINTED]
        if coarse:
            reasons.append(
                f"doses on {where} skin rise by more than a factor {largest.high:g} for "
                f"{', '.join(coarse)}, expected at most that"
            )
    if covered is fine_limit and used:
        used.append(switch)
    return tuple(reasons), tuple(dict.fromkeys(limit_marks(used)))
