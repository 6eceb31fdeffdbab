"""Nano forms: coatings of the entry, sizes by number, and decisions left to microscopy."""

import math

import pytest
from regulation_formulas import ZINC, formula, line, pigment, topics

from zincite.data.regulation_tables import filter_rules
from zincite.evaluation.regulation import assess_market
from zincite.evaluation.regulation.coatings import judge_coatings
from zincite.evaluation.regulation.number_sizes import number_sizes
from zincite.formula.material import Coating, Grade
from zincite.sources import Evidence


def entry(filter_key, market="eu"):
    (rule,) = [r for r in filter_rules(market) if r.filter == filter_key and r.form == "nano"]
    return rule


def judged(filter_key, *coatings):
    return judge_coatings(tuple(Coating(n, p) for n, p in coatings), entry(filter_key))[0]


@pytest.mark.parametrize(
    ("coatings", "verdict"),
    [
        ((), "passes"),
        ((("Triethoxycaprylylsilane", 3.0),), "passes"),
        ((("Dimethicone", 3.0),), "passes"),
        ((("Octyltriethoxysilane", 3.0),), "passes"),
        ((("Stearic Acid", 3.0),), "fails"),
        ((("Hydrogenated Lecithin", 3.0),), "fails"),
        ((("Silica", 3.0),), "fails"),
        ((("Dimethicone", 1.0), ("Triethoxycaprylylsilane", 1.0)), "unknown"),
    ],
)
def test_zinc_oxide_coatings_of_the_entry(coatings, verdict):
    """Entry 30a: bare or one of four (Regulation (EU) 2016/621)."""
    assert judged("zinc-oxide", *coatings) == verdict


@pytest.mark.parametrize(
    ("coatings", "verdict"),
    [
        ((), "unknown"),
        ((("Alumina", 10.0), ("Stearic Acid", 8.0)), "passes"),
        ((("Aluminum Hydroxide", 6.0), ("Stearic Acid", 8.0)), "passes"),
        ((("Silica", 16.0), ("Cetyl Phosphate", 6.0)), "passes"),
        ((("Silica", 17.0), ("Cetyl Phosphate", 6.0)), "fails"),
        ((("Alumina", 7.0), ("Manganese Dioxide", 0.7)), "passes"),
        ((("Alumina", 7.0), ("Manganese Dioxide", 0.8)), "fails"),
        ((("Alumina", 3.0), ("Triethoxycaprylylsilane", 9.0)), "passes"),
        ((("Alumina", 4.0), ("Triethoxycaprylylsilane", 9.0)), "fails"),
        ((("Triethoxycaprylylsilane", 5.0),), "unknown"),
        ((("Polyhydroxystearic Acid", 5.0),), "fails"),
    ],
)
def test_titanium_dioxide_coatings_of_the_entry(coatings, verdict):
    """Entry 27a: listed coatings and three combinations (Regulation (EU) 2019/1857)."""
    assert judged("titanium-dioxide", *coatings) == verdict


def test_number_sizes_of_a_lognormal_by_volume():
    """Hatch-Choate: Dn50 = Dv50 exp(-3 ln2 g); D1 = Dn50 g^-2.326; d32 = Dv50 exp(-0.5 ln2 g)."""
    sizes = number_sizes(Grade("zinc-oxide", 200.0, 1.5, weighting="volume"))
    assert sizes.median_nm == pytest.approx(122.1, abs=0.1)
    assert sizes.first_percentile_nm == pytest.approx(122.1 / 1.5**2.32635, rel=1e-3)
    d32 = 200.0 * math.exp(-0.5 * math.log(1.5) ** 2)
    assert sizes.vssa_m2_cm3 == pytest.approx(6000.0 / d32, rel=1e-6)


def test_number_sizes_of_a_histogram():
    grade = Grade(
        "zinc-oxide",
        100.0,
        weighting="number",
        histogram_nm=(80.0, 20.0, 40.0),
        histogram_share=(0.60, 0.02, 0.38),
    )
    sizes = number_sizes(grade)
    assert (sizes.median_nm, sizes.first_percentile_nm) == (80.0, 20.0)


def nano_zinc(median_nm=60.0, **kw):
    return pigment("zinc-oxide-nano", median_nm=median_nm, gsd=kw.pop("gsd", 1.3), **kw)


def test_a_listed_nano_grade_still_needs_certificates():
    card = nano_zinc(coatings=(("Dimethicone", 2.0),))
    found = assess_market(formula((card, 15.0)), "eu")
    assert line(found, "zinc oxide (nano) coating").verdict == "passes"
    assert line(found, "zinc oxide (nano) number D50").verdict == "passes"
    assert line(found, "zinc oxide (nano) number D1").verdict == "passes"
    assert line(found, "zinc oxide (nano) material specification").verdict == "needs a test"
    assert line(found, "nano labelling").found == "Zinc Oxide [nano]"
    assert found.verdict == "needs a test"


def test_a_nano_grade_with_certificates_passes_the_specification():
    card = nano_zinc(purity_percent=99.0, water_solubility_mg_l=8.0)
    found = assess_market(formula((card, 15.0)), "eu")
    assert line(found, "zinc oxide (nano) material specification").verdict == "passes"
    impure = nano_zinc(purity_percent=95.0, water_solubility_mg_l=8.0)
    found = assess_market(formula((impure, 15.0)), "eu")
    assert line(found, "zinc oxide (nano) material specification").verdict == "fails"


def test_too_small_particles_fail_and_near_ones_go_to_the_microscope():
    small = assess_market(formula((nano_zinc(18.0), 15.0)), "eu")
    assert line(small, "zinc oxide (nano) number D50").verdict == "fails"
    near = assess_market(formula((nano_zinc(31.0), 15.0)), "eu")
    d50 = line(near, "zinc oxide (nano) number D50")
    assert d50.verdict == "needs a test"
    assert "electron microscopy" in d50.detail


def test_assumed_sizes_widen_what_is_left_to_the_microscope():
    sure = nano_zinc(36.0)
    guessed = nano_zinc(36.0, evidence=Evidence.ASSUMED)
    topic = "zinc oxide (nano) number D50"
    assert line(assess_market(formula((sure, 9.0)), "eu"), topic).verdict == "passes"
    assert line(assess_market(formula((guessed, 9.0)), "eu"), topic).verdict == "needs a test"


def test_fine_titanium_dioxide_fails_by_its_surface():
    """VSSA at most 460 m2/cm3, a sphere of 13 nm (Regulation (EU) 2019/1857)."""
    card = pigment(
        "titanium-dioxide-fine",
        "titanium-dioxide-rutile",
        inci="Titanium Dioxide",
        median_nm=10.0,
        gsd=1.1,
        coatings=(("Silica", 10.0),),
    )
    found = assess_market(formula((card, 5.0)), "eu")
    assert line(found, "titanium dioxide (nano) surface area").verdict == "fails"


def test_anatase_fails_the_nano_entry():
    card = pigment(
        "titanium-dioxide-a",
        "titanium-dioxide-anatase",
        inci="Titanium Dioxide",
        median_nm=50.0,
        gsd=1.2,
        coatings=(("Silica", 10.0),),
    )
    found = assess_market(formula((card, 5.0)), "eu")
    assert line(found, "titanium dioxide (nano) material specification").verdict == "fails"


def test_the_entry_binds_nano_forms_only():
    """A stearate coat is not on the zinc oxide list but free on a non-nano grade."""
    coarse = pigment("zinc-oxide-st", coatings=(("Stearic Acid", 3.0),))
    found = assess_market(formula((coarse, 20.0)), "eu")
    assert line(found, "zinc oxide form").verdict == "passes"
    assert not [t for t in topics(found) if "(nano)" in t or t == "nano labelling"]
    fine = nano_zinc(coatings=(("Stearic Acid", 3.0),))
    found = assess_market(formula((fine, 20.0)), "eu")
    assert line(found, "zinc oxide (nano) coating").verdict == "fails"
    assert found.verdict == "fails"


def test_a_border_grade_needs_a_count_and_says_what_hangs_on_it():
    border = pigment("zinc-oxide-border", median_nm=100.0, coatings=(("Stearic Acid", 3.0),))
    found = assess_market(formula((border, 20.0)), "eu")
    form = line(found, "zinc oxide form")
    assert form.verdict == "needs a test"
    assert "if it proves nano it is not admitted" in form.detail
    assert "zinc oxide (nano) coating" in form.detail
    assert line(found, "nano labelling").verdict == "needs a test"


def test_markets_without_a_nano_rule_take_both_forms():
    fine = nano_zinc(coatings=(("Stearic Acid", 3.0),))
    for market in ("usa", "japan", "australia", "china"):
        form = line(assess_market(formula((fine, 20.0)), market), "zinc oxide form")
        assert (form.verdict, form.found) == ("passes", "nano")
    unknown = line(assess_market(formula((fine, 20.0)), "south-africa"), "zinc oxide form")
    assert unknown.verdict == "unknown"


def test_a_pigment_without_size_is_unknown():
    from zincite.formula.material import Material

    bare = Material("zinc-oxide", "Zinc Oxide", ("UV filter",), "pigment")
    found = assess_market(formula((bare, 20.0)), "eu")
    assert line(found, "zinc oxide form").verdict == "unknown"
    assert line(found, "zinc oxide (nano) ceiling").verdict == "passes"


def test_coarse_zinc_oxide_needs_nothing():
    assert line(assess_market(formula((ZINC, 20.0)), "uk"), "zinc oxide form").verdict == "passes"


def test_assumed_sizes_that_allow_both_forms_leave_the_form_open():
    """The generic card of 120 nm by volume has 77 % below 100 nm, but its size is assumed."""
    from zincite.formula.library import library

    card = library()["zinc-oxide-120-stearate"]
    assert card.grade.evidence is Evidence.ASSUMED
    found = assess_market(formula((card, 18.0)), "eu")
    form = line(found, "zinc oxide form")
    assert form.verdict == "needs a test"
    assert "assumed and allow both forms" in form.detail
    assert "if it proves nano it is not admitted" in form.detail
