"""Sprays, powders, lip products, and materials that absorb UV beside the minerals."""

from dataclasses import replace

import pytest
from regulation_formulas import OIL, TITANIUM, ZINC, brief, formula, line, pigment, topics

from zincite.evaluation.regulation import assess_market


def spray(market, card, product="spray"):
    return assess_market(formula((card, 10.0), brief=brief(product=product)), market)


@pytest.mark.parametrize("market", ["eu", "uk"])
@pytest.mark.parametrize("product", ["spray", "powder", "body spray", "aerosol"])
def test_zinc_oxide_may_not_be_inhaled_in_any_form(market, product):
    found = spray(market, ZINC, product)
    assert found.verdict == "fails"
    kind = "powder" if product == "powder" else "spray"
    assert line(found, f"zinc oxide inhalation ({kind})").verdict == "fails"


def test_coarse_titanium_dioxide_powder_is_capped_in_the_eu_and_open_in_britain():
    topic = "titanium dioxide inhalation (powder)"
    assert line(spray("eu", TITANIUM, "powder"), topic).verdict == "passes"
    assert line(spray("uk", TITANIUM, "powder"), topic).verdict == "unknown"
    more = assess_market(formula((TITANIUM, 26.0), brief=brief(product="powder")), "eu")
    assert line(more, topic).verdict == "fails"


def test_a_ban_on_nano_waits_for_the_count_of_a_border_grade():
    card = pigment(
        "titanium-dioxide-border",
        "titanium-dioxide-rutile",
        inci="Titanium Dioxide",
        median_nm=100.0,
        coatings=(("Silica", 5.0),),
    )
    found = [r for r in spray("eu", card).requirements if "inhalation" in r.topic]
    assert {r.verdict for r in found} == {"needs a test"}


def test_a_nano_grade_beside_a_border_grade_keeps_the_ban():
    kind = {"inci": "Titanium Dioxide", "coatings": (("Silica", 5.0),)}
    border = pigment("border", "titanium-dioxide-rutile", median_nm=100.0, **kind)
    nano = pigment("nano", "titanium-dioxide-rutile", median_nm=50.0, gsd=1.2, **kind)
    made = formula((border, 5.0), (nano, 5.0), brief=brief(product="spray"))
    found = [r for r in assess_market(made, "eu").requirements if "inhalation" in r.topic]
    assert "fails" in {r.verdict for r in found if "(nano)" in r.found}


def test_sprays_elsewhere():
    topic = "zinc oxide inhalation (spray)"
    assert line(spray("usa", ZINC), topic).verdict == "needs a test"
    assert line(spray("australia", ZINC), topic).verdict == "passes"
    unknown = line(spray("china", ZINC), topic)
    assert (unknown.verdict, unknown.confidence) == ("unknown", "unverified")
    assert line(spray("usa", ZINC, "powder"), "zinc oxide inhalation (powder)").verdict == "unknown"


def test_a_cream_has_no_inhalation_line():
    assert not [t for t in topics(spray("eu", ZINC, "face")) if "inhalation" in t]


def test_lip_products_with_titanium_dioxide_are_open_in_the_eu():
    found = spray("eu", TITANIUM, "lip")
    assert line(found, "titanium dioxide lip product").verdict == "unknown"
    assert not [t for t in topics(spray("eu", ZINC, "lip")) if "lip" in t]


def test_manganese_dioxide_is_kept_off_lips():
    card = pigment(
        "titanium-dioxide-mn",
        "titanium-dioxide-rutile",
        inci="Titanium Dioxide",
        median_nm=60.0,
        gsd=1.3,
        coatings=(("Alumina", 7.0), ("Manganese Dioxide", 0.7)),
    )
    assert spray("eu", card, "lip").verdict == "fails"
    face = spray("eu", card, "face")
    assert any("against use on the lips" in s.text for s in face.label_statements)


def test_a_uv_absorbing_oil_ends_the_mineral_only_claim():
    booster = replace(OIL, id="booster", inci="Some Salicylate", uv_absorbing=True)
    found = assess_market(formula((ZINC, 10.0), (booster, 5.0)), "canada")
    claim = line(found, "minerals as the only filters")
    assert (claim.verdict, claim.found) == ("unknown", "booster")
    assert "drug" in claim.detail
    plain = assess_market(formula((ZINC, 10.0), (OIL, 5.0)), "canada")
    assert line(plain, "minerals as the only filters").verdict == "passes"
