"""Ceilings: sums over forms, colour, coatings, and rows that must not decide."""

import pytest
from regulation_formulas import TITANIUM, ZINC, formula, line, pigment, topics

from zincite.data.regulation_tables import filter_rules, markets
from zincite.evaluation.regulation import assess_market
from zincite.formula.material import Constituent, Material

MARKETS = [m.key for m in markets()]
NANO = pigment("zinc-oxide-50", median_nm=50.0, coatings=(("Dimethicone", 2.0),))


def ceilings(assessment):
    return [r for r in assessment.requirements if "ceiling" in r.topic]


def verdicts(market, *parts):
    return {r.verdict for r in ceilings(assess_market(formula(*parts), market))}


@pytest.mark.parametrize("market", MARKETS)
def test_a_quarter_passes_unless_the_row_must_not_decide(market):
    rules = [r for r in filter_rules(market) if r.filter == "zinc-oxide"]
    expected = "unknown" if rules[0].in_force == "verify" else "passes"
    assert verdicts(market, (ZINC, 25.0)) == {expected}


@pytest.mark.parametrize("market", MARKETS)
def test_more_than_a_quarter_fails_unless_the_row_is_disputed_or_must_not_decide(market):
    rules = [r for r in filter_rules(market) if r.filter == "zinc-oxide"]
    undecided = rules[0].in_force == "verify" or rules[0].disputed
    found = assess_market(formula((ZINC, 25.1)), market)
    assert {r.verdict for r in ceilings(found)} == {"unknown" if undecided else "fails"}
    assert found.verdict == ("unknown" if undecided else "fails")


def test_some_markets_pass_some_fail_and_some_are_unknown():
    """Guards the two tests above against a table in which nothing is decided."""
    passing = {m for m in MARKETS if verdicts(m, (ZINC, 25.0)) == {"passes"}}
    failing = {m for m in MARKETS if verdicts(m, (ZINC, 25.1)) == {"fails"}}
    assert {"eu", "uk", "usa", "canada", "china", "mercosur", "taiwan"} <= failing <= passing
    assert {"japan", "australia"} <= passing - failing
    assert {"new-zealand", "india", "south-africa"} <= set(MARKETS) - passing


@pytest.mark.parametrize("market", ["eu", "uk"])
def test_nano_and_non_nano_are_summed(market):
    found = assess_market(formula((ZINC, 15.0), (NANO, 15.0)), market)
    assert line(found, "zinc oxide (nano) ceiling").verdict == "passes"
    assert line(found, "zinc oxide (non-nano) ceiling").verdict == "passes"
    together = line(found, "zinc oxide ceiling, nano and non-nano together")
    assert together.verdict == "fails"
    assert together.found == "29.7 % oxide"  # 15 + 15 x 0.98


def test_the_two_oxides_are_not_summed():
    assert verdicts("eu", (ZINC, 20.0), (TITANIUM, 20.0)) == {"passes"}


def test_the_oxide_counts_and_the_powder_as_supplied_warns():
    coated = pigment("zinc-oxide-coated", coatings=(("Stearic Acid", 4.0),))
    found = assess_market(formula((coated, 26.0)), "eu")  # 24.96 % oxide
    assert {r.verdict for r in ceilings(found)} == {"passes"}
    assert any("24.96 % oxide keeps the ceiling" in w and "26 %" in w for w in found.warnings)
    inside = assess_market(formula((coated, 20.0)), "eu")
    assert not any("keeps the ceiling" in w for w in inside.warnings)


def test_a_dispersion_counts_by_its_pigment():
    blend = Material(
        "zinc-oxide-dispersion",
        "Zinc Oxide (and) Caprylic/Capric Triglyceride",
        composition=(
            Constituent("zinc-oxide-250", 60.0),
            Constituent("caprylic-capric-triglyceride", 40.0),
        ),
    )
    found = assess_market(formula((blend, 45.0), (ZINC, 0.0)), "usa")
    assert line(found, "zinc oxide ceiling").found == "27 % oxide"
    assert line(found, "zinc oxide ceiling").verdict == "fails"


def test_mercosur_adds_colourant_to_filter_and_others_leave_it_open():
    colour = pigment(
        "titanium-dioxide-220",
        "titanium-dioxide-rutile",
        inci="CI 77891",
        functions=("opacifier", "colorant"),
    )
    parts = ((TITANIUM, 22.0), (colour, 5.0))
    found = assess_market(formula(*parts), "mercosur")
    assert line(found, "titanium dioxide ceiling, filter and colourant together").verdict == "fails"
    assert {r.verdict for r in ceilings(assess_market(formula(*parts), "usa"))} == {"unknown"}


def test_a_formula_without_mineral_filter_has_no_ceiling_line():
    assert not [t for t in topics(assess_market(formula(), "eu")) if "oxide" in t]


def test_phenoxyethanol_has_a_ceiling_in_the_eu_from_memory():
    """1.0 % (Annex V of Regulation 1223/2009, from memory)."""
    card = Material("phenoxyethanol", "Phenoxyethanol")
    over = line(assess_market(formula((ZINC, 10.0), (card, 1.1)), "eu"), "phenoxyethanol ceiling")
    assert (over.verdict, over.confidence) == ("fails", "unverified")
    at = line(assess_market(formula((ZINC, 10.0), (card, 1.0)), "eu"), "phenoxyethanol ceiling")
    assert at.verdict == "passes"
    assert "phenoxyethanol ceiling" not in topics(assess_market(formula((card, 1.1)), "usa"))


def test_asean_has_no_nano_entry_to_judge_by():
    found = assess_market(formula((NANO, 10.0)), "asean")
    assert line(found, "zinc oxide (nano) ceiling").verdict == "unknown"
