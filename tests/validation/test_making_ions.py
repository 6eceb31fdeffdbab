"""Ions in the water phase against printed numbers, closed forms and a second solver."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from tests.reference.water_balances import chelated_water, hopeite_over_zinc_oxide
from zincite.data.chemistry import molar_mass_g_mol
from zincite.evaluation.making.water.acids import zinc_oxide_consumed_g_g
from zincite.evaluation.making.water.aqueous import chemistry_of
from zincite.evaluation.making.water.chelators import conditional_log10_k, zinc_capacity_g_g
from zincite.evaluation.making.water.ion_solving import Water, solve_water
from zincite.evaluation.making.water.ions import evaluate_ions
from zincite.physics.speciation import equilibrium

CASES = Path(__file__).parent / "cases" / "zno_solubility_vs_ph.csv"
LINES = [line for line in CASES.read_text("utf-8").splitlines() if not line.startswith("#")]
ROWS = list(csv.DictReader(LINES))
FRACTIONS = {
    "frac_Zn2+": "Zn+2",
    "frac_ZnOH+": "ZnOH+",
    "frac_Zn(OH)2aq": "Zn(OH)2(aq)",
    "frac_Zn(OH)3-": "Zn(OH)3-",
    "frac_Zn(OH)4--": "Zn(OH)4-2",
}


def half_digit(printed: str) -> float:
    """Half a unit of the last printed digit, a hair wider for what rounding leaves."""
    mantissa, _, power = printed.partition("e")
    decimals = len(mantissa.partition(".")[2])
    return 0.5001 * 10.0 ** (int(power or 0) - decimals)


def test_whole_table_is_there() -> None:
    assert len(ROWS) == 29


@pytest.mark.parametrize("row", ROWS, ids=[row["pH"] for row in ROWS])
def test_zinc_oxide_solubility_at_the_printed_digits(row: dict[str, str]) -> None:
    """Trade relation R36, table of dissolved zinc against pH, 25 degC, I = 0, no carbonate.

    Masses are held to the printed digits and 0.1 permille, for the table's atomic weight has no
    fewer digits than ours but is not named.
    """
    state = solve_water(Water({}), float(row["pH"]))
    zinc = float(state.dissolved_mg_l("Zn")[0])
    moles = zinc / 1000 / molar_mass_g_mol("Zn")
    printed = row["total_Zn_mol_per_L"]
    assert moles == pytest.approx(float(printed), abs=half_digit(printed))
    assert np.log10(moles) == pytest.approx(float(row["log10_total_Zn_mol_per_L"]), abs=5.001e-4)
    for column, mass in (("Zn_mg_per_L", "Zn"), ("as_ZnO_mg_per_L", "ZnO")):
        mine = 1000 * moles * molar_mass_g_mol(mass)
        allowed = half_digit(row[column]) + 1e-4 * mine
        assert mine == pytest.approx(float(row[column]), abs=allowed)
    shares = state.shares("Zn")
    for column, name in FRACTIONS.items():
        assert float(shares[name][0]) == pytest.approx(float(row[column]), abs=5.001e-4)


@pytest.mark.parametrize(
    ("ph", "printed", "allowed"),
    [(7.0, 142.0, 0.6), (7.5, 14.6, 0.05), (8.0, 1.6, 0.05), (9.0, 0.05, 0.005)],
)
def test_numbers_of_relation_r36(ph: float, printed: float, allowed: float) -> None:
    """142 / 14.6 / 1.6 / 0.05 mg/L; 142 is cut off, its own table prints 142.5."""
    assert evaluate_ions(ph=ph).zinc_mg_l == pytest.approx(printed, abs=allowed)


def test_minimum_and_doubling_of_relation_r36() -> None:
    """Minimum 0.03 mg/L at pH 9.6; ions double for each 0.15 lower."""
    ph = np.arange(9.0, 10.2, 0.01)
    zinc = solve_water(Water({}), ph).dissolved_mg_l("Zn")
    assert float(ph[np.argmin(zinc)]) == pytest.approx(9.6, abs=0.05)
    assert float(zinc.min()) == pytest.approx(0.03, abs=0.005)
    two = solve_water(Water({}), np.array([7.0, 7.15])).dissolved_mg_l("Zn")
    assert two[0] / two[1] == pytest.approx(2.0, abs=0.05)


def test_pure_water_over_zinc_oxide_of_relation_r37() -> None:
    """pH 8.57 and 0.16 mg/L zinc."""
    found = evaluate_ions()
    assert found.ph == pytest.approx(8.57, abs=0.005)
    assert found.zinc_mg_l == pytest.approx(0.16, abs=0.005)


@pytest.mark.parametrize(
    ("acid", "printed"),
    [
        ("Citric Acid", 0.635),
        ("Lactic Acid", 0.452),
        ("Stearic Acid", 0.143),
        ("Isostearic Acid", 0.143),
    ],
)
def test_acid_consumption_of_relation_r37(acid: str, printed: float) -> None:
    assert zinc_oxide_consumed_g_g(acid) == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize(
    ("chelator", "printed"),
    [("Disodium EDTA", 0.176), ("Tetrasodium Glutamate Diacetate", 0.186)],
)
def test_chelator_capacity_of_relation_r38(chelator: str, printed: float) -> None:
    assert zinc_capacity_g_g(chelator) == pytest.approx(printed, abs=5e-4)


def test_amounts_of_relation_r38() -> None:
    """20 % ZnO is 2.46 mol/kg against 2.7 mmol/kg of 0.1 % EDTA."""
    assert 200 / molar_mass_g_mol("ZnO") == pytest.approx(2.46, abs=0.005)
    edta = molar_mass_g_mol("Na2C10H14N2O8(H2O)2")
    assert 1000 * 1.0 / edta == pytest.approx(2.7, abs=0.05)


@pytest.mark.parametrize(
    ("metal", "ligand", "printed"),
    [("Zn", "EDTA", 14.5), ("Mg", "EDTA", 7.1), ("Zn", "citrate", 6.2), ("Ca", "EDTA", 9.0)],
)
def test_conditional_constants_of_relation_r39(metal: str, ligand: str, printed: float) -> None:
    """At pH 7.5. Ca-EDTA is printed 9.0, its own constants give 8.95: half a digit and a hair."""
    assert conditional_log10_k(metal, ligand, 7.5) == pytest.approx(printed, abs=0.055)


def test_magnesium_competition_of_relation_r39() -> None:
    """0.05 M Mg lowers Zn-EDTA by 5.8 to 8.7."""
    beside = conditional_log10_k("Zn", "EDTA", 7.5, magnesium_mol_l=0.05)
    assert beside == pytest.approx(8.7, abs=0.05)
    assert conditional_log10_k("Zn", "EDTA", 7.5) - beside == pytest.approx(5.8, abs=0.05)


def test_hopeite_of_relation_r40_holds_its_solubility_product() -> None:
    """Log Ksp -35.4; phosphate over zinc oxide becomes hopeite."""
    state = solve_water(Water({"phosphate": 0.02, "counter": 0.04, "H": 0.02}))
    log = dict(zip(state.chemistry.components, state.equilibrium.log10_activity[0], strict=True))
    assert 3 * log["Zn"] + 2 * log["phosphate"] == pytest.approx(-35.4, abs=0.05)
    assert state.solids_mol_l()["Zn3(PO4)2.4H2O (hopeite)"] > 0


def test_chelated_water_agrees_with_scipy_on_literal_balances() -> None:
    """Second solver: scipy least squares on balances written out species by species."""
    sodium = 0.018
    reference = chelated_water(1e-3, 0.05, 2e-3, 5e-3, sodium, [-7.0, -9.0, -1.4, -6.0, -3.0])
    chemistry = chemistry_of(["Zn", "Mg", "EDTA", "citrate", "chloride", "counter"])
    keep = [n != "ZnCl+" for n in chemistry.species]
    mine = _solved_without(chemistry, keep, {
        "Zn": 1e-3, "Mg": 0.05, "EDTA": 2e-3, "citrate": 5e-3, "chloride": 0.1, "counter": sodium,
    })  # fmt: skip
    names = {
        "H": "H+", "OH": "OH-", "Zn": "Zn+2", "ZnOH": "ZnOH+", "Zn(OH)2": "Zn(OH)2(aq)",
        "Mg": "Mg+2", "Y": "EDTA-4", "HY": "H-EDTA-3", "H2Y": "H2-EDTA-2", "ZnY": "Zn-EDTA-2",
        "ZnHY": "ZnH-EDTA-", "MgY": "Mg-EDTA-2", "C": "citrate-3", "HC": "H-citrate-2",
        "ZnC": "Zn-citrate-", "ZnC2": "Zn-citrate2-4", "MgC": "Mg-citrate-",
    }  # fmt: skip
    for short, name in names.items():
        assert mine[name] == pytest.approx(reference[short], rel=1e-8), name


def _solved_without(chemistry, keep, totals) -> dict[str, float]:
    from dataclasses import replace

    kept = np.array(keep)
    system = replace(
        chemistry.system,
        stoichiometry=chemistry.system.stoichiometry[kept],
        log10_beta=chemistry.system.log10_beta[kept],
    )
    found = equilibrium(system, chemistry.totals(totals), electroneutral=True)
    names = np.array(chemistry.species)[kept]
    return dict(zip(names.tolist(), found.concentration_mol_l[0].tolist(), strict=True))


def test_two_solids_agree_with_scipy_on_literal_balances() -> None:
    """Zinc oxide and hopeite together, pH by electroneutrality."""
    reference = hopeite_over_zinc_oxide(0.02, 0.04)
    state = solve_water(Water({"phosphate": 0.02, "counter": 0.04, "H": 0.02}))
    found = dict(
        zip(state.chemistry.species, state.equilibrium.concentration_mol_l[0], strict=True)
    )
    for short, name in (("H", "H+"), ("Zn", "Zn+2"), ("HPO4", "HPO4-2"), ("Zn(OH)3", "Zn(OH)3-")):
        assert found[name] == pytest.approx(reference[short], rel=1e-8), name
    hopeite = state.solids_mol_l()["Zn3(PO4)2.4H2O (hopeite)"]
    assert hopeite == pytest.approx(reference["hopeite"], rel=1e-8)


@pytest.mark.parametrize("ph", [3.0, 4.2, 7.5])
def test_one_proton_acid_against_its_closed_form(ph: float) -> None:
    """[HA]/C = 1/(1 + 10^(pH - pKa)), pKa 4.2 (from memory)."""
    chemistry = chemistry_of(["benzoate"])
    found = equilibrium(
        chemistry.system, chemistry.totals({"benzoate": 0.03}), log10_fixed=chemistry.fixed_ph(ph)
    )
    share = found.concentration_mol_l[0, chemistry.species.index("H-benzoate(aq)")] / 0.03
    assert share == pytest.approx(1 / (1 + 10 ** (ph - 4.2)), rel=1e-11)


@pytest.mark.parametrize(
    ("ligand", "betas"),
    [
        ("citrate", (6.396, 11.157, 14.285)),
        ("EDTA", (10.948, 17.221, 20.34, 22.5)),
    ],
)
def test_alpha_of_many_proton_acids_against_closed_form(
    ligand: str, betas: tuple[float, ...]
) -> None:
    """alpha = 1/(1 + sum beta_i [H]^i) with the constants of trade source S39."""
    ph = np.linspace(1, 13, 49)
    chemistry = chemistry_of([ligand])
    found = equilibrium(
        chemistry.system, chemistry.totals({ligand: 1e-3}), log10_fixed=chemistry.fixed_ph(ph)
    )
    free = found.concentration_mol_l[:, chemistry.components.index(ligand)] / 1e-3
    alpha = 1 / (1 + sum(10 ** (b - (i + 1) * ph) for i, b in enumerate(betas)))
    np.testing.assert_allclose(free, alpha, rtol=1e-11)


def test_weak_acid_alone_ends_at_the_root_of_its_cubic() -> None:
    """Charge balance of 0.01 M lactic acid: h^3 + K h^2 - (K C + Kw) h - K Kw = 0."""
    k, c, kw = 10**-3.86, 0.01, 10**-13.998
    roots = np.roots([1, k, -(k * c + kw), -k * kw])
    h = max(float(r.real) for r in roots if abs(r.imag) < 1e-20)
    chemistry = chemistry_of(["lactate"])
    found = equilibrium(chemistry.system, chemistry.totals({"lactate": c}), electroneutral=True)
    assert 10 ** found.log10_activity[0, 0] == pytest.approx(h, rel=1e-9)


def test_constants_at_i_01_and_i_0_agree_through_davies() -> None:
    """EDTA is printed for both (S39, S45); they differ by what activity coefficients explain.

    NIST's two sets disagree by some tenths among themselves, so 0.3 is allowed.
    """
    from zincite.physics.activity import davies_log10_gamma

    gamma = {z: float(davies_log10_gamma(z, 0.1)) for z in (2, 4)}
    shift = gamma[2] + gamma[4] - gamma[2]  # M2+ + Y4- = MY2-
    for at_zero, at_01 in ((18.0, 16.5), (12.42, 10.6), (10.57, 8.7)):
        assert at_01 == pytest.approx(at_zero + shift, abs=0.3)


def test_salt_raises_dissolved_zinc_by_a_factor_of_a_few() -> None:
    """Stated from memory with trade relation R36: ionic strength of the salt, a few times."""
    ideal = evaluate_ions(ph=7.5).zinc_mg_l
    salty = evaluate_ions(ph=7.5, ionic_strength=0.2).zinc_mg_l
    assert ideal is not None
    assert salty is not None
    assert 2 < salty / ideal < 6
