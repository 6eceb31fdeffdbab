"""SPF, UVA and critical wavelength: what a prediction may say about them.

A prediction never passes an efficacy requirement: the verdict is "needs a test", and "fails"
where the whole 90 % interval lies below what the label needs.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from zincite.data.regulation_rows import LabelRow, Market
from zincite.data.regulation_tables import label_rows
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.regulation.labels import (
    LabelTarget,
    label_class,
    label_row,
    label_target,
    pa_grade,
    uva_pf_needed,
)
from zincite.evaluation.regulation.verdict import (
    NO_SOURCE,
    Requirement,
    probability_of,
    requirement,
    reservation,
    shown,
)

__all__ = ["efficacy_requirements"]


def _minimum(estimate: Estimate | None, limit: float) -> tuple[str, str]:
    """Return verdict and remark of a predicted value against the least that is needed."""
    if estimate is None:
        return "needs a test", "no prediction was given"
    if estimate.high < limit:
        return "fails", "the whole 90 % interval lies below"
    if estimate.low >= limit:
        return "needs a test", "the whole 90 % interval lies at or above"
    return "needs a test", "the 90 % interval holds the limit"


def _no_such_label(market: Market, row: LabelRow, label_spf: float) -> Requirement:
    labels = "; ".join("|".join(r.labels) for r in label_rows(market.key))
    return requirement(
        "label SPF",
        reservation("fails", row.in_force),
        row.origin,
        found=f"SPF {label_spf:g}",
        limit=f"one of {labels.replace('|', ', ').replace(';', ',')}",
        detail="this market has no such label number",
    )


def _label_number(target: LabelTarget, label_spf: float) -> Requirement:
    detail = f"class: {target.row.class_label}; {target.row.note}".rstrip("; ")
    return requirement(
        "label SPF",
        reservation("passes", target.row.in_force),
        target.row.origin,
        found=f"SPF {label_spf:g}",
        limit=f"printed as {target.text}",
        detail=detail,
    )


def _tested_spf(
    market: Market, target: LabelTarget, spf: Estimate | None, probability: float | None
) -> Requirement:
    verdict, remark = _minimum(spf, target.tested_spf_min)
    reached = None if spf is None else label_class(market.key, spf.median)
    detail = remark if spf is None else f"{remark}; the median would print {reached or 'no SPF'}"
    if market.key == "usa":
        detail += "; the label is the lower confidence bound of the panel, below its mean"
    return requirement(
        "SPF",
        reservation(verdict, target.row.in_force),
        target.row.origin,
        found=shown(spf),
        limit=f"tested SPF of at least {target.tested_spf_min:g} for SPF {target.text}",
        detail=detail,
        probability=probability,
    )


def _unlabelled_spf(market: Market, spf: Estimate | None) -> list[Requirement]:
    """Return what the SPF alone says where the brief names no label."""
    lowest = label_rows(market.key)[0]
    verdict, remark = _minimum(spf, lowest.tested_min)
    reached = None if spf is None else label_class(market.key, spf.median)
    would = "" if spf is None else f"; the median would print {reached or 'no SPF'}"
    return [
        requirement(
            "SPF",
            reservation(verdict, lowest.in_force),
            lowest.origin,
            found=shown(spf),
            limit=f"tested SPF of at least {lowest.tested_min:g} for any SPF",
            detail=f"the brief names no label SPF; {remark}{would}",
        )
    ]


def _uva(target: LabelTarget, uva_pf: Estimate | None, probability: float | None) -> Requirement:
    needed = uva_pf_needed(target) or 0.0
    verdict, detail = _minimum(uva_pf, needed)
    divided = target.row.uva_spf
    if target.text == "50+" and not math.isnan(divided):
        detail += f"; {divided:g} is divided by three for 50+, the careful reading (from memory)"
    return requirement(
        "UVA protection",
        reservation(verdict, target.row.in_force),
        target.row.origin,
        found=f"UVA-PF {shown(uva_pf)}",
        limit=f"UVA-PF of at least {needed:.3g}, a third of SPF {target.text}",
        detail=detail,
        probability=probability,
    )


def _critical_wavelength(
    market: Market, row: LabelRow, estimate: Estimate | None, probability: float | None
) -> Requirement:
    limit = row.critical_wavelength_min_nm
    verdict, detail = _minimum(estimate, limit)
    if not row.uva_rule or market.key in ("australia", "new-zealand"):
        detail += "; below it no broad-spectrum claim"
    return requirement(
        "critical wavelength",
        reservation(verdict, row.in_force),
        row.origin,
        found=shown(estimate, digits=4),
        limit=f"at least {limit:g} nm",
        detail=detail,
        probability=probability,
    )


def _pa(market: Market, uva_pf: Estimate | None) -> list[Requirement]:
    rows = label_rows(market.key, "PA")
    if not rows:
        return []
    verdict, detail = _minimum(uva_pf, rows[0].tested_min)
    grade = "no prediction"
    if uva_pf is not None:
        low, middle, high = (
            pa_grade(v) or "no grade" for v in (uva_pf.low, uva_pf.median, uva_pf.high)
        )
        grade = f"{middle} (90 % interval {low} to {high}), UVA-PF {shown(uva_pf)}"
        detail = "the brief names no grade; the panel decides"
        if verdict == "fails":
            detail = "the whole 90 % interval lies below the lowest grade"
    return [
        requirement(
            "PA grade",
            reservation(verdict, rows[0].in_force),
            rows[0].origin,
            found=grade,
            limit="UVA-PF of at least 2, 4, 8, 16 for PA+ to PA++++",
            detail=f"{detail}; {rows[0].note}",
        )
    ]


def efficacy_requirements(
    market: Market,
    label_spf: float | None,
    *,
    spf: Estimate | None,
    uva_pf: Estimate | None,
    critical_wavelength_nm: Estimate | None,
    probabilities: Mapping[str, float] | None = None,
) -> tuple[Requirement, ...]:
    """Return SPF, UVA, critical wavelength and PA requirements of a market.

    Parameters
    ----------
    market : Market
        The market.
    label_spf : float or None
        SPF to print; None judges the class of the predicted median.
    spf, uva_pf, critical_wavelength_nm : Estimate or None
        Predictions; the last in nm.
    probabilities : mapping of str to float, optional
        Probability that a test meets the limit, by "spf", "uva_pf", "critical_wavelength_nm".
    """
    rows = label_rows(market.key)
    if not rows:
        return (
            requirement(
                "SPF", "unknown", NO_SOURCE, found=shown(spf),
                detail="no label classes are held for this market",
            ),
        )  # fmt: skip
    found: list[Requirement] = []
    target: LabelTarget | None = None
    if label_spf is None:
        found.extend(_unlabelled_spf(market, spf))
        row = None if spf is None else label_row(market.key, spf.median)
        text = None if spf is None else label_class(market.key, spf.median)
        if row is not None and text is not None:
            target = LabelTarget(text, row.tested_min, row)
    else:
        target = label_target(market.key, label_spf)
        if target is None:
            found.append(_no_such_label(market, rows[0], label_spf))
        else:
            found.append(_label_number(target, label_spf))
            chance = probability_of(probabilities, "spf")
            found.append(_tested_spf(market, target, spf, chance))
    if target is not None and uva_pf_needed(target) is not None:
        found.append(_uva(target, uva_pf, probability_of(probabilities, "uva_pf")))
    row = target.row if target is not None else rows[0]
    if not math.isnan(row.critical_wavelength_min_nm):
        chance = probability_of(probabilities, "critical_wavelength_nm")
        found.append(_critical_wavelength(market, row, critical_wavelength_nm, chance))
    return (*found, *_pa(market, uva_pf))
