"""Sprays, powders and lip products, and the claim to be mineral only."""

from __future__ import annotations

from collections.abc import Iterable

from zincite.data.regulation_rows import Market, UseRule
from zincite.data.regulation_tables import filter_rules, use_rules
from zincite.evaluation.regulation.pigments import FILTERS, PigmentUse
from zincite.evaluation.regulation.verdict import (
    NO_SOURCE,
    Requirement,
    requirement,
    reservation,
)
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

__all__ = ["mineral_only_requirement", "use_requirements"]

_VERDICT = {
    "barred": "fails",
    "open": "unknown",
    "test": "needs a test",
    "label": "passes",
}
_TOPIC = {"spray": "inhalation (spray)", "powder": "inhalation (powder)", "lip": "lip product"}


def _applies(rule: UseRule, use: PigmentUse) -> bool:
    if rule.filter != use.filter:
        return False
    if rule.form == "any" or use.form in ("border", "unknown"):
        return True
    return (use.form == "nano") == (rule.form == "nano")


def _judge(rule: UseRule, uses: list[PigmentUse]) -> tuple[str, str]:
    """Return verdict and limit of one rule."""
    if rule.ruling == "capped":
        share = sum(u.oxide_percent for u in uses)
        verdict = "fails" if share > rule.max_percent + 1e-6 else "passes"
        return verdict, f"at most {rule.max_percent:g} %"
    limit = {"barred": "not admitted", "test": "tests of the dosage form", "label": "label text"}
    return _VERDICT[rule.ruling], limit.get(rule.ruling, "")


def _softened(verdict: str, rule: UseRule, uses: list[PigmentUse]) -> str:
    """Return the verdict where a ban hangs on a nano decision that is still open."""
    open_form = all(u.form in ("border", "unknown") for u in uses)
    return "needs a test" if verdict == "fails" and rule.form != "any" and open_form else verdict


def _by_filter(market: Market, kind: str, key: str, uses: list[PigmentUse]) -> list[Requirement]:
    topic = f"{FILTERS[key]} {_TOPIC[kind]}"
    found = []
    for rule in use_rules(market.key):
        counted = [u for u in uses if _applies(rule, u)]
        if rule.product != kind or not counted:
            continue
        verdict, limit = _judge(rule, counted)
        verdict = _softened(reservation(verdict, rule.in_force), rule, counted)
        share = sum(u.oxide_percent for u in counted)
        form = "" if rule.form == "any" else f" ({rule.form})"
        found.append(
            requirement(
                topic,
                verdict,
                rule.origin,
                found=f"{share:.4g} % oxide{form} in a {kind} product",
                limit=limit,
                detail=rule.text,
            )
        )
    if not found and kind != "lip":
        found.append(
            requirement(
                topic,
                "unknown",
                NO_SOURCE,
                found=f"{kind} product",
                detail="no rule is held for this market: the safety assessor decides on an "
                "inhalation assessment",
            )
        )
    return found


def use_requirements(
    market: Market, uses: Iterable[PigmentUse], kinds: Iterable[str]
) -> tuple[Requirement, ...]:
    """Return the rules for sprays, powders and lip products that hold a mineral filter."""
    pigments = tuple(uses)
    found: list[Requirement] = []
    for kind in kinds:
        for key in FILTERS:
            mine = [u for u in pigments if u.filter == key]
            if mine:
                found.extend(_by_filter(market, kind, key, mine))
    if "lip" in kinds and any(_has_manganese(u) for u in pigments):
        rules = [r for r in filter_rules(market.key) if r.form == "nano"]
        if rules:
            found.append(
                requirement(
                    "lip product, coating with manganese dioxide",
                    "fails",
                    rules[-1].origin,
                    found="manganese dioxide",
                    limit="not on lips",
                    detail="the entry keeps this coating off lips",
                )
            )
    return tuple(found)


def _has_manganese(use: PigmentUse) -> bool:
    grade = use.material.grade
    return (
        use.filter == "titanium-dioxide"
        and use.form != "not nano"
        and grade is not None
        and any("manganese" in coating.inci.lower() for coating in grade.coatings)
    )


def mineral_only_requirement(market: Market, formula: Formula) -> Requirement:
    """Return whether a mineral-only statement can stand: no material absorbs UV beside pigments."""
    absorbing = sorted({m.id for m, percent in leaves(formula) if m.uv_absorbing and percent > 0})
    detail = "from the flags of the cards"
    if absorbing:
        detail = (
            "a mineral-only claim does not stand, and whether these materials are admitted as "
            "filters or boosters is not held here: check the market's list of filters"
        )
        if market.key == "canada":
            detail += "; with organic filters the product is a drug here"
    return Requirement(
        topic="minerals as the only filters",
        verdict="unknown" if absorbing else "passes",
        found=", ".join(absorbing) or "no other UV-absorbing material",
        limit="no other UV-absorbing material",
        detail=detail,
        source="material cards of the formula",
        date="as on the cards",
        confidence="unverified" if absorbing else "verified",
    )
