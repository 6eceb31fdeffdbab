"""Dispersion against the stated numbers of the trade relations R01-R09 and R34.

Tolerances are half a unit of the last printed digit unless a check says otherwise.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy import optimize

from zincite.data.devices import devices
from zincite.evaluation.density import cpvc_from_oil_absorption
from zincite.evaluation.making.dispersion.bench import bench_of
from zincite.evaluation.making.dispersion.bench_words import filling_words
from zincite.evaluation.making.dispersion.ladder import (
    dispersant_percent_of_product,
    evaluate_ladder,
)
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.material import Grade, Material
from zincite.formula.process import DEVICES
from zincite.physics.dispersing import (
    dispersant_percent_of_pigment,
    effective_volume_fraction,
    hegman_to_um,
    mass_fraction_from_volume,
    specific_surface_m2_g,
    um_to_hegman,
    volume_fraction_from_mass,
)
from zincite.physics.rheology import krieger_dougherty, krieger_dougherty_volume_fraction
from zincite.sources import Evidence, Sourced

CASES = Path(__file__).parent / "cases" / "pigment_geometry.csv"
ZNO, RUTILE, TRIGLYCERIDE = 5.606, 4.23, 0.945  # trade sources S07, S90, S12 [g/mL]


def _geometry() -> list[dict[str, str]]:
    lines = [line for line in CASES.read_text("utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def slurry_formula(
    material: Material, percent: float, oil: str = "caprylic-capric-triglyceride"
) -> Formula:
    """Return an anhydrous formula of one powder in one oil."""
    cards = {material.id: material, oil: library()[oil]}
    parts = (Ingredient(material.id, percent), Ingredient(oil, 100 - percent))
    return Formula("S", "slurry", "anhydrous", (Phase("A", "pigment", parts),), cards)


def powder(core: str, size_nm: float, oil_absorption: float) -> Material:
    """Return an uncoated powder of one size."""
    oil = Sourced(oil_absorption, "g/100 g", Evidence.MEASURED)
    return Material("powder", "Powder", phase="pigment", grade=Grade(core, size_nm, 1.0),
                    properties={"oil_absorption_g_100g": oil})  # fmt: skip


@pytest.mark.parametrize(
    ("oil_absorption", "density", "cpvc"),
    [(18.5, ZNO, 0.47), (11.0, RUTILE, 0.67), (40.0, ZNO, 0.29), (60.0, RUTILE, 0.27)],
)
def test_r01_cpvc(oil_absorption: float, density: float, cpvc: float) -> None:
    """R01: ZnO 0.47, TiO2 0.67, fine grades 0.27-0.29 (TiO2 at 60 and ZnO at 40 g/100 g)."""
    assert cpvc_from_oil_absorption(oil_absorption, density) == pytest.approx(cpvc, abs=0.005)


def test_r01_bench_reaches_the_same_cpvc_from_the_card() -> None:
    bench = bench_of(slurry_formula(powder("zinc-oxide", 250, 18.5), 50))
    assert bench.mill is not None
    assert bench.mill.cpvc_percent.median == pytest.approx(47, abs=0.5)
    assert not bench.mill.cpvc_percent.assumed


@pytest.mark.parametrize(
    ("ratio", "word"), [(0.1, "topcoat"), (0.39, "topcoat"), (0.5, "primer"), (0.74, "primer")]
)
def test_r02_bands(ratio: float, word: str) -> None:
    """R02: topcoats 0.10-0.40, primers 0.50-0.75 (trade source S26)."""
    assert filling_words(ratio).startswith(f"as a {word}")


def test_r02_a_mineral_film_lies_in_the_topcoat_to_primer_band() -> None:
    """R02 says so of a dried film of oil and pigment; here 20 % ZnO and 32 % oil (R58's batch)."""
    zinc = powder("zinc-oxide", 250, 18.5)
    cards = {zinc.id: zinc, **{k: library()[k] for k in ("caprylic-capric-triglyceride", "water")}}
    parts = (Ingredient(zinc.id, 20), Ingredient("caprylic-capric-triglyceride", 32),
             Ingredient("water", 48))  # fmt: skip
    formula = Formula("F", "film", "water-in-oil", (Phase("A", "oil", parts),), cards)
    assert 0.10 <= bench_of(formula).film.to_cpvc.median <= 0.75


@pytest.mark.parametrize(
    ("density", "size", "surface"),
    [(ZNO, 20, 53.5), (ZNO, 60, 17.8), (ZNO, 100, 10.7), (ZNO, 250, 4.3), (RUTILE, 20, 70.9),
     (RUTILE, 100, 14.2), (RUTILE, 200, 7.1)],
)  # fmt: skip
def test_r03_surface(density: float, size: float, surface: float) -> None:
    assert float(specific_surface_m2_g(density, size)) == pytest.approx(surface, abs=0.0501)


def test_r03_a_size_distribution_counts_with_its_sauter_diameter() -> None:
    """Closed form: a lognormal by volume has d32 = median exp(-s^2/2), Hatch and Choate 1929."""
    grade = Grade("zinc-oxide", 100, 1.5)
    material = Material("powder", "Powder", phase="pigment", grade=grade)
    (found,) = bench_of(slurry_formula(material, 50)).powders
    sauter = 100 * np.exp(-0.5 * np.log(1.5) ** 2)
    assert found.powder.geometric_m2_g == pytest.approx(6e3 / (ZNO * sauter), rel=1e-6)


@pytest.mark.parametrize(
    ("density", "size", "percent", "half"),
    [(ZNO, 100, 2.1, 0.05), (ZNO, 30, 7.1, 0.05), (RUTILE, 20, 14, 0.5)],
)
def test_r04_dispersant_at_two_mg_m2(
    density: float, size: float, percent: float, half: float
) -> None:
    surface = specific_surface_m2_g(density, size)
    assert float(dispersant_percent_of_pigment(2, surface)) == pytest.approx(percent, abs=half)


def test_r04_bench_gives_the_demand_of_one_powder() -> None:
    bench = bench_of(slurry_formula(powder("zinc-oxide", 100, 18.5), 50), gamma_mg_m2=2)
    assert bench.demand_percent_of_pigment.median == pytest.approx(2.1, abs=0.05)
    assert bench.demand_percent_of_formula.median == pytest.approx(1.07, abs=0.005)


def test_r03_r04_whole_table_of_pigment_geometry() -> None:
    """36 rows of diameters and pigments, surface to 0.1 m2/g and dispersant to 0.01 %."""
    rows = _geometry()
    assert len(rows) == 36
    for row in rows:
        density, size = float(row["density_g_ml"]), float(row["diameter_nm"])
        surface = specific_surface_m2_g(density, size)
        assert float(surface) == pytest.approx(float(row["geometric_ssa_m2_g"]), abs=0.0501)
        for gamma in (1, 2):
            printed = float(row[f"dispersant_pct_of_pigment_at_{gamma}mg_m2"])
            found = float(dispersant_percent_of_pigment(gamma, surface))
            assert found == pytest.approx(printed, abs=0.00501)


def test_r05_three_percent_on_pigment_is_0_6_percent_of_a_20_percent_formula() -> None:
    assert dispersant_percent_of_product(3, 20) == pytest.approx(0.6)


def test_r05_a_ladder_without_scatter_gives_its_minimum_exactly() -> None:
    """Closed form: ln eta = ln 300 + 0.2 (x - 3)^2, the 3 % of R05 as the vertex."""
    x = np.array([1.0, 2.0, 2.5, 3.5, 4.0, 5.0])
    found = evaluate_ladder(x, 300 * np.exp(0.2 * (x - 3) ** 2))
    assert found.status == "minimum"
    assert found.best_percent == pytest.approx(3.0, abs=1e-9)
    assert found.lowest_mPas == pytest.approx(300, rel=1e-9)
    assert found.interval_percent == pytest.approx((3.0, 3.0), abs=1e-6)
    # 10 % above the lowest: 0.2 (x - 3)^2 = ln 1.1
    assert found.sparing_percent == pytest.approx(3 - np.sqrt(np.log(1.1) / 0.2), abs=1e-6)


def test_r06_layer() -> None:
    """phi (1 + delta/a)^3: a layer as thick as the radius makes eight times the volume."""
    assert float(effective_volume_fraction(0.05, 10, 10)) == pytest.approx(0.4)
    assert float(effective_volume_fraction(0.3, 0, 10)) == 0.3


@pytest.mark.parametrize(("layer_nm", "solids"), [(10, 35), (5, 50)])
def test_r06_the_layer_explains_why_nano_dispersions_stop(layer_nm: float, solids: float) -> None:
    """R06: long chains stop fine TiO2 in squalane at about 35 % solids, short ones near 50 %.

    The paper's size and layers are not known to us: 20 nm and the ends and middle of our assumed
    3-10 nm layer must land within 6 % solids of the statement, at the packing of R07.
    """
    phi = 0.61 / float(effective_volume_fraction(1.0, layer_nm, 10))
    squalane = 0.81  # from memory [g/mL]
    assert 100 * float(mass_fraction_from_volume(phi, RUTILE, squalane)) == pytest.approx(
        solids, abs=6
    )


def test_r07_dilute_is_einstein() -> None:
    """Einstein 1906/1911: eta_r = 1 + 2.5 phi; the next term is of the order of phi^2."""
    phi = np.array([1e-6, 1e-5, 1e-4])
    excess = (krieger_dougherty(phi, 0.61) - 1) / phi
    assert excess == pytest.approx(2.5, rel=1e-3)


def test_r07_diverges_at_its_packing() -> None:
    phi = 0.61 * (1 - np.array([1e-2, 1e-4, 1e-6, 0.0]))
    found = krieger_dougherty(phi, 0.61)
    assert np.all(np.diff(found) > 0)
    assert np.isinf(found[-1])
    assert float(krieger_dougherty(0.61 * (1 - 1e-8), 0.61)) > 1e10


@pytest.mark.parametrize("relative", [1.0, 4.2, 8.0, 221.0])
def test_r07_inverse_by_a_root_finder(relative: float) -> None:
    """The inverse against scipy's bracketed root of the relation."""
    root = optimize.brentq(lambda phi: float(krieger_dougherty(phi, 0.74)) - relative, 0, 0.739999)
    assert float(krieger_dougherty_volume_fraction(relative, 0.74)) == pytest.approx(root, abs=1e-9)


@pytest.mark.parametrize(("mass_percent", "volume_percent"), [(50, 14.4), (70, 28.2)])
def test_r09_zinc_oxide_in_triglyceride(mass_percent: float, volume_percent: float) -> None:
    found = 100 * float(volume_fraction_from_mass(mass_percent / 100, ZNO, TRIGLYCERIDE))
    assert found == pytest.approx(volume_percent, abs=0.05)
    back = 100 * float(mass_fraction_from_volume(found / 100, ZNO, TRIGLYCERIDE))
    assert back == pytest.approx(mass_percent, abs=1e-9)


def test_r09_bench_says_the_same_of_a_mill_base() -> None:
    bench = bench_of(slurry_formula(powder("zinc-oxide", 100, 18.5), 50))
    assert bench.mill is not None
    assert bench.mill.solids_volume_percent == pytest.approx(14.4, abs=0.05)


def test_r09_20_percent_in_a_product() -> None:
    """R09: 4.2 vol%, the rest at what makes the product 1.17 g/mL (R43, trade source S07)."""
    rest = 0.8 / (1 / 1.17 - 0.2 / ZNO)
    found = 100 * float(volume_fraction_from_mass(0.2, ZNO, rest))
    assert found == pytest.approx(4.2, abs=0.05)


@pytest.mark.parametrize(("hegman", "depth"), [(7, 12.7), (7.5, 6.4)])
def test_r34_hegman(hegman: float, depth: float) -> None:
    assert float(hegman_to_um(hegman)) == pytest.approx(depth, abs=0.0501)
    assert float(um_to_hegman(hegman_to_um(hegman))) == pytest.approx(hegman)


def test_devices_are_those_of_the_process_and_hold_the_stated_speed() -> None:
    """R25, S27: a dissolver runs at 4000 ft/min, about 20 m/s; R33, S28: roll gap 25-125 um."""
    assert tuple(devices()) == DEVICES
    assert devices()["dissolver"].tip_speed_m_s.holds(4000 * 0.3048 / 60)
    rolls = devices()["three-roll-mill"]
    assert (rolls.gap_um.low, rolls.gap_um.high) == (25, 125)
    # 0.001-0.005 in of the same source, to the printed micrometre
    assert rolls.gap_um.low == pytest.approx(25.4, abs=0.5)
    assert rolls.gap_um.high == pytest.approx(127, abs=2.5)
