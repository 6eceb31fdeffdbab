"""Constants, solver and advice on ions: what they refuse and what raises which advice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from zincite.data.chemistry import (
    acids,
    complexes,
    components,
    dissolving,
    molar_mass_g_mol,
    sensitivities,
)
from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.making.water.acids import acids_taken
from zincite.evaluation.making.water.aqueous import chemistry_of
from zincite.evaluation.making.water.ion_solving import ZINCITE, Water, solve_water
from zincite.evaluation.making.water.ions import evaluate_ions
from zincite.evaluation.making.water.water_phase import water_phase_of
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.physics.speciation import AqueousSystem, equilibrium

BASE = {
    "zinc-oxide-120-stearate": 20.0,
    "caprylic-capric-triglyceride": 30.0,
    "phenoxyethanol": 0.8,
}


def made(extra: dict[str, float], *, base: dict[str, float] | None = None, **more) -> Formula:
    """Return a formula of base and extra, water the rest."""
    parts = {**(BASE if base is None else base), **extra}
    parts["water"] = parts.get("water", 100 - sum(parts.values()))
    phase = Phase("A", "oil", tuple(Ingredient(k, v) for k, v in parts.items() if v > 0))
    cards = {name: library()[name] for name in parts}
    return Formula("T-1", "test", "water-in-oil", (phase,), cards, **more)


def topics(formula: Formula, **options) -> dict[str, str]:
    return {a.topic: a.level for a in evaluate_ions(formula, **options).advice}


def test_molar_masses_from_atomic_weights() -> None:
    """Handbook values: MgSO4.7H2O 246.47, citric acid 192.12, Na2EDTA.2H2O 372.24 g/mol."""
    assert molar_mass_g_mol("MgSO4(H2O)7") == pytest.approx(246.47, abs=0.01)
    assert molar_mass_g_mol("C6H8O7") == pytest.approx(192.12, abs=0.01)
    assert dissolving()["disodium edta"].molar_mass_g_mol == pytest.approx(372.24, abs=0.01)


@pytest.mark.parametrize("formula", ["", "Xx2", "Mg(OH", "Mg)2", "mg"])
def test_formula_that_cannot_be_read_is_refused(formula: str) -> None:
    with pytest.raises(InputError):
        molar_mass_g_mol(formula)


def test_cards_and_structures_give_the_same_acid_consumption() -> None:
    """The library's cards carry values worked out elsewhere from the structures."""
    for card in library().values():
        stated = card.property_value("zinc_oxide_consumed_g_g")
        if stated is not None:
            acid = acids()[card.inci.lower()]
            assert acid.protons_mol_g * molar_mass_g_mol("ZnO") / 2 == pytest.approx(
                stated, abs=6e-4
            )


def test_what_dissolves_is_neutral() -> None:
    for row in dissolving().values():
        charge = sum(components()[name].charge * count for name, count in row.gives.items())
        assert charge == 0, row.inci


def test_every_constant_says_how_it_is_known() -> None:
    for found in complexes():
        assert found.status in ("literature", "calculated", "from memory")
        assert found.is_assumed or found.source, found.name


@pytest.mark.parametrize(
    ("metal", "nta"), [("Zn", 11.95), ("Ca", 7.608), ("Mg", 6.5), ("Al", 13.3)]
)
def test_mgda_follows_from_nta(metal: str, nta: float) -> None:
    """log K(MGDA) = 1.13 + 0.84 log K(NTA), trade source S46, with NTA of S39."""
    found = next(c for c in complexes() if dict(c.parts) == {metal: 1, "MGDA": 1})
    assert found.log10_beta == pytest.approx(1.13 + 0.84 * nta, abs=0.0051)


def test_nearest_ionic_strength_is_taken() -> None:
    edta = {c.name: c.log10_beta for c in complexes()}
    near = {c.name: c.log10_beta for c in complexes(near_mol_l=0.1)}
    assert (edta["Zn-EDTA-2"], near["Zn-EDTA-2"]) == (18.0, 16.5)


def test_negative_total_and_wrong_shape_are_refused() -> None:
    chemistry = chemistry_of(["Zn"])
    with pytest.raises(OutOfRangeError, match="0 or more"):
        equilibrium(chemistry.system, [0.0, -1.0])
    with pytest.raises(OutOfRangeError, match="expected 2"):
        equilibrium(chemistry.system, [0.0, 1.0, 2.0])
    with pytest.raises(OutOfRangeError, match="shape"):
        AqueousSystem(np.zeros(2), np.eye(3), np.zeros(3), np.zeros((0, 2)), np.zeros(0))


def test_two_solids_of_one_free_component_break_the_phase_rule() -> None:
    chemistry = chemistry_of(["Zn"], ["ZnO (zincite)", "Zn(OH)2 (amorphous)"])
    with pytest.raises(OutOfRangeError, match="phase rule"):
        equilibrium(
            chemistry.system,
            chemistry.totals({}),
            log10_fixed=chemistry.fixed_ph(8.0),
            excess=[0, 1],
        )


def test_supersaturated_oxide_falls_out_and_unsaturated_dissolves() -> None:
    chemistry = chemistry_of(["Zn"], [ZINCITE])
    totals = np.array([chemistry.totals({"Zn": t}) for t in (1e-3, 1e-9)])
    found = equilibrium(
        chemistry.system, totals, log10_fixed=np.repeat(chemistry.fixed_ph(8.0), 2, axis=0)
    )
    assert found.solid_mol_l[0, 0] == pytest.approx(1e-3 - 2.4099e-5, rel=1e-4)  # R36 table, pH 8
    assert found.solid_mol_l[1, 0] == 0
    assert found.saturation_index[1, 0] == pytest.approx(np.log10(1e-9 / 2.4099e-5), abs=1e-4)


def test_oxide_that_is_used_up_leaves_its_whole_zinc_dissolved() -> None:
    state = solve_water(Water({"citrate": 2.0, "H": 6.0}, zinc_oxide_mol_l=0.5))
    assert state.oxide_used_up
    assert state.dissolved_mg_l("Zn")[0] == pytest.approx(500 * 65.38, rel=1e-9)


def test_no_bare_surface_dissolves_nothing() -> None:
    assert evaluate_ions(ph=7.5, exposed_share=0.0).zinc_mg_l == 0.0
    whole = evaluate_ions(ph=7.5, exposed_share=1.0).zinc_mg_l
    assert evaluate_ions(ph=7.5, exposed_share=0.01).zinc_mg_l == whole


def test_water_phase_counts_crystal_water_and_blends() -> None:
    """0.7 % MgSO4.7H2O on 49.3 % water: trade relation R41 gives 0.057 mol/kg."""
    formula = made({"magnesium-sulfate": 0.7, "water": 48.5})
    water = water_phase_of(formula)
    assert water.water_percent == pytest.approx(48.5 + 0.7 * 7 * 18.015 / 246.47, abs=1e-3)
    assert water.totals_mol_l()["Mg"] == pytest.approx(0.057, abs=0.0016)


def test_coating_of_zinc_oxide_has_reacted_and_that_of_titania_is_left_out() -> None:
    found = acids_taken(made({"titanium-dioxide-15-alumina-stearate": 5.0}))
    assert [(a.inci, a.is_coating) for a in found] == [("Stearic Acid", True)]
    assert found[0].percent == pytest.approx(20 * 0.03)


@pytest.mark.parametrize(
    ("extra", "topic", "level"),
    [
        ({"stearic-acid": 1.0}, "soap", "watch"),
        ({"stearic-acid": 0.2}, "soap", "note"),
        ({"citric-acid": 0.2}, "acid", "watch"),
        ({"potassium-cetyl-phosphate": 1.0}, "phosphate", "act"),
        ({"sodium-phytate": 0.1}, "phytate", "watch"),
        ({"carbomer": 0.2}, "acrylate", "act"),
        ({"disodium-edta": 0.1}, "chelator", "note"),
        ({"magnesium-sulfate": 0.7}, "colloid", "note"),
        ({"sodium-benzoate": 0.3}, "preservative", "watch"),
    ],
)
def test_each_advice_has_its_trigger(extra: dict[str, float], topic: str, level: str) -> None:
    """Trade relations R37, R38, R40 and R41 name each of these."""
    plain = topics(made({}))
    assert topic not in plain
    assert topics(made(extra))[topic] == level


def test_lost_preservative_without_another_has_to_change() -> None:
    base = {k: v for k, v in BASE.items() if k != "phenoxyethanol"}
    assert topics(made({"potassium-sorbate": 0.2}, base=base))["preservative"] == "act"
    assert topics(made({}, base=base))["preservative"] == "watch"


def test_titania_alone_raises_no_zinc_advice() -> None:
    base = {"titanium-dioxide-35-silica-dimethicone": 10.0, "phenoxyethanol": 0.8}
    result = evaluate_ions(made({"carbomer": 0.2, "stearic-acid": 1.0}, base=base))
    assert {a.topic for a in result.advice} == set()
    assert result.zinc_mg_l == 0
    assert result.aluminium_mg_l is None


def test_stated_ph_below_the_oxide_is_told_with_the_acid_it_costs() -> None:
    formula = made({}, water_phase_ph=6.5)
    result = evaluate_ions(formula)
    assert (result.ph, result.ph_origin) == (6.5, "stated in the formula")
    assert result.ph_at_equilibrium == pytest.approx(8.57, abs=0.01)  # R37: nothing dissolved
    # 22 mmol/L of zinc (R36 table, pH 6.5, ideal) have to be balanced by twice the acid
    ideal = evaluate_ions(formula, ionic_strength=0.0)
    assert ideal.acid_to_hold_mmol_kg == pytest.approx(2 * 21.6, rel=0.01)
    assert "drift" in next(a.sentence for a in result.advice if a.topic == "pH")


def test_asked_ph_goes_before_the_stated_one() -> None:
    assert evaluate_ions(made({}, water_phase_ph=6.5), ph=8.0).ph_origin == "asked for"


def test_zinc_takes_edta_from_magnesium() -> None:
    """R39: Zn-EDTA still 10^8.7 beside 0.05 M Mg, and zinc oxide supplies zinc without end."""
    result = evaluate_ions(made({"magnesium-sulfate": 0.7, "disodium-edta": 0.1}), ph=7.5)
    assert result.chelators[0].share_by_metal["zinc"] > 0.999


def test_anhydrous_formula_keeps_soap_but_has_no_ph() -> None:
    formula = made({"isostearic-acid": 3.0, "water": 0.0, "squalane": 46.2})
    result = evaluate_ions(replace(formula, emulsion="anhydrous"))
    assert result.ph is None
    assert result.zinc_mg_l is None
    assert [a.topic for a in result.advice] == ["soap"]


@pytest.mark.parametrize("ph", [3.9, 13.1, float("nan"), -1.0])
def test_ph_out_of_range_is_refused(ph: float) -> None:
    with pytest.raises(OutOfRangeError, match="expected 4 to 13"):
        evaluate_ions(ph=ph)
    with pytest.raises(OutOfRangeError, match=r"water_phase_ph = .*expected 4 to 13"):
        evaluate_ions(made({}, water_phase_ph=ph))


def test_other_numbers_out_of_range_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="Davies"):
        evaluate_ions(ionic_strength=0.7)
    with pytest.raises(OutOfRangeError, match="exposed share"):
        evaluate_ions(exposed_share=1.5)
    with pytest.raises(InputError, match="auto"):
        evaluate_ions(ionic_strength="much")


def test_more_salt_than_brine_is_refused() -> None:
    formula = made({"sodium-chloride": 10.0, "squalane": 30.0})
    with pytest.raises(OutOfRangeError, match="brine"):
        evaluate_ions(formula)


def test_assumed_constants_are_named() -> None:
    result = evaluate_ions(made({"magnesium-sulfate": 0.7}))
    assert any("ZnSO4(aq)" in said for said in result.basis.assumed)
    shares = evaluate_ions(made({"tetrasodium-glutamate-diacetate": 0.2, "disodium-edta": 0.1}))
    assert {c.ligand: c.is_assumed for c in shares.chelators} == {"GLDA": True, "EDTA": False}


@pytest.mark.parametrize(
    ("inci", "level"),
    [
        ("Acrylates/C10-30 Alkyl Acrylate Crosspolymer", "watch"),
        ("Polymethyl Methacrylate", "none"),
        ("Distarch Phosphate", "none"),
        ("Sodium Cetearyl Sulfate", "act"),
        ("Magnesium Sulfate", None),
        ("Sorbitan Stearate", None),
        ("Sodium Stearate", "act"),
    ],
)
def test_words_of_names_meet_what_they_mean(inci: str, level: str | None) -> None:
    """Common practice: salts and esters are no anionic emulsifiers."""
    row = next((r for r in sensitivities() if r.fits(inci)), None)
    assert (None if row is None else row.level) == level
