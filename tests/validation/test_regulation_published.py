"""Label classes, grades and limits against the published rules."""

import math

import pytest

from zincite.data.regulation_tables import filter_rules, label_rows
from zincite.evaluation.regulation import label_class, label_target, pa_grade, uva_pf_needed

EU_TABLE = [
    # Commission Recommendation 2006/647/EC, point 10: labelled SPF, measured from, to as printed
    ("6", 6.0, 9.9, "low protection"),
    ("10", 10.0, 14.9, "low protection"),
    ("15", 15.0, 19.9, "medium protection"),
    ("20", 20.0, 24.9, "medium protection"),
    ("25", 25.0, 29.9, "medium protection"),
    ("30", 30.0, 49.9, "high protection"),
    ("50", 50.0, 59.9, "high protection"),
    ("50+", 60.0, math.inf, "very high protection"),
]


@pytest.mark.parametrize(("label", "low", "high", "name"), EU_TABLE)
@pytest.mark.parametrize("market", ["eu", "uk"])
def test_eu_classes(market, label, low, high, name):
    """Commission Recommendation 2006/647/EC, table of point 10, both printed bounds."""
    assert label_class(market, low) == label
    assert label_class(market, min(high, 500.0)) == label
    assert label_target(market, float(label.rstrip("+")) + (10 if label == "50+" else 0)).text == (
        label
    )
    (row,) = [r for r in label_rows(market) if r.labels == (label,)]
    assert row.class_label == name


def test_eu_below_six_has_no_label():
    """Commission Recommendation 2006/647/EC: protection starts at SPF 6."""
    assert label_class("eu", 5.9) is None


def test_eu_uva_is_a_third_of_the_label():
    """Commission Recommendation 2006/647/EC: UVA-PF of at least 1/3 of the labelled SPF."""
    for number in (6, 10, 15, 20, 25, 30, 50):
        assert uva_pf_needed(label_target("eu", number)) == pytest.approx(number / 3)
    assert {r.critical_wavelength_min_nm for r in label_rows("eu")} == {370.0}


@pytest.mark.parametrize(
    ("low", "below", "grade"), [(2, 4, "PA+"), (4, 8, "PA++"), (8, 16, "PA+++"), (16, 99, "PA++++")]
)
def test_pa_bounds(low, below, grade):
    """Japan, industry standard as revised in 2013; China, Notice 107/2016 (2-3, 4-7, 8-15, 16)."""
    assert pa_grade(low) == grade
    assert pa_grade(below - 0.01) == grade
    for market in ("japan", "china", "south-korea"):
        (row,) = [r for r in label_rows(market, "PA") if r.labels == (grade,)]
        assert row.tested_min == low


def test_no_pa_grade_below_two():
    """China, Notice 107/2016: no PA claim below 2."""
    assert pa_grade(1.99) is None


def test_china_prints_the_value_up_to_50_and_50_plus_above():
    """Notice 107/2016: integer part from 2 to 50, above 50 as 50+."""
    assert [label_class("china", v) for v in (1.9, 2.0, 37.8, 50.9, 51.0)] == [
        None,
        "2",
        "37",
        "50",
        "50+",
    ]


def test_korea_prints_50_plus_from_50():
    """Consumer notice of the ministry, 3 May 2024: 50 and above are shown as 50+."""
    assert (label_class("south-korea", 49.9), label_class("south-korea", 50.0)) == ("49", "50+")


def test_canada_prints_50_plus_above_50():
    """Summary of the Canadian monograph: values above 50 are declared 50+."""
    assert (label_class("canada", 50.0), label_class("canada", 51.0)) == ("50", "50+")


def test_australia_takes_the_largest_label_not_above_the_mean():
    """AS/NZS 2604:2021, classes from memory; 50+ from a tested 60."""
    shown = [label_class("australia", v) for v in (3.9, 7.9, 14.9, 29.0, 45.0, 59.9, 60.0)]
    assert shown == [None, "6", "10", "25", "40", "50", "50+"]


def test_mercosur_starts_at_six():
    """RDC 629/2022: SPF of at least 6, UVA-PF of at least SPF/3, 370 nm."""
    assert (label_class("mercosur", 5.9), label_class("mercosur", 6.0)) == (None, "6")
    assert uva_pf_needed(label_target("mercosur", 45)) == pytest.approx(15.0)


def rule(market, filter_key, form):
    (found,) = [r for r in filter_rules(market) if r.filter == filter_key and r.form == form]
    return found


def test_eu_zinc_oxide_entries():
    """Commission Regulation (EU) 2016/621, entries 30 and 30a."""
    plain, nano = rule("eu", "zinc-oxide", "non-nano"), rule("eu", "zinc-oxide", "nano")
    assert (plain.max_percent, nano.max_percent, plain.group_max_percent) == (25, 25, 25)
    assert nano.purity_min_percent == 96
    assert (nano.number_median_min_nm, nano.number_d1_min_nm, nano.size_bound) == (30, 20, "above")
    assert nano.water_solubility_max_mg_l == 50
    assert plain.origin.confidence == nano.origin.confidence == "verified"


def test_eu_titanium_dioxide_entries():
    """Commission Regulation (EU) 2019/1857, entry 27a; (EU) 2021/850, entry 27."""
    plain, nano = rule("eu", "titanium-dioxide", "non-nano"), rule("eu", "titanium-dioxide", "nano")
    assert (plain.max_percent, nano.max_percent, nano.group_max_percent) == (25, 25, 25)
    assert (nano.purity_min_percent, nano.number_median_min_nm) == (99, 30)
    assert (nano.aspect_ratio_max, nano.vssa_max_m2_cm3, nano.anatase_max_percent) == (4.5, 460, 5)
    assert nano.photocatalytic_max_percent == 10


def test_usa_zinc_oxide_limit():
    """63 FR 56584 (1998): up to 25 %."""
    assert rule("usa", "zinc-oxide", "any").max_percent == 25


@pytest.mark.parametrize("market", ["canada", "china", "south-korea", "new-zealand", "india"])
def test_remembered_limits_are_unverified(market):
    """These limits were not read in their instruments."""
    assert {r.origin.confidence for r in filter_rules(market)} == {"unverified"}
