"""Density and pigment volume."""

import pytest
from regulation_formulas import OIL, formula, pigment

from zincite.errors import OutOfRangeError
from zincite.evaluation.density import (
    cpvc_from_oil_absorption,
    density_g_ml,
    dose_uL_cm2,
    pigment_volume,
)
from zincite.formula.material import Material
from zincite.sources import Evidence, Sourced


def liquid(name, density, evidence=Evidence.DATA_SHEET, **kw):
    known = {"density_g_ml": Sourced(density, "g/mL", evidence, "test")}
    return Material(name, name.title(), properties=known, **kw)


def test_density_adds_volumes():
    """By hand: 50 g at 2 and 50 g at 1 g/mL fill 75 mL, 1.333 g/mL."""
    found = density_g_ml(formula((liquid("a", 2.0), 50.0), (liquid("b", 1.0), 50.0)))
    assert found.median == pytest.approx(4.0 / 3.0)
    assert found.low < found.median < found.high
    assert not found.assumed


def test_interval_widens_and_is_marked_where_densities_are_assumed():
    known = density_g_ml(formula((liquid("a", 0.9), 100.0)))
    guess = density_g_ml(formula((liquid("a", 0.9, Evidence.ASSUMED), 100.0)))
    assert guess.assumed
    assert guess.high - guess.low > known.high - known.low


def test_stated_range_of_a_density_is_used():
    card = Material(
        "a",
        "A",
        properties={"density_g_ml": Sourced(1.0, "g/mL", Evidence.DATA_SHEET, "t", 0.9, 1.1)},
    )
    found = density_g_ml(formula((card, 100.0)))
    assert found.high == pytest.approx(1.1, abs=0.002)


def test_dose_by_volume():
    assert dose_uL_cm2(2.0, 1.0) == 2.0
    with pytest.raises(OutOfRangeError, match=r"density is 0.0 g/mL, expected a number above 0"):
        dose_uL_cm2(2.0, 0.0)


def test_film_keeps_what_is_not_volatile():
    """By hand: 28.03 g of bare zinc oxide fill 5 mL, 10 g oil at 1 g/mL 10 mL, water leaves."""
    oil, light = liquid("oil", 1.0), liquid("light", 1.0, volatile=True)
    found = pigment_volume(formula((pigment(), 28.03), (oil, 10.0), (light, 11.97)))
    assert found.film_share == pytest.approx(1.0 / 3.0)
    assert found.pvc == pytest.approx(1.0 / 3.0)
    assert found.non_volatile_percent == pytest.approx(38.03)
    assert found.film_density_g_ml == pytest.approx(38.03 / 15.0)
    water_ml = 50.0 / 0.998
    assert found.product_share == pytest.approx(5.0 / (15.0 + 11.97 + water_ml), rel=1e-3)


def test_cpvc_of_two_powders_adds_their_oil():
    zinc = pigment("z", oil_absorption_g_100g=18.5)
    titanium = pigment("t", "titanium-dioxide-rutile", oil_absorption_g_100g=11.0)
    oil = liquid("oil", 0.95)
    single = pigment_volume(formula((zinc, 20.0), (oil, 30.0)))
    assert single.cpvc == pytest.approx(cpvc_from_oil_absorption(18.5, 5.606))
    both = pigment_volume(formula((zinc, 10.0), (titanium, 10.0), (oil, 30.0)))
    other = cpvc_from_oil_absorption(11.0, 4.23)
    assert single.cpvc is not None
    assert both.cpvc is not None
    assert single.cpvc < both.cpvc < other
    assert both.pvc_to_cpvc == pytest.approx(both.pvc / both.cpvc)


def test_without_oil_absorption_there_is_no_cpvc():
    found = pigment_volume(formula((pigment(), 20.0), (OIL, 30.0)))
    assert found.cpvc is None
    assert found.pvc_to_cpvc is None
    assert found.missing_oil_absorption == ("zinc-oxide-250",)


def test_fillers_count_in_pvc_but_not_as_pigment():
    starch = liquid("starch", 1.5, functions=("texturiser",))
    found = pigment_volume(formula((pigment(), 20.0), (starch, 5.0), (OIL, 30.0)))
    assert found.pvc > found.film_share > 0


def test_nothing_but_water_leaves_no_film():
    with pytest.raises(OutOfRangeError, match="leaves no film"):
        pigment_volume(formula())
