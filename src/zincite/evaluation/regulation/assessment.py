"""One market's assessment of one formula."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from zincite.data.regulation_rows import ClaimRule, Market
from zincite.data.regulation_tables import claim_rules, market_notes, ordered_tests
from zincite.data.regulation_tables import market as find_market
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.regulation.ceilings import (
    ceiling_requirements,
    other_ceiling_requirements,
    supplied_warnings,
)
from zincite.evaluation.regulation.efficacy import efficacy_requirements
from zincite.evaluation.regulation.nano_form import nano_label_requirements, nano_requirements
from zincite.evaluation.regulation.pigments import PigmentUse, pigment_uses, product_kinds
from zincite.evaluation.regulation.product_use import (
    mineral_only_requirement,
    use_requirements,
)
from zincite.evaluation.regulation.verdict import (
    MarketAssessment,
    Requirement,
    Statement,
    overall_verdict,
    statement,
)
from zincite.formula.brief import Brief
from zincite.formula.formula import Formula

__all__ = ["assess_market"]


def assess_market(
    formula: Formula,
    market: str,
    *,
    spf: Estimate | None = None,
    uva_pf: Estimate | None = None,
    critical_wavelength_nm: Estimate | None = None,
    brief: Brief | None = None,
    probabilities: Mapping[str, float] | None = None,
) -> MarketAssessment:
    """Judge a formula by the rules of one market.

    Parameters
    ----------
    formula : Formula
        The formula with its cards.
    market : str
        Market key or usual name, such as "eu" or "New Zealand".
    spf, uva_pf, critical_wavelength_nm : Estimate, optional
        Predictions, the last in nm. They can fail a requirement but never pass one.
    brief : Brief, optional
        Label SPF and kind of product; the formula's own where left out.
    probabilities : mapping of str to float, optional
        Probability that a test meets the limit, by "spf", "uva_pf", "critical_wavelength_nm".

    Returns
    -------
    MarketAssessment
        Its verdict is the worst of its requirements.

    Raises
    ------
    InputError
        If the market is unknown.

    Notes
    -----
    Ceilings are judged on the oxide without its coating, see `pigments`. A rule marked "verify"
    gives "unknown" and never passes or fails.
    """
    place = find_market(market)
    wanted = brief if brief is not None else formula.brief
    uses = pigment_uses(formula)
    requirements: tuple[Requirement, ...] = (
        *ceiling_requirements(place, uses),
        *other_ceiling_requirements(place, formula),
        *nano_requirements(place, uses),
        *nano_label_requirements(place, uses),
        *use_requirements(place, uses, product_kinds(wanted)),
        mineral_only_requirement(place, formula),
        *efficacy_requirements(
            place,
            None if wanted is None else wanted.label_spf,
            spf=spf,
            uva_pf=uva_pf,
            critical_wavelength_nm=critical_wavelength_nm,
            probabilities=probabilities,
        ),
    )
    weak = _may_need_alert(spf, critical_wavelength_nm)
    return MarketAssessment(
        market=place.key,
        name=place.name,
        product_status=place.product_status,
        verdict=overall_verdict(requirements),
        requirements=requirements,
        label_statements=_label_statements(place, uses, alert=weak),
        tests_to_order=tuple(
            statement(row.quantity, f"{row.method}; {row.text}".rstrip("; "), row.origin)
            for row in ordered_tests(place.key)
        ),
        notes=tuple(
            statement(row.kind, f"{row.subject}: {row.text}", row.origin)
            for row in market_notes(place.key)
        ),
        warnings=_warnings(place, uses, requirements),
    )


def _may_need_alert(spf: Estimate | None, critical_wavelength_nm: Estimate | None) -> bool:
    """Return whether a test could end below SPF 15 or without broad spectrum."""
    low_spf = spf is None or spf.low < 15
    narrow = critical_wavelength_nm is None or critical_wavelength_nm.low < 370
    return low_spf or narrow


def _label_statements(
    place: Market, uses: tuple[PigmentUse, ...], *, alert: bool
) -> tuple[Statement, ...]:
    applies = {
        "always": True,
        "claim": True,
        "nano": any(u.form in ("nano", "border") for u in uses),
        "colourant": any(u.is_colourant for u in uses),
        "below SPF 15 or not broad spectrum": alert,
        "alumina and manganese dioxide coating": any(
            "manganese" in coating.inci.lower()
            for use in uses
            if use.material.grade is not None
            for coating in use.material.grade.coatings
        ),
    }
    rules: Iterable[ClaimRule] = claim_rules(place.key)
    return tuple(
        statement(rule.kind, f"{rule.text}{_condition(rule)}", rule.origin)
        for rule in rules
        if applies[rule.condition]
    )


def _condition(rule: ClaimRule) -> str:
    if rule.condition == "claim":
        return " (if water resistance is claimed)"
    if rule.condition.startswith("below"):
        return f" (if the test ends {rule.condition})"
    return ""


def _warnings(
    place: Market, uses: tuple[PigmentUse, ...], requirements: tuple[Requirement, ...]
) -> tuple[str, ...]:
    found = list(supplied_warnings(place, uses))
    unverified = sum(r.confidence == "unverified" for r in requirements)
    if unverified:
        found.append(
            f"{unverified} of {len(requirements)} requirements rest on rules that are unverified "
            "(from memory or not found): read the instrument before deciding"
        )
    if not uses:
        found.append("the formula holds no pigment, so no mineral filter was judged")
    return tuple(found)
