"""De-agglomeration and its devices against the numbers that the trade relations state."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import zincite.data
from zincite.data.device_defaults import device_default
from zincite.data.devices import device
from zincite.evaluation.making.stress.energy import step_energies
from zincite.evaluation.making.stress.kinetics import assumed_kinetics
from zincite.evaluation.making.stress.process_state import processed
from zincite.evaluation.parameters import shipped_draws
from zincite.formula.process import ProcessStep
from zincite.formula.reading import load_formula
from zincite.physics.deagglomeration import (
    approached,
    end_size_nm,
    exposed_share,
    fines_fraction,
    fines_limit,
)
from zincite.physics.mixing import adiabatic_rise_K, batch_power_W, roll_shear_rate_1_s, speed_rpm

FLUID = replace(
    load_formula(Path(zincite.data.__file__).parent / "demo" / "coarser-grade.toml"),
    process=(),
    process_batch_kg=None,
)


def energy(device_name: str, **settings: float):  # type: ignore[no-untyped-def]
    """The energy of a single step on the demo's pigment phase, 1 kg."""
    steps = (ProcessStep(device_name, settings, ("A",)), ProcessStep("anchor", {}, ("B", "C", "D")))
    return step_energies(replace(FLUID, process=steps))[0]


# R25 ------------------------------------------------------------------------------------------


def test_dissolver_runs_at_the_trades_tip_speed() -> None:
    """Trade relation R25: a dissolver's disc at about 20 m/s (4000 ft/min)."""
    assert device_default("dissolver", "tip_speed").value == pytest.approx(
        4000 * 0.3048 / 60, rel=0.02
    )
    step = energy("dissolver", minutes=5, diameter_m=0.04)
    assert step.tip_speed_m_s == pytest.approx(20)
    assert step.shear_rate_1_s == pytest.approx(
        20 / (device_default("dissolver", "gap").value * 1e-6)
    )


def test_shear_rate_is_speed_over_gap() -> None:
    """Trade relation R25: 20 m/s over 200 um is 1e5 1/s."""
    step = energy("rotor-stator", tip_speed_m_s=20, gap_um=200)
    assert step.shear_rate_1_s == pytest.approx(1e5)


# R26 ------------------------------------------------------------------------------------------


def test_power_number_of_the_rotor_stator_lies_in_the_stated_range() -> None:
    """Trade relation R26: Np 1 to 3 above Re 1e4."""
    found = device_default("rotor-stator", "power_number")
    assert (found.low, found.high) == (1, 3)
    assert 1 <= found.value <= 3


def test_batch_energy_follows_the_turbulent_law() -> None:
    """Trade relation R26 with R28, by hand: Np rho N^3 D^5 t/V, where viscosity hardly counts."""
    step = energy(
        "rotor-stator",
        minutes=4,
        tip_speed_m_s=15,
        diameter_m=0.05,
        power_number=2,
        viscosity_mPas=0.1,
    )
    assert step.reynolds is not None
    assert step.reynolds > 1e4
    turns = 15 / (math.pi * 0.05)
    power = 2 * 1e3 * step.contents.density_g_ml * turns**3 * 0.05**5
    assert step.power_W == pytest.approx(power, rel=0.01)
    assert step.energy_J_mL == pytest.approx(power * 240 / (1e3 * step.volume_L), rel=0.01)


def test_thick_mill_base_follows_the_laminar_law() -> None:
    """Trade relation R26: P = Kp mu N^2 D^3 at low Reynolds number."""
    turns = float(speed_rpm(10, 0.03)) / 60
    laminar = 200 * 1e3 * turns**2 * 0.03**3
    found = batch_power_W(60 * turns, 0.03, 1.5, 1e6, power_number=1.7, laminar_constant=200)
    assert float(found) == pytest.approx(laminar, rel=0.01)


# R27, R28 -------------------------------------------------------------------------------------


def test_in_line_energy_of_a_pass_is_power_over_flow() -> None:
    """Trade relations R27 and R28 by hand: (Poz rho N^3 D^5 + k1 M N^2 D^2)/Q per pass."""
    step = energy(
        "rotor-stator-in-line", passes=3, flow_kg_h=360, tip_speed_m_s=20, diameter_m=0.06
    )
    turns, flow, density = 20 / (math.pi * 0.06), 0.1, 1e3 * step.contents.density_g_ml
    poz = device_default("rotor-stator-in-line", "zero_flow_number").value
    k1 = device_default("rotor-stator-in-line", "flow_constant").value
    power = poz * density * turns**3 * 0.06**5 + k1 * flow * turns**2 * 0.06**2
    assert step.energy_J_mL == pytest.approx(3 * power / (flow / density) / 1e6, rel=1e-6)
    assert step.minutes == pytest.approx(3 * step.mass_kg / flow / 60)


def test_hundred_joule_per_millilitre_warm_fifty_kelvin() -> None:
    """Trade relation R28: 100 J/mL heats about 50 K at rho cp about 2 J/mL/K."""
    assert float(adiabatic_rise_K(100.0)) == 50
    assert energy("rotor-stator", energy_J_mL=100).rise_K == pytest.approx(50)


def test_stated_energy_and_stated_power_count_before_the_law() -> None:
    """Trade relation R28: Ev = P t/V."""
    assert energy("rotor-stator", energy_J_mL=80, minutes=5).energy_J_mL == 80
    step = energy("rotor-stator", power_W=100, minutes=5)
    assert step.energy_J_mL == pytest.approx(100 * 300 / (1e3 * step.volume_L))
    assert (step.how, energy("rotor-stator", energy_J_mL=80).how) == ("power", "measured")


def test_pressure_is_an_energy_per_volume() -> None:
    """Closed form: 500 bar are 50 J/mL a pass."""
    assert energy("high-pressure", pressure_bar=500, passes=2).energy_J_mL == pytest.approx(100)


# R31, R32 -------------------------------------------------------------------------------------


def test_freed_share_is_the_closed_form() -> None:
    """Trade relation R31: F = Finf (1 - exp(-k Ev))."""
    for ev in (0.0, 3.0, 30.0, 300.0):
        expected = 0.8 * (1 - math.exp(-0.02 * ev))
        assert float(fines_fraction(ev, 0.8, 0.02)) == pytest.approx(expected, abs=1e-15)
        assert 1 - float(approached(1.0, 0.2, 0.02, ev)) == pytest.approx(expected, abs=1e-15)


def test_state_of_a_step_is_the_closed_form_at_the_middle() -> None:
    """Trade relation R31 through the whole chain: share and ln size of a powder after one step."""
    made = replace(
        FLUID,
        process=(
            ProcessStep("rotor-stator", {"energy_J_mL": 60, "tip_speed_m_s": 15}, ("A",)),
            ProcessStep("anchor", {}, ("B", "C", "D")),
        ),
    )
    middle = shipped_draws().first(1)  # a single draw stands at the middle of every parameter
    state = (processed(made, middle).states or {})["titanium-dioxide-35-silica-dimethicone"]
    k, limit, end = (v[0] for v in assumed_kinetics()["rotor-stator"].intervals().values())
    left = math.exp(-60 * k)
    share = (1 - limit) + (0.98 - (1 - limit)) * left
    size = math.exp(math.log(end) + (math.log(4000) - math.log(end)) * left)
    assert float(state.share[0]) == pytest.approx(share, rel=1e-6)
    assert float(np.exp(state.log_nm[0])) == pytest.approx(size, rel=1e-6)


def test_the_end_is_an_aggregate_never_the_primary_particle() -> None:
    """Trade relation R31: the limit is about 150 nm for a fumed silica (high pressure), and
    R35: fine milling of ZnO and TiO2 aggregates ends near 200 nm.
    """
    assert device_default("high-pressure", "end_size").value == 150
    assert device_default("bead-mill", "end_size").value == 200
    made = replace(FLUID, process=(ProcessStep("bead-mill", {"energy_J_mL": 1e5}, ("A",)),))
    for material, state in (processed(made, shipped_draws()).states or {}).items():
        grade = FLUID.materials[material].grade
        assert grade is not None
        assert np.exp(state.log_nm).min() > 1.9 * 0.5 * grade.primary_median_nm
        assert state.share.min() > 0


def test_low_shear_adds_nothing() -> None:
    """Trade relation R32: low-shear impellers add nothing, however long."""
    long = replace(FLUID, process=(ProcessStep("anchor", {"minutes": 600}, ("A", "B")),))
    short = replace(FLUID, process=(ProcessStep("anchor", {"minutes": 0}, ("A", "B")),))
    states = [processed(made, shipped_draws()).states or {} for made in (long, short)]
    for material, state in states[0].items():
        assert np.array_equal(state.share, states[1][material].share)
        assert np.median(state.share) == pytest.approx(0.98, abs=0.002)


def test_strongest_stress_sets_the_end() -> None:
    """Trade relation R32: a higher local dissipation ends finer, at whatever energy."""
    limits = fines_limit(0.8, np.array([0.5, 1.0, 2.0]), 1.0)
    assert limits[1] == pytest.approx(0.8)
    assert np.all(np.diff(limits) > 0)
    assert np.all(np.diff(end_size_nm(280.0, np.array([0.5, 1.0, 2.0]), 0.5)) < 0)


# R33, R34 -------------------------------------------------------------------------------------


def test_three_roll_mill_gap_and_shear() -> None:
    """Trade relation R33: gaps 25 to 125 um, shear rate = (v_fast - v_slow)/gap, ratio 1:3,
    1 to 3 passes; process table: shear rates 1e4 to 1e5 1/s.
    """
    gap = device_default("three-roll-mill", "gap")
    assert (gap.low, gap.high) == (25, 125)
    assert device("three-roll-mill").gap_um.holds(gap.value)
    passes = device_default("three-roll-mill", "passes")
    assert (passes.low, passes.high) == (1, 3)
    step = energy("three-roll-mill")
    assert step.shear_rate_1_s == pytest.approx((1 - 1 / 3) / 40e-6)
    assert float(roll_shear_rate_1_s(1.0, 40.0)) == pytest.approx(step.shear_rate_1_s)
    assert device("three-roll-mill").shear_1_s.holds(float(step.shear_rate_1_s))


def test_typical_results_of_the_devices_order_their_limits() -> None:
    """Process table: dissolver 10-50 um grind, rotor-stator 0.2-1 um pigment, bead mill
    100-250 nm, high pressure finest (trade sources S27, S29, S33, S105).
    """
    end = {key: found.intervals()["end_size"][0] for key, found in assumed_kinetics().items()}
    assert end["dissolver"] > end["rotor-stator"] > end["bead-mill"] > end["high-pressure"]
    assert 200 <= end["rotor-stator"] <= 1000
    assert 100 <= end["bead-mill"] <= 250


def test_ordinary_processing_stays_within_what_published_formulas_show() -> None:
    """The rotor-stator's limit was set by this: aggregates of the fitted published formulas."""
    made = replace(
        FLUID,
        process=(
            ProcessStep("rotor-stator", {"minutes": 10, "tip_speed_m_s": 15}, ("A",)),
            ProcessStep("anchor", {}, ("B", "C", "D")),
        ),
    )
    state = (processed(made, shipped_draws()).states or {})[
        "titanium-dioxide-35-silica-dimethicone"
    ]
    draws = shipped_draws()
    low, high = np.quantile(1 / (1 + np.exp(-draws.aggregate_logit)), [0.05, 0.95])
    assert low < np.median(state.share) < high
    small, large = np.quantile(draws.aggregate_log_nm, [0.05, 0.95])
    assert small < np.median(state.log_nm) < large


# coating --------------------------------------------------------------------------------------


def test_exposed_share_is_the_product_of_the_steps() -> None:
    """Closed form: 1 - prod exp(-s Ev); uncoated is 1 (assumed model)."""
    steps = np.array([0.0, 0.02, 0.3])
    assert float(exposed_share(steps.sum())) == pytest.approx(1 - np.prod(np.exp(-steps)))
    assert float(exposed_share(0.0)) == 0
    assert float(exposed_share(0.7, 1.0)) == 1
