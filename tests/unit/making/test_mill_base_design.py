"""Mill bases for devices: limits, recipes, refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mill_formulas import FLUID, made

from zincite.data.devices import devices
from zincite.errors import FormulaError, InputError, OutOfRangeError
from zincite.evaluation.density import cpvc_from_oil_absorption
from zincite.evaluation.making.dispersion.mill_base_design import design_mill_base
from zincite.formula.reading import load_formula
from zincite.physics.dispersing import mass_fraction_from_volume

FORMULA = load_formula(FLUID)
ABLE = [key for key, found in devices().items() if found.viscosity_mPas.high is not None]


@pytest.mark.parametrize("device", ABLE)
def test_the_highest_solids_meet_the_upper_viscosity_below_the_cpvc(device: str) -> None:
    found = design_mill_base(FORMULA, device)
    high = found.device.viscosity_mPas.high
    phi = found.slurry.volume_fraction(found.highest_solids_percent.median)
    assert float(found.slurry.in_device_mPas(phi, 1)) == pytest.approx(high, rel=1e-6)
    ends = (found.highest_solids_percent, found.cpvc_solids_percent)
    assert ends[0].low < ends[0].median < ends[0].high
    assert ends[0].median < ends[1].median
    assert found.verdict == "fits"
    assert found.solids_percent <= ends[0].median


def test_the_cpvc_is_the_oil_absorptions() -> None:
    """Closed form, trade relations R01 and R09: one powder of OA 18.5 in one oil of a card."""
    formula = made(("pigment", (("zinc-oxide-120", 50), ("squalane", 50))), emulsion="anhydrous")
    found = design_mill_base(formula, "dissolver")
    oil = formula.materials["squalane"].property_value("density_g_ml")
    cpvc = cpvc_from_oil_absorption(18.5, 5.606)
    expected = 100 * float(mass_fraction_from_volume(cpvc, 5.606, oil))
    assert found.cpvc_solids_percent.median == pytest.approx(expected)


def test_a_request_above_the_cpvc_is_explained() -> None:
    with pytest.raises(OutOfRangeError, match=r"80 % solids is 43 vol% powder, above the critical "
                       r"29 vol% .* expected at most 68 % in a dissolver"):  # fmt: skip
        design_mill_base(FORMULA, "dissolver", solids_percent=80)


@pytest.mark.parametrize(
    ("solids", "device", "verdict"),
    [(30, "dissolver", "too thin"), (68, "high-pressure", "too thick"),
     (30, "rotor-stator", "fits")],
)  # fmt: skip
def test_solids_asked_for_are_judged(solids: float, device: str, verdict: str) -> None:
    assert design_mill_base(FORMULA, device, solids_percent=solids).verdict == verdict


@pytest.mark.parametrize("solids", [0, -5, 96, math.nan])
def test_impossible_solids_are_refused(solids: float) -> None:
    with pytest.raises(OutOfRangeError, match="solids are"):
        design_mill_base(FORMULA, "dissolver", solids_percent=solids)


def test_devices_that_do_not_disperse_are_refused() -> None:
    with pytest.raises(InputError, match="blends and breaks nothing up"):
        design_mill_base(FORMULA, "anchor")
    with pytest.raises(InputError, match="'blender' is not known, expected one of dissolver"):
        design_mill_base(FORMULA, "blender")
    assert design_mill_base(FORMULA, "Three-roll mill").device.key == "three-roll-mill"


def test_an_oil_thicker_than_the_device_takes_is_refused() -> None:
    """Castor oil, 975 mPa s on its card, in a device that takes 200."""
    formula = made(
        ("pigment", (("zinc-oxide-120", 50), ("ricinus-communis-seed-oil", 50))),
        emulsion="anhydrous",
    )
    with pytest.raises(FormulaError, match=r"the oil alone has 975 mPa s .* at most 200 mPa s"):
        design_mill_base(formula, "high-pressure")
    thinner = design_mill_base(formula, "high-pressure", oil_viscosity_mPas=60)
    assert thinner.slurry.oil_mPas == 60
    assert not any("Viscosity of" in said for said in thinner.basis.assumed)


@pytest.mark.parametrize(
    ("options", "words"),
    [({"oil_viscosity_mPas": 0.0}, "oil viscosity is 0"), ({"dispersant_percent": 50.0}, "50 %"),
     ({"gamma_mg_m2": -1.0}, "adsorbed amount is -1")],
)  # fmt: skip
def test_impossible_options_are_refused(options: dict[str, float], words: str) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        design_mill_base(FORMULA, "dissolver", **options)


@settings(max_examples=40, deadline=None)
@given(solids=st.floats(1, 67), dispersant=st.floats(0, 20))
def test_a_recipe_adds_up_to_100_g_and_holds_what_was_asked(
    solids: float, dispersant: float
) -> None:
    found = design_mill_base(
        FORMULA, "bead-mill", solids_percent=solids, dispersant_percent=dispersant
    )
    grams = {role: math.fsum(x.mass_g for x in found.recipe if x.role == role)
             for role in ("powder", "dispersant", "oil")}  # fmt: skip
    assert math.fsum(round(100 * x.mass_g) for x in found.recipe) == 10_000
    # five powders and one dispersant rounded to 0.01 g each; the largest line takes the rest
    assert grams["powder"] == pytest.approx(solids, abs=0.05)
    assert grams["dispersant"] == pytest.approx(solids * dispersant / 100, abs=0.05)


def test_a_recipe_without_a_dispersant_names_the_place_for_one() -> None:
    formula = made(("pigment", (("zinc-oxide-120", 50), ("squalane", 50))), emulsion="anhydrous")
    found = design_mill_base(formula, "dissolver", gamma_mg_m2=2)
    line = next(x for x in found.recipe if x.role == "dispersant")
    assert line.material == "dispersant to be chosen"
    # 9.68 m2/g at 2 mg/m2 is 1.94 % of the powder (trade relation R04)
    assert line.mass_g == pytest.approx(found.solids_percent * 0.0194, abs=0.01)
    none = design_mill_base(formula, "dissolver", dispersant_percent=0)
    assert not [x for x in none.recipe if x.role == "dispersant"]


def test_dispersant_that_leaves_no_oil_is_refused() -> None:
    formula = made(("pigment", (("zinc-oxide-120", 50), ("squalane", 50))), emulsion="anhydrous")
    with pytest.raises(OutOfRangeError, match=r"leave -12\.0 % for the oil"):
        design_mill_base(formula, "dissolver", solids_percent=80, dispersant_percent=40)


def test_the_product_takes_as_much_oil_as_its_mill_base_holds() -> None:
    """Mass balance: pigment of the product over solids is the mill base."""
    found = design_mill_base(FORMULA, "bead-mill", solids_percent=50)
    assert found.oil.mill_base_percent == pytest.approx(22.1 / 0.5)
    assert found.oil.held_percent == pytest.approx(12)
    in_100 = math.fsum(x.mass_g for x in found.recipe if x.role == "oil")
    assert found.oil.needed_percent == pytest.approx(22.1 / 0.5 * in_100 / 100)
