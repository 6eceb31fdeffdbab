"""Efficacy: a prediction may fail a claim but never pass it."""

import json

import pytest
from regulation_formulas import ZINC, brief, formula, line, topics

from zincite.data.regulation_tables import markets
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.regulation import CAUTIONS, assess_market, label_target, uva_pf_needed
from zincite.evaluation.regulation.verdict import Requirement, overall_verdict

MARKETS = [m.key for m in markets()]
GOOD = {
    "spf": Estimate(80.0, 70.0, 95.0),
    "uva_pf": Estimate(30.0, 25.0, 40.0),
    "critical_wavelength_nm": Estimate(376.0, 374.0, 378.0, "nm"),
}
EFFICACY = {"SPF", "UVA protection", "critical wavelength", "PA grade"}


def assess(market, label_spf=30.0, **estimates):
    return assess_market(
        formula((ZINC, 20.0), brief=brief(label_spf)), market, **{**GOOD, **estimates}
    )


@pytest.mark.parametrize("market", MARKETS)
def test_the_best_prediction_never_passes_efficacy(market):
    found = assess(market)
    judged = [r for r in found.requirements if r.topic in EFFICACY]
    assert judged
    assert {r.verdict for r in judged} <= {"needs a test", "unknown"}
    assert found.verdict in ("needs a test", "unknown")


@pytest.mark.parametrize("market", ["eu", "usa", "japan", "australia", "mercosur", "canada"])
def test_an_interval_wholly_below_the_label_fails(market):
    low = assess(market, spf=Estimate(20.0, 15.0, 29.9))
    assert line(low, "SPF").verdict == "fails"
    assert low.verdict == "fails"
    touching = assess(market, spf=Estimate(20.0, 15.0, 30.0))
    assert line(touching, "SPF").verdict == "needs a test"


def test_a_row_that_must_not_decide_gives_unknown():
    low = assess("south-africa", spf=Estimate(20.0, 15.0, 29.9))
    assert line(low, "SPF").verdict == "unknown"


def test_uva_bar_is_a_third_of_the_label_and_of_60_for_50_plus():
    at_30 = line(assess("eu", uva_pf=Estimate(8.0, 6.0, 9.9)), "UVA protection")
    assert (at_30.verdict, at_30.limit) == ("fails", "UVA-PF of at least 10, a third of SPF 30")
    plus = line(assess("eu", 60.0, uva_pf=Estimate(18.0, 16.0, 19.9)), "UVA protection")
    assert plus.verdict == "fails"
    assert "at least 20" in plus.limit
    assert "from memory" in plus.detail


def test_uva_needed_of_a_label():
    assert uva_pf_needed(label_target("eu", 50)) == pytest.approx(50 / 3)
    assert uva_pf_needed(label_target("mercosur", 55)) == pytest.approx(55 / 3)
    assert uva_pf_needed(label_target("japan", 30)) is None


def test_critical_wavelength_below_370_fails():
    narrow = Estimate(366.0, 363.0, 369.9, "nm")
    for market in ("eu", "usa", "canada", "australia", "china"):
        found = line(assess(market, critical_wavelength_nm=narrow), "critical wavelength")
        assert found.verdict == "fails"
    assert "critical wavelength" not in topics(assess("japan"))


def test_pa_grade_shows_its_range_and_fails_below_two():
    shown = line(assess("japan", uva_pf=Estimate(9.0, 6.0, 17.0)), "PA grade")
    assert shown.found.startswith("PA+++ (90 % interval PA++ to PA++++)")
    low = line(assess("china", uva_pf=Estimate(1.5, 1.2, 1.9)), "PA grade")
    assert low.verdict == "fails"
    assert line(assess("south-korea"), "PA grade").confidence == "unverified"
    assert "PA grade" not in topics(assess("eu"))


def test_a_label_number_outside_the_classes_fails():
    odd = line(assess("eu", 40.0), "label SPF")
    assert odd.verdict == "fails"
    assert "6, 10, 15, 20, 25, 30, 50, 50+" in odd.limit
    assert line(assess("australia", 40.0), "label SPF").verdict == "passes"
    assert line(assess("usa", 40.0), "label SPF").verdict == "passes"


def test_a_number_above_50_is_printed_50_plus_where_capped():
    for market, tested in (("eu", 60.0), ("australia", 60.0), ("canada", 51.0), ("japan", 51.0)):
        target = label_target(market, 70.0)
        assert (target.text, target.tested_spf_min) == ("50+", tested)
    assert label_target("south-korea", 50.0).text == "50+"
    assert label_target("usa", 70.0).text == "70"  # the cap of SPF 60+ is only proposed


def test_without_a_label_the_predicted_class_is_judged():
    found = assess_market(formula((ZINC, 20.0)), "eu", **GOOD)
    assert "the median would print 50+" in line(found, "SPF").detail
    assert "at least 20" in line(found, "UVA protection").limit
    weak = assess_market(formula((ZINC, 2.0)), "eu", spf=Estimate(3.0, 2.0, 5.9))
    assert line(weak, "SPF").verdict == "fails"


def test_without_a_prediction_a_test_is_needed():
    found = assess_market(formula((ZINC, 20.0), brief=brief()), "eu")
    assert line(found, "SPF").found == "no prediction"
    assert found.verdict == "needs a test"


def test_probabilities_are_passed_on():
    found = assess_market(
        formula((ZINC, 20.0), brief=brief()), "eu", **GOOD, probabilities={"spf": 0.97}
    )
    assert line(found, "SPF").probability == 0.97
    assert line(found, "UVA protection").probability is None


def test_the_brief_of_the_formula_serves_where_none_is_given():
    made = formula((ZINC, 20.0), brief=brief(50.0))
    assert line(assess_market(made, "eu", **GOOD), "label SPF").found == "SPF 50"
    other = assess_market(made, "eu", **GOOD, brief=brief(15.0))
    assert line(other, "label SPF").found == "SPF 15"


def test_the_alert_is_named_where_a_test_could_end_low():
    weak = assess("usa", spf=Estimate(20.0, 12.0, 28.0))
    assert any("alert" in s.text for s in weak.label_statements)
    assert not any("alert" in s.text for s in assess("usa").label_statements)


def test_overall_verdict_takes_the_worst():
    def with_verdict(verdict):
        return Requirement("t", verdict, "", "", "", "", "", "verified")

    order = ["passes", "needs a test", "unknown", "fails"]
    for count in range(1, 5):
        assert overall_verdict(map(with_verdict, order[:count])) == order[count - 1]


@pytest.mark.parametrize("market", MARKETS)
def test_result_is_json_with_sources_and_cautions(market):
    shown = json.loads(json.dumps(assess(market).to_dict()))
    assert shown["cautions"] == list(CAUTIONS)
    for entry in shown["requirements"]:
        assert entry["source"]
        assert entry["confidence"] in ("verified", "unverified")
    unverified = [r for r in shown["requirements"] if r["confidence"] == "unverified"]
    assert any("unverified" in w for w in shown["warnings"]) == bool(unverified)
