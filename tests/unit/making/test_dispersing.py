"""Dispersing: impossible inputs, coated particles, powders and what is milled."""

from __future__ import annotations

import math

import numpy as np
import pytest
from mill_formulas import FLUID, made

from zincite.data.devices import device
from zincite.data.dispersing import dispersing_default, oil_absorption_default_g_100g
from zincite.errors import FormulaError, MissingDataError, OutOfRangeError
from zincite.evaluation.making.dispersion.bench import bench_of
from zincite.evaluation.making.dispersion.milled import mill_base_of
from zincite.evaluation.making.dispersion.slurry import slurry_of
from zincite.formula.formula import Formula
from zincite.formula.reading import load_formula
from zincite.physics.dispersing import (
    dispersant_percent_of_pigment,
    effective_volume_fraction,
    hegman_to_um,
    mass_fraction_from_volume,
    specific_surface_m2_g,
    um_to_hegman,
    volume_fraction_from_mass,
)
from zincite.physics.rheology import krieger_dougherty_volume_fraction, log_mixed_viscosity

ZINC = "trial-zinc-oxide-70-silane"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: specific_surface_m2_g(0, 100), "density is 0 g/mL"),
        (lambda: specific_surface_m2_g(5.6, [100, -1]), "diameter is -1 nm"),
        (lambda: specific_surface_m2_g(5.6, math.nan), "diameter is nan nm"),
        (lambda: dispersant_percent_of_pigment(-1, 10), "adsorbed amount is -1"),
        (lambda: volume_fraction_from_mass(1.2, 5, 1), "mass fraction is 1.2"),
        (lambda: mass_fraction_from_volume(-0.1, 5, 1), "volume fraction is -0.1"),
        (lambda: effective_volume_fraction(0.1, 5, 0), "radius is 0 nm"),
        (lambda: effective_volume_fraction(0.1, -5, 1), "layer is -5 nm"),
        (lambda: hegman_to_um(9), "Hegman reading is 9"),
        (lambda: um_to_hegman(200), "depth is 200"),
        (lambda: krieger_dougherty_volume_fraction(0.5, 0.6), "relative viscosity is 0.5"),
        (lambda: krieger_dougherty_volume_fraction(2, 1.6), "packing is 1.6"),
    ],
)
def test_impossible_inputs_are_refused(call, words) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        call()


def test_a_coating_adds_surface_and_mass() -> None:
    """Closed form of one size: shell t from volumes, surface pi (d+2t)^2 per mass of both."""
    formula = made(("pigment", (("mine", 50), ("squalane", 50))), emulsion="anhydrous", more="""
[[material]]
id = "mine"
inci = "Zinc Oxide (and) Stearic Acid"
phase = "pigment"
[material.grade]
core = "zinc-oxide"
primary_median_nm = 50
primary_gsd = 1.0
[[material.grade.coating]]
inci = "Stearic Acid"
mass_percent = 10
density_g_ml = 0.9
""")  # fmt: skip
    (found,) = mill_base_of(formula).powders
    ratio = (0.1 / 0.9) / (0.9 / 5.606)  # coating volume per core volume
    outer = 50 * (1 + ratio) ** (1 / 3)
    per_gram = math.pi * outer**2 / (5.606 / 0.9 * math.pi / 6 * 50**3) * 1e3
    assert found.geometric_m2_g == pytest.approx(per_gram, rel=1e-6)
    assert found.swelling(5) == pytest.approx((1 + 5 / (outer / 2)) ** 3, rel=1e-6)
    assert found.swelling(0) == pytest.approx(1)
    assert found.has_organic_coating


def test_a_measured_surface_replaces_the_geometric_one_and_is_judged() -> None:
    formula = load_formula(FLUID)
    plain, low, high = (
        bench_of(formula, bet_m2_g=given) for given in ({}, {ZINC: 10.0}, {ZINC: 30.0})
    )
    first = low.powders[0]
    assert first.bet_to_geometric == pytest.approx(10 / first.powder.geometric_m2_g)
    assert any("aggregated" in said for said in low.basis.warnings)
    assert any("porous" in said for said in high.basis.warnings)
    demands = [b.demand_percent_of_formula.median for b in (low, plain, high)]
    assert demands == sorted(demands)
    # 18 % of the powder at Gamma 1.5 mg/m2
    assert demands[2] - demands[0] == pytest.approx(18 * 1.5 * 20 / 1000)


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        ({"squalane": 10.0}, FormulaError, "expected a powder of formula 'OF-4'"),
        ({ZINC: 0.0}, OutOfRangeError, "is 0 m2/g"),
        ({ZINC: math.inf}, OutOfRangeError, "is inf m2/g"),
    ],
)
def test_a_wrong_measured_surface_is_refused(given, error, words) -> None:
    with pytest.raises(error, match=words):
        bench_of(load_formula(FLUID), bet_m2_g=given)


@pytest.mark.parametrize("gamma", [0.0, -1.0, math.nan, 50.0])
def test_an_impossible_adsorbed_amount_is_refused(gamma: float) -> None:
    with pytest.raises(OutOfRangeError, match="adsorbed amount"):
        bench_of(load_formula(FLUID), gamma_mg_m2=gamma)


def test_own_gamma_leaves_no_range_and_no_assumption_of_it() -> None:
    formula = load_formula(FLUID)
    own, assumed = bench_of(formula, gamma_mg_m2=2.0), bench_of(formula)
    assert own.demand_percent_of_formula.low == own.demand_percent_of_formula.high
    assert not own.demand_percent_of_formula.assumed
    assert assumed.demand_percent_of_formula.assumed
    assert not any("Adsorbed amount" in said for said in own.basis.assumed)
    assert any("Adsorbed amount" in said for said in assumed.basis.assumed)


def _with_dispersant(percent: float, kind: str = "pigment") -> Formula:
    parts = [("zinc-oxide-120", 40), ("squalane", "rest")]
    phases = [("pigment", tuple(parts))]
    if percent:
        extra = ("polyhydroxystearic-acid", percent)
        if kind == "pigment":
            phases = [("pigment", (*parts, extra))]
        else:
            phases.append((kind, (extra,)))
    return made(*phases, emulsion="anhydrous")


@pytest.mark.parametrize(
    ("percent", "coverage"), [(0, "none"), (0.2, "short"), (0.6, "within"), (3, "surplus")]
)
def test_what_the_formula_holds_stands_against_the_demand(percent: float, coverage: str) -> None:
    """40 % of 9.7 m2/g powder takes 0.39 to 0.77 % at 1 to 2 mg/m2 (trade relation R04)."""
    found = bench_of(_with_dispersant(percent))
    assert found.demand_percent_of_formula.low == pytest.approx(0.39, abs=0.005)
    assert found.demand_percent_of_formula.high == pytest.approx(0.77, abs=0.005)
    assert found.coverage == coverage


def test_a_dispersant_added_after_milling_does_not_count() -> None:
    found = bench_of(_with_dispersant(0.6, "oil"))
    assert found.coverage == "none"
    assert [(item.material, item.milled) for item in found.held] == [
        ("polyhydroxystearic-acid", False)
    ]


def test_a_bought_dispersion_is_its_own_mill_base() -> None:
    """50 % ZnO in triglyceride is 14.4 vol% (trade relation R09), dispersant beside the oil."""
    found = bench_of(made(
        ("oil", (("zinc-oxide-120-in-caprylic-capric-triglyceride-50", 30), ("squalane", 20))),
        ("water", (("water", "rest"),)),
    ))  # fmt: skip
    assert found.mill is not None
    assert found.mill.solids_volume_percent == pytest.approx(14.4, abs=0.05)
    assert found.milled_dispersant_percent == pytest.approx(0.45)
    assert any("comes dispersed" in said for said in found.basis.warnings)


def test_powder_without_oil_in_its_phase_is_no_mill_base_yet() -> None:
    found = bench_of(made(
        ("pigment", (("zinc-oxide-120", 20),)),
        ("oil", (("squalane", 30),)),
        ("water", (("water", "rest"),)),
    ))  # fmt: skip
    assert found.mill is None
    assert any("without oil" in said for said in found.basis.warnings)


def test_water_of_the_phase_does_not_wet_the_powder_of_an_inverse_emulsion() -> None:
    parts = (("zinc-oxide-120", 20), ("squalane", 20), ("water", 60))
    in_oil = mill_base_of(made(("oil", parts)))
    in_water = mill_base_of(made(("water", parts), emulsion="oil-in-water"))
    assert in_oil.solids_percent == pytest.approx(50)
    assert in_oil.where.endswith("without its water")
    assert in_water.solids_percent == pytest.approx(20)
    assert in_water.is_aqueous


def test_formulas_that_have_nothing_to_disperse_are_refused() -> None:
    with pytest.raises(FormulaError, match="no pigment powder"):
        bench_of(made(("oil", (("squalane", 50), ("water", 50)))))
    with pytest.raises(FormulaError, match="no oil beside its pigment"):
        bench_of(made(("pigment", (("zinc-oxide-120", 100),)), emulsion="anhydrous"))


def test_a_slurry_is_einstein_when_dilute_and_stops_at_the_cpvc() -> None:
    formula = load_formula(FLUID)
    slurry = slurry_of(formula, mill_base_of(formula))
    for case in range(3):
        tiny = 1e-5
        slope = (float(slurry.dispersed(tiny, case)) - 1) / tiny
        assert slope == pytest.approx(2.5 * slurry.swelling[case], rel=1e-3)
        assert np.isinf(float(slurry.in_device_mPas(slurry.cpvc[case] * (1 + 1e-9), case)))
        # the thicker state rules
        phi = 0.5 * slurry.cpvc[case]
        assert slurry.in_device_mPas(phi, case) >= slurry.oil_mPas * slurry.dispersed(phi, case)
    # thin, middle and thick ends of the assumptions stand in that order
    order = [float(slurry.in_device_mPas(0.2, case)) for case in range(3)]
    assert order == sorted(order)


def test_volume_and_mass_of_a_slurry_are_inverse() -> None:
    formula = load_formula(FLUID)
    slurry = slurry_of(formula, mill_base_of(formula))
    solids = np.linspace(1, 94, 12)
    assert slurry.solids_percent(slurry.volume_fraction(solids)) == pytest.approx(solids)


def test_defaults_are_assumed_and_unknown_ones_refused() -> None:
    """Fine grades 40-60, ZnO paint grades 17-20 g/100 g from 100 nm (trade relation R01, S24)."""
    fine, coarse = (oil_absorption_default_g_100g("zinc-oxide", size) for size in (99, 100))
    assert (fine.low, fine.high) == (40, 60)
    assert coarse.value == 18.5
    assert fine.is_assumed
    assert coarse.is_assumed
    filler = oil_absorption_default_g_100g(None, None)
    assert filler.value == oil_absorption_default_g_100g("iron-oxide-yellow", 300).value
    with pytest.raises(MissingDataError, match="no dispersing default"):
        dispersing_default("no-such-key")
    with pytest.raises(MissingDataError, match="no device 'blender'"):
        device("blender")


def test_blend_of_oils_mixes_logarithms() -> None:
    """Trade relation R61, from memory; half and half is the geometric mean."""
    assert log_mixed_viscosity([10.0, 1000.0], [1.0, 1.0]) == pytest.approx(100.0, rel=1e-12)
    assert log_mixed_viscosity([10.0, 1000.0], [1.0, 0.0]) == pytest.approx(10.0, rel=1e-12)
