"""What is said of an emulsion, against trade relations applied by hand to whole formulas."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import zincite.data
from zincite.errors import OutOfRangeError
from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook, judge_emulsion
from zincite.evaluation.making.emulsions.emulsion_phases import emulsion_phases
from zincite.evaluation.making.emulsions.spread import with_range
from zincite.evaluation.viscosity import FlowVolumes, structureless_mPas
from zincite.formula.reading import load_formula
from zincite.physics.emulsion_rheology import phi100_viscosity
from zincite.sources import Sourced

sys.path.insert(0, str(Path(__file__).parent))
from emulsions import write_formula

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
CCT = "caprylic-capric-triglyceride"
OIL = (("zinc-oxide-120", 20), (CCT, "rest"), ("sorbitan-oleate", 3))
WATER = (("water", 50), ("magnesium-sulfate", 0.7))
STEPS = """
[process]
batch_kg = 1
[[process.step]]
device = "rotor-stator"
phases = ["A", "B"]
tip_speed_m_s = 15
minutes = 3
energy_J_mL = {energy}
"""


def judged(folder: Path, *parts: object, more: str = "", **measured: float) -> EmulsionOutlook:
    path = write_formula(folder, *parts, more=more)  # type: ignore[arg-type]
    return judge_emulsion(load_formula(path), **measured)


def test_pigment_counts_in_the_oil_by_volume(tmp_path: Path) -> None:
    """50 wt% zinc oxide in caprylic/capric triglyceride is 14.4 vol% (trade relation R09)."""
    path = write_formula(tmp_path, "anhydrous", (("zinc-oxide-120", 50), (CCT, 50)))
    phases = emulsion_phases(load_formula(path))
    assert 100 * phases.pigment_mL / phases.oil_phase_mL == pytest.approx(14.4, abs=0.05)


def test_drops_are_more_by_volume_than_by_mass_when_the_oil_is_heavy(tmp_path: Path) -> None:
    """By hand: 20/5.606 + 26.3/0.945 + 3/0.98 mL of oil phase, 50/0.998 + 0.7/1.9 of water."""
    path = write_formula(tmp_path, "water-in-oil", OIL, WATER)
    phases = emulsion_phases(load_formula(path))
    formula = load_formula(path)
    salt = formula.materials["magnesium-sulfate"].properties["density_g_ml"].value
    emulsifier = 0.98  # class default of W/O emulsifiers
    oil, water = 20 / 5.606 + 26.3 / 0.945 + 3 / emulsifier, 50 / 0.998 + 0.7 / salt
    assert phases.drop_fraction == pytest.approx(water / (water + oil), rel=1e-3)
    assert phases.drop_fraction_at(50.7) == pytest.approx(phases.drop_fraction)
    assert phases.drop_fraction > 0.507


def test_oil_phase_is_as_thick_as_the_product_model_has_it_without_water(tmp_path: Path) -> None:
    phases = emulsion_phases(load_formula(FLUID))
    assert phases.liquid_mPas is not None
    volumes = FlowVolumes(0.0, phases.pigment_mL, ((phases.liquid_mPas, phases.liquid_mL),))
    few, many = (float(structureless_mPas(volumes, share)) for share in (0.0, 1.0))
    assert phases.oil_phase_mPas is not None
    assert few < phases.oil_phase_mPas < many


def test_salt_of_a_whole_formula_is_that_of_r18(tmp_path: Path) -> None:
    """0.7 % MgSO4.7H2O on 50 % water: 0.057 mol/kg, ideal 281 kPa; 2 um drops at 3 mN/m: 6 kPa."""
    salt = judged(tmp_path, "water-in-oil", OIL, WATER, d32_um=2.0).salt
    assert salt is not None
    assert salt.solutes[0].molality_mol_kg == pytest.approx(0.057, abs=0.0005)
    assert salt.solutes[0].ideal_kPa == pytest.approx(281, abs=0.5)
    assert salt.laplace_kPa.median == pytest.approx(6)
    assert salt.holds
    assert salt.solutes[0].osmotic_kPa < salt.solutes[0].ideal_kPa


def test_glycerin_is_counted_apart_from_salt(tmp_path: Path) -> None:
    found = judged(tmp_path, "water-in-oil", OIL, (("water", 46), ("glycerin", 4)))
    assert found.salt is not None
    assert found.salt.salt_kPa == 0
    assert found.salt.other_kPa > 1000
    assert not found.salt.holds
    assert any("No electrolyte" in reason for reason in found.reasons)


def test_smaller_drops_take_more_emulsifier_and_press_harder(tmp_path: Path) -> None:
    fine, coarse = (judged(tmp_path, "water-in-oil", OIL, WATER, d32_um=d) for d in (0.5, 5.0))
    assert fine.budget is not None
    assert coarse.budget is not None
    assert fine.salt is not None
    assert coarse.salt is not None
    ratio = fine.budget.drops_percent.median / coarse.budget.drops_percent.median
    assert ratio == pytest.approx(10)
    assert fine.salt.laplace_kPa.median == pytest.approx(10 * coarse.salt.laplace_kPa.median)


def test_emulsifier_short_of_the_surface_is_a_reason(tmp_path: Path) -> None:
    oil = (("titanium-dioxide-15-silica", 15), (CCT, "rest"), ("sorbitan-oleate", 0.5))
    found = judged(tmp_path, "water-in-oil", oil, WATER)
    assert found.verdict == "short"
    assert any("more surface-active matter" in reason for reason in found.reasons)


def test_without_emulsifier_it_fails(tmp_path: Path) -> None:
    found = judged(tmp_path, "water-in-oil", (("zinc-oxide-120", 20), (CCT, "rest")), WATER)
    assert found.verdict == "fails"


def test_one_point_ties_all_models(tmp_path: Path) -> None:
    found = judge_emulsion(load_formula(FLUID), measured_viscosity_mPas=700.0)
    drops = found.phases.water_percent
    for model in found.viscosity.models:
        assert model.viscosity_mPas == pytest.approx(700, rel=1e-6), model.model
        assert model.at(drops) == pytest.approx(700, rel=1e-6), model.model
        thinner = model.at(drops - 10)
        assert thinner is not None
        assert thinner < 700
    tied = {m.model: m.tied for m in found.viscosity.models}
    assert tied["Krieger-Dougherty"].startswith("packing")
    assert tied["phi100"].startswith("phi100")


def test_r11_gives_the_series_that_its_own_equation_gives(tmp_path: Path) -> None:
    found = judge_emulsion(load_formula(FLUID), measured_viscosity_mPas=4000.0)
    model = next(m for m in found.viscosity.models if m.relation == "R11")
    continuous = found.phases.continuous_mPas
    assert continuous is not None
    scale = float(model.tied.split()[1])  # two decimals
    phi = found.phases.drop_fraction_at(40.0)
    expected = continuous * float(phi100_viscosity(phi, scale))
    assert model.at(40.0) == pytest.approx(expected, rel=0.05)


def test_structure_scales_where_no_packing_explains_it() -> None:
    found = judge_emulsion(load_formula(FLUID), measured_viscosity_mPas=50_000.0)
    assert found.viscosity.models[0].tied.startswith("scaled")
    assert found.viscosity.structure == pytest.approx(
        50_000 / found.phases.continuous_mPas / found.viscosity.models[0].relative  # type: ignore[operator]
    )


def test_a_point_below_the_oil_phase_leaves_r11_without_a_number() -> None:
    found = judge_emulsion(load_formula(FLUID), measured_viscosity_mPas=10.0)
    model = next(m for m in found.viscosity.models if m.relation == "R11")
    assert model.viscosity_mPas is None
    assert "not above" in model.tied


@pytest.mark.parametrize(
    ("water", "word", "fine"),
    [(3.0, "too little", False), (20.0, "below the 30", True), (45.0, "within the 30", True),
     (65.0, "common in W/O", True), (75.0, "no longer round", False)],
)  # fmt: skip
def test_share_of_water_in_words(tmp_path: Path, water: float, word: str, fine: bool) -> None:
    """Trade relation R21: 30 to 60 % is typical, 60 to 80 % common in general, drops deform above
    74 % by volume.
    """
    oil = ((CCT, "rest"), ("sorbitan-oleate", 3))
    share = judged(tmp_path, "water-in-oil", oil, (("water", water),)).share
    assert word in share.statement
    assert share.fine == fine


def test_ninety_percent_water_gets_an_explanation_and_no_number(tmp_path: Path) -> None:
    found = judged(
        tmp_path, "water-in-oil", ((CCT, 7), ("sorbitan-oleate", 3)), (("water", "rest"),)
    )
    assert found.verdict == "fails"
    assert "take out water" in found.share.statement
    assert found.viscosity.models == ()
    assert "74 %" in found.viscosity.why_not
    assert found.drops is None
    assert found.salt is None
    assert found.settling.bodies == ()


def test_drop_size_given_is_used_and_needs_no_assumption(tmp_path: Path) -> None:
    found = judged(tmp_path, "water-in-oil", OIL, WATER, d32_um=1.4)
    assert found.drops is not None
    assert found.drops.d32_um.median == 1.4
    assert not any("as usually aimed for" in s for s in found.basis.assumed)
    assert found.verdict != "unknown"


def test_more_energy_gives_smaller_drops(tmp_path: Path) -> None:
    weak, strong = (
        judged(tmp_path, "water-in-oil", OIL, WATER, more=STEPS.format(energy=e)) for e in (5, 50)
    )
    assert weak.drops is not None
    assert strong.drops is not None
    first, second = (d.ways[0][2].median for d in (weak.drops, strong.drops))
    assert first / second == pytest.approx(10**0.35)
    assert weak.drops.ways[0][1] == "R29"
    assert "R29" in [item["id"] for item in weak.basis.to_dict()["relations"]]  # type: ignore[attr-defined]


def test_lumps_are_those_of_r15_before_the_crowd_slows_them(tmp_path: Path) -> None:
    """In triglyceride of 29 mPa s: the 7.3 and 183 mm a day that R15 has for 30."""
    path = write_formula(tmp_path, "anhydrous", (("zinc-oxide-120", 1), (CCT, 99)))
    bodies = judge_emulsion(load_formula(path)).settling.bodies
    speed = {b.diameter_um: b.lone_mm_day for b in bodies}
    assert speed[1.0] * 29 / 30 == pytest.approx(7.3, abs=0.05)
    assert speed[5.0] * 29 / 30 == pytest.approx(183, abs=0.5)


def test_lumps_without_a_gellant_are_a_reason_when_they_show(tmp_path: Path) -> None:
    bare = (("zinc-oxide-120", 20), (CCT, "rest"))
    assert judged(tmp_path, "anhydrous", bare).verdict == "short"
    held = judged(tmp_path, "anhydrous", bare, yield_stress_Pa=1.0)
    assert held.verdict == "passes"
    gelled = (*bare, ("disteardimonium-hectorite", 1))
    assert judged(tmp_path, "anhydrous", gelled).verdict == "passes"


@pytest.mark.parametrize(("stress", "word"), [(0.2, "held"), (0.02, "perhaps"), (0.0, "not held")])
def test_measured_yield_stress_against_the_need_of_r17(stress: float, word: str) -> None:
    found = judge_emulsion(load_formula(FLUID), yield_stress_Pa=stress)
    lump = next(b for b in found.settling.bodies if b.is_lump and b.diameter_um == 5)
    assert lump.held(stress) == word
    assert any("does not hold" in r for r in found.reasons) == (word == "not held")


def test_oil_in_water_is_said_honestly(tmp_path: Path) -> None:
    oil = (("zinc-oxide-120", 10), ("isopropyl-myristate", 8), ("cera-alba", 2),
           ("polysorbate-80", 2), ("sorbitan-stearate", 2))  # fmt: skip
    found = judged(tmp_path, "oil-in-water", oil, (("water", "rest"), ("xanthan-gum", 0.3)))
    assert all(m.viscosity_mPas is None for m in found.viscosity.models)
    assert found.viscosity.models[0].relative is not None
    assert found.salt is None
    assert found.ripening == ()
    assert found.settling.lumps_inside
    assert [b.name for b in found.settling.bodies] == ["oil drop, d32"]


def test_hlb_of_oil_in_water_by_hand(tmp_path: Path) -> None:
    """R22: (2*15 + 2*4.7)/4 against (8*11.5 + 2*12)/10, the values of the cards (S86, S87)."""
    oil = (("isopropyl-myristate", 8), ("cera-alba", 2), ("polysorbate-80", 2),
           ("sorbitan-stearate", 2))  # fmt: skip
    hlb = judged(tmp_path, "oil-in-water", oil, (("water", "rest"),)).hlb
    assert hlb.use == "valid"
    assert hlb.mix == pytest.approx((30 + 9.4) / 4)
    assert hlb.required == pytest.approx((92 + 24) / 10)
    assert hlb.oils_known_percent == pytest.approx(100)
    assert hlb.speaks_against  # 9.85 against 11.6


@pytest.mark.parametrize(
    ("emulsifier", "use"),
    [("sorbitan-oleate", "coarse screen"), ("polyglyceryl-3-diisostearate", "not valid"),
     ("peg-30-dipolyhydroxystearate", "not valid"), ("peg-10-dimethicone", "not valid")],
)  # fmt: skip
def test_hlb_only_where_it_holds(tmp_path: Path, emulsifier: str, use: str) -> None:
    found = judged(tmp_path, "water-in-oil", ((CCT, "rest"), (emulsifier, 3)), WATER)
    assert found.hlb.use == use
    assert (found.hlb.mix is None) == (use == "not valid")


def test_polar_oils_ripen_faster_than_non_polar_ones_of_like_viscosity(tmp_path: Path) -> None:
    """Trade relation R19: polar oils dissolve more water. Both are near 30 mPa s on their cards."""
    oil = ((CCT, 20), ("squalane", 20), ("sorbitan-oleate", 3), ("coco-caprylate", "rest"))
    order = judged(tmp_path, "water-in-oil", oil, WATER).ripening
    assert [r.polarity for r in order] == ["medium", "non-polar", ""]
    assert order[-1].days_to_double is None


@pytest.mark.parametrize(
    ("name", "value"),
    [("measured_viscosity_mPas", 0.0), ("measured_viscosity_mPas", math.nan),
     ("yield_stress_Pa", -1.0), ("d32_um", 0.0), ("d32_um", 1e4)],
)  # fmt: skip
def test_impossible_measurements_are_refused(name: str, value: float) -> None:
    with pytest.raises(OutOfRangeError, match="expected"):
        judge_emulsion(load_formula(FLUID), **{name: value})


def test_every_relation_that_a_way_uses_is_named() -> None:
    found = judge_emulsion(load_formula(FLUID), measured_viscosity_mPas=9000.0)
    assert {"R11", "R12", "R13", "R14", "R15", "R16", "R17", "R18", "R19", "R20", "R21"} <= set(
        found.basis.relations
    )


def test_ranges_of_a_product_of_powers() -> None:
    """(2 in 1 to 4) to the power -1: half, between a quarter and one."""
    factor = Sourced(2.0, low=1.0, high=4.0)
    found = with_range(0.5, "um", (factor, -1.0))
    assert (found.low, found.high) == pytest.approx((0.25, 1.0))
    both = with_range(1.0, "", (factor, 1.0), (replace(factor), 1.0))
    assert both.high == pytest.approx(2 ** math.sqrt(2))
