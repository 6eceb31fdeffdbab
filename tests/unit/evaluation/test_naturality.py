"""ISO 16128 contents: coatings and blends by their parts, unknown indexes listed."""

import pytest
from regulation_formulas import WATER, formula, pigment

from zincite.evaluation.naturality import naturality
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.material import Constituent, Material
from zincite.sources import Evidence, Sourced


def card(name, index=None, *, inci=None, evidence=Evidence.DATA_SHEET, natural=None, **kw):
    known = {}
    if index is not None:
        known["natural_origin_index"] = Sourced(index, "", evidence, "certificate")
    if natural is not None:
        known["natural_index"] = Sourced(natural, "", evidence, "certificate")
    return Material(name, inci or name.title(), properties=known, **kw)


PURE_WATER = card("water", 1.0, inci="Aqua", natural=1.0, volatile=True)


def made(*parts):
    """Return a formula whose water card states its indexes."""
    rest = 100.0 - sum(percent for _, percent in parts)
    cards = {c.id: c for c, _ in parts} | {"water": PURE_WATER}
    listed = [*((c.id, p) for c, p in parts), *([("water", rest)] if rest > 0 else [])]
    phase = Phase("A", "oil", tuple(Ingredient(name, p) for name, p in listed))
    return Formula("T", "t", "water-in-oil", (phase,), cards)


@pytest.mark.parametrize(
    ("core", "coatings", "index"),
    [
        ("zinc-oxide", (("Triethoxycaprylylsilane", 2.0),), 0.98),
        ("zinc-oxide", (("Stearic Acid", 3.0),), 1.00),
        ("titanium-dioxide-rutile", (("Alumina", 10.0), ("Stearic Acid", 8.0)), 1.00),
        ("titanium-dioxide-rutile", (("Silica", 8.0), ("Dimethicone", 5.0)), 0.95),
    ],
)
def test_coated_pigment_is_the_mass_mean_of_its_parts(core, coatings, index):
    """Worked by hand from the sum rule of ISO 16128-2:2017: sum of mass share times index."""
    powder = pigment("powder", core, coatings=coatings)
    found = naturality(made((powder, 100.0)))
    assert found.natural_origin_percent.value == pytest.approx(100 * index, abs=1e-9)
    assert found.unknown == ()


def test_content_with_and_without_water():
    """20 % of index 0.5-derived and 30 % of index 1 in 50 % water, by hand: 80 % and 60 %."""
    found = naturality(made((card("petro", 0.0), 20.0), (card("plant", 1.0), 30.0)))
    assert found.natural_origin_percent.value == pytest.approx(80.0)
    assert found.natural_origin_percent_without_water.value == pytest.approx(60.0)
    assert found.natural_percent.value == pytest.approx(50.0)  # the water alone


def test_unknown_index_counts_zero_and_is_listed():
    found = naturality(made((card("plant", 1.0), 60.0), (card("mystery"), 40.0)))
    assert found.natural_origin_percent.value == pytest.approx(60.0)
    assert found.unknown == ("Mystery",)
    assert found.unknown_percent == pytest.approx(40.0)
    assert found.natural_origin_percent.missing == ("Mystery",)
    assert next(x for x in found.lines if x.inci == "Mystery").basis.startswith("no index")


def test_derived_natural_starts_above_one_half():
    """At or below 0.5 a single substance counts as not natural (ISO 16128-1, from memory)."""
    at = naturality(made((card("half", 0.5), 100.0)))
    assert at.natural_origin_percent.value == 0.0
    assert "not above 0.5" in at.lines[0].basis
    above = naturality(made((card("more", 0.51), 100.0)))
    assert above.natural_origin_percent.value == pytest.approx(51.0)
    blend = naturality(made((card("blend", 0.4, inci="A (and) B"), 100.0)))
    assert blend.natural_origin_percent.value == pytest.approx(40.0)


def test_blend_counts_by_its_parts():
    parts = (Constituent("plant", 75.0), Constituent("petro", 25.0))
    blend = Material("blend", "Plant (and) Petro", composition=parts)
    plant, petro = card("plant", 1.0), card("petro", 0.0)
    whole = made((blend, 40.0), (plant, 0.0), (petro, 0.0))
    found = naturality(whole)
    assert found.natural_origin_percent_without_water.value == pytest.approx(75.0)


def test_a_natural_oil_is_natural_and_a_mineral_core_is_not():
    oil = card("oil", 1.0, natural=1.0)
    found = naturality(made((oil, 10.0), (pigment(), 20.0)))
    assert found.natural_percent.value == pytest.approx(80.0)  # oil 10 and water 70
    assert found.natural_origin_percent.value == pytest.approx(100.0)


def test_water_alone_has_no_content_without_water():
    assert naturality(made()).natural_origin_percent_without_water.value is None


def test_assumed_indexes_are_summed_up():
    guess = card("guess", 1.0, evidence=Evidence.ASSUMED)
    assert naturality(made((guess, 30.0))).assumed_percent == pytest.approx(30.0)


def test_result_is_json():
    import json

    assert json.loads(json.dumps(naturality(formula((pigment(), 20.0))).to_dict()))["lines"]
    assert WATER.inci == "Aqua"
