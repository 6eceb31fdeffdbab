"""Whether the form of each pigment is admitted: coating, sizes, surface and the rest of the entry.

Sizes come from the card's distribution of the primary particles, with the uncertainty of
`number_sizes.SIZE_UNCERTAINTY`. A limit inside that range is left to electron microscopy, as is
every grade whose nano decision is undecided.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from zincite.data.regulation_rows import FilterRule, Market, Provenance
from zincite.data.regulation_tables import claim_rules, filter_rules
from zincite.evaluation.regulation.coatings import judge_coatings
from zincite.evaluation.regulation.number_sizes import number_sizes, size_range
from zincite.evaluation.regulation.pigments import PigmentUse
from zincite.evaluation.regulation.verdict import (
    Requirement,
    overall_verdict,
    requirement,
    reservation,
)
from zincite.formula.material import Grade, Material
from zincite.formula.substances import core_inci

__all__ = ["nano_label_requirements", "nano_requirements"]

_ELECTRON_MICROSCOPY = "count constituent particles by electron microscopy"


def _against(low: float, high: float, limit: float, *, smallest: bool) -> str:
    """Return the verdict of a range against a limit, undecided where it holds the limit."""
    if not smallest:
        low, high, limit = -high, -low, -limit
    if low > limit:
        return "passes"
    return "fails" if high < limit else "needs a test"


def _size_requirements(use: PigmentUse, grade: Grade, rule: FilterRule) -> list[Requirement]:
    best, (low, high) = number_sizes(grade), size_range(grade)
    sign = "above" if rule.size_bound == "above" else "at least"
    checks = (
        ("number D50", "median_nm", rule.number_median_min_nm, True, "nm", sign),
        ("number D1", "first_percentile_nm", rule.number_d1_min_nm, True, "nm", sign),
        ("surface area", "vssa_m2_cm3", rule.vssa_max_m2_cm3, False, "m2/cm3", "at most"),
    )
    found = []
    for what, name, limit, smallest, unit, word in checks:
        if math.isnan(limit):
            continue
        value, least, most = (float(getattr(sizes, name)) for sizes in (best, low, high))
        verdict = _against(least, most, limit, smallest=smallest)
        detail = f"from the card's primary sizes ({grade.evidence.value})"
        if verdict == "needs a test":
            detail += f", the range holds the limit: {_ELECTRON_MICROSCOPY}"
        found.append(
            requirement(
                f"{use.name} (nano) {what}",
                verdict,
                rule.origin,
                found=f"{value:.3g} {unit} (range {least:.3g} to {most:.3g})",
                limit=f"{word} {limit:g} {unit}",
                detail=f"{use.material.id}: {detail}",
            )
        )
    return found


def _specification(material: Material, grade: Grade, rule: FilterRule) -> tuple[str, list[str]]:
    """Return the verdict of what else the entry asks, and what is still to be shown."""
    checks = (
        ("purity_percent", rule.purity_min_percent, True, "purity of at least {:g} %"),
        ("water_solubility_mg_l", rule.water_solubility_max_mg_l, False,
         "water solubility of at most {:g} mg/L"),
        ("aspect_ratio", rule.aspect_ratio_max, False, "aspect ratio of at most {:g}"),
        ("anatase_percent", rule.anatase_max_percent, False, "at most {:g} % anatase"),
        ("photocatalytic_percent", rule.photocatalytic_max_percent, False,
         "photocatalytic activity of at most {:g} % of the uncoated reference"),
    )  # fmt: skip
    open_points, verdict = [], "passes"
    for name, limit, smallest, text in checks:
        if math.isnan(limit):
            continue
        value = material.property_value(name)
        if name == "anatase_percent" and grade.core.endswith("anatase"):
            value = 100.0
        if value is None:
            open_points.append(text.format(limit))
        elif (value < limit) if smallest else (value > limit):
            return "fails", [f"{text.format(limit)}, found {value:g}"]
    if open_points:
        verdict = "needs a test"
    return verdict, open_points


def _entry_requirements(use: PigmentUse, grade: Grade, rule: FilterRule) -> list[Requirement]:
    """Return all that a nano entry asks of one grade."""
    verdict, reason = judge_coatings(grade.coatings, rule)
    coated = ", ".join(f"{c.inci} {c.mass_percent:g} %" for c in grade.coatings) or "uncoated"
    found = [
        requirement(
            f"{use.name} (nano) coating",
            verdict,
            rule.origin,
            found=coated,
            limit="coatings listed in the entry",
            detail=f"{use.material.id}: {reason}",
        ),
        *_size_requirements(use, grade, rule),
    ]
    verdict, points = _specification(use.material, grade, rule)
    reason = "; ".join(points) or "all points of the card are within the entry"
    if verdict == "needs a test":
        reason = f"show by certificate or analysis: {reason}"
    found.append(
        requirement(
            f"{use.name} (nano) material specification",
            verdict,
            rule.origin,
            limit="as in the entry",
            detail=f"{use.material.id}: {reason}; {rule.note}",
        )
    )
    return found


def _undecided(use: PigmentUse, grade: Grade, rule: FilterRule) -> Requirement:
    """Return the requirement of a grade that may or may not be nano."""
    entry = _entry_requirements(use, grade, rule)
    barred = [r.topic for r in entry if r.verdict == "fails"]
    detail = f"{use.material.id}: {use.form_detail}; {_ELECTRON_MICROSCOPY}"
    if overall_verdict(entry) == "fails":
        detail += f"; if it proves nano it is not admitted ({', '.join(barred)})"
    return requirement(
        f"{use.name} form",
        "needs a test",
        rule.origin,
        found="border between nano and not nano",
        limit="decided by number of particles below 100 nm",
        detail=detail,
    )


def _origin(market: Market, use: PigmentUse) -> tuple[Provenance, str]:
    """Return where a market speaks of a pigment's form, and whether that is in force."""
    for rule in filter_rules(market.key):
        if rule.filter == use.filter and rule.form in ("any", "nano"):
            return rule.origin, rule.in_force
    return replace(market.origin, confidence="unverified"), "yes"


def _plain(market: Market, use: PigmentUse, verdict: str, limit: str, more: str) -> Requirement:
    origin, in_force = _origin(market, use)
    return requirement(
        f"{use.name} form",
        reservation(verdict, in_force),
        origin,
        found=use.form,
        limit=limit,
        detail=f"{use.material.id}: {use.form_detail}{more}",
    )


def _form(market: Market, use: PigmentUse) -> list[Requirement]:
    if market.nano_rule == "no":
        limit = "no distinction between nano and not nano"
        return [_plain(market, use, "passes", limit, "")]
    limit = "rules on nano forms"
    if use.form == "not nano":
        return [_plain(market, use, "passes", limit, "")]
    rules = [r for r in filter_rules(market.key) if r.filter == use.filter and r.form == "nano"]
    if use.material.grade is None or not rules:
        more = "" if use.form == "unknown" else "; no entry for its nano form is held"
        return [_plain(market, use, "unknown", limit, more)]
    if use.form == "border":
        return [_undecided(use, use.material.grade, rules[0])]
    return _entry_requirements(use, use.material.grade, rules[0])


def nano_requirements(market: Market, uses: Iterable[PigmentUse]) -> tuple[Requirement, ...]:
    """Return whether the form of each pigment is admitted in a market."""
    return tuple(r for use in uses for r in _form(market, use))


def nano_label_requirements(market: Market, uses: Iterable[PigmentUse]) -> tuple[Requirement, ...]:
    """Return the duty to mark nano ingredients in the ingredient list, where a market has it."""
    rules = [rule for rule in claim_rules(market.key) if rule.kind == "nano label"]
    pigments = [u for u in uses if u.form in ("nano", "border")]
    if not rules or not pigments:
        return ()
    sure = sorted({core_inci(u.material) for u in pigments if u.form == "nano"})
    open_names = sorted({core_inci(u.material) for u in pigments if u.form == "border"})
    detail = rules[0].text
    if open_names:
        detail += f"; undecided until counted: {', '.join(open_names)}"
    return (
        requirement(
            "nano labelling",
            "needs a test" if open_names else "passes",
            rules[0].origin,
            found=", ".join(f"{name} [nano]" for name in sure) or "undecided",
            limit="the word nano in brackets after the name in the ingredient list",
            detail=detail,
        ),
    )
