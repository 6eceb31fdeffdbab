"""Largest shares: mineral filters by form and in sum, and other ingredients where one is held."""

from __future__ import annotations

import math
from collections.abc import Iterable

from zincite.data.regulation_rows import FilterRule, Market
from zincite.data.regulation_tables import ceilings, filter_rules
from zincite.evaluation.regulation.pigments import FILTERS, PigmentUse
from zincite.evaluation.regulation.verdict import (
    NO_SOURCE,
    Requirement,
    requirement,
    reservation,
)
from zincite.formula.formula import Formula
from zincite.formula.substances import resolve

__all__ = ["ceiling_requirements", "other_ceiling_requirements", "supplied_warnings"]

_SLACK_PERCENT = 1e-6
"""Rounding of sums of weighed percentages; far below any weighing."""


def _counts(use: PigmentUse, form: str) -> bool:
    """Return whether a use falls under a form; an undecided one counts under either."""
    if form == "any" or use.form in ("border", "unknown"):
        return True
    return (use.form == "nano") == (form == "nano")


def _over(percent: float, limit: float) -> bool:
    return percent > limit + _SLACK_PERCENT


def _judge(rule: FilterRule, uses: list[PigmentUse], limit: float) -> tuple[str, str]:
    """Return verdict and reason for the oxide in `uses` against `limit`."""
    total = math.fsum(u.oxide_percent for u in uses)
    if not _over(total, limit):
        supplied = math.fsum(u.supplied_percent for u in uses)
        if _over(supplied, limit):
            return "passes", f"with its coating the powder makes {supplied:.4g} %; {rule.note}"
        return "passes", rule.note
    filters_only = math.fsum(u.oxide_percent for u in uses if not u.is_colourant)
    if rule.disputed:
        return "unknown", f"sources contradict each other above the limit; {rule.note}"
    if not rule.counts_colourant and not _over(filters_only, limit):
        return "unknown", (
            f"{filters_only:.4g} % as filter, the rest as colourant: "
            "whether colour counts under the ceiling of the filter was not found"
        )
    return "fails", f"{total - limit:.4g} % too much; {rule.note}"


def _line(rule: FilterRule, uses: list[PigmentUse], topic: str, limit: float) -> Requirement:
    verdict, detail = _judge(rule, uses, limit)
    total = math.fsum(u.oxide_percent for u in uses)
    if rule.in_force == "verify":
        detail = f"this row must not decide, read the instrument; {detail}"
    return requirement(
        topic,
        reservation(verdict, rule.in_force),
        rule.origin,
        found=f"{total:.4g} % oxide",
        limit=f"at most {limit:g} %",
        detail=detail,
    )


def ceiling_requirements(market: Market, uses: Iterable[PigmentUse]) -> tuple[Requirement, ...]:
    """Return the ceilings of every mineral filter in use, per form and in sum."""
    found: list[Requirement] = []
    pigments = tuple(uses)
    for key, name in FILTERS.items():
        mine = [u for u in pigments if u.filter == key]
        if not mine:
            continue
        rules = [r for r in filter_rules(market.key) if r.filter == key]
        for rule in rules:
            counted = [u for u in mine if _counts(u, rule.form)]
            form = "" if rule.form == "any" else f" ({rule.form})"
            if counted:
                found.append(_line(rule, counted, f"{name}{form} ceiling", rule.max_percent))
        sums = [r for r in rules if not math.isnan(r.group_max_percent)]
        if sums:
            topic = f"{name} ceiling, {sums[0].group} together"
            found.append(_line(sums[0], mine, topic, sums[0].group_max_percent))
        uncovered = [u for u in mine if not any(_counts(u, r.form) for r in rules)]
        if uncovered:
            total = math.fsum(u.oxide_percent for u in uncovered)
            found.append(
                requirement(
                    f"{name} ({uncovered[0].form}) ceiling",
                    "unknown",
                    rules[0].origin if rules else NO_SOURCE,
                    found=f"{total:.4g} % oxide",
                    detail="no entry for this form is held, read the instrument",
                )
            )
    return tuple(found)


def supplied_warnings(market: Market, uses: Iterable[PigmentUse]) -> tuple[str, ...]:
    """Return a warning where only the powder as supplied, coating included, exceeds a ceiling."""
    found = []
    pigments = tuple(uses)
    for key, name in FILTERS.items():
        mine = [u for u in pigments if u.filter == key]
        limits = [r.max_percent for r in filter_rules(market.key) if r.filter == key]
        if not mine or not limits:
            continue
        supplied = math.fsum(u.supplied_percent for u in mine)
        oxide = math.fsum(u.oxide_percent for u in mine)
        if _over(supplied, min(limits)) and not _over(oxide, min(limits)):
            found.append(
                f"{name}: {oxide:.4g} % oxide keeps the ceiling of {min(limits):g} %, but the "
                f"powder with its coating makes {supplied:.4g} %; ask the safety assessor which "
                "of them counts"
            )
    return tuple(found)


def other_ceiling_requirements(market: Market, formula: Formula) -> tuple[Requirement, ...]:
    """Return the ceilings of ingredients that are no filters, as far as they are held."""
    rows = ceilings(market.key)
    if not rows:
        return ()
    shares: dict[str, float] = {}
    for substance in resolve(formula):
        name = substance.inci.strip().lower()
        shares[name] = shares.get(name, 0.0) + substance.percent
    found = []
    for row in rows:
        percent = shares.get(row.inci.lower(), 0.0)
        if percent > 0:
            found.append(
                requirement(
                    f"{row.inci.lower()} ceiling",
                    "fails" if _over(percent, row.max_percent) else "passes",
                    row.origin,
                    found=f"{percent:.4g} %",
                    limit=f"at most {row.max_percent:g} %",
                    detail=row.text,
                )
            )
    return tuple(found)
