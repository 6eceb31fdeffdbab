"""Heat, energy and scale-up against the trade's numbers and closed forms."""

from __future__ import annotations

from dataclasses import replace

import pytest

from zincite.data.devices import device
from zincite.data.plant_defaults import plant_default, specific_heats
from zincite.data.relations import relation
from zincite.evaluation.making.process.course import step_temperatures
from zincite.evaluation.making.process.heat import usual_ways
from zincite.evaluation.making.process.process_plan import process_plan
from zincite.evaluation.making.process.scale_rules import Limits, Scaled, scale_rotor
from zincite.evaluation.making.process.scale_state import Rotor, ScaleState, rotor_state
from zincite.evaluation.making.process.scale_up import Target, scale_up
from zincite.evaluation.making.steps import step_contents
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.process import ProcessStep
from zincite.physics.heat import heat_MJ
from zincite.physics.mixing import tip_speed_m_s

BARE = "zinc-oxide-20"  # uncoated, so that the powder is core alone

R58_OIL = (("helianthus-annuus-seed-oil", 32.0), (BARE, 20.0))
# The relation names 97 of 100 kg. Its three heats come out together with the zinc oxide on the oil
# side and the rest, 3 %, on the water side at about 2 kJ/kg/K, as for solids of a water phase.
R58_WATER = (("water", 45.0), ("sodium-gluconate", 3.0))


def _formula(*phases: Phase, process: tuple[ProcessStep, ...] = (), kg: float = 3.0) -> Formula:
    cards = {i.material: library()[i.material] for p in phases for i in p.ingredients}
    return Formula("T", "Test", "water-in-oil", phases, cards, process=process,
                   process_batch_kg=kg)  # fmt: skip


def _phase(name: str, kind: str, parts: tuple[tuple[str, float], ...], at: float | None) -> Phase:
    return Phase(name, kind, tuple(Ingredient(m, w) for m, w in parts), at)


def _r58() -> Formula:
    return _formula(_phase("A", "oil", R58_OIL, 78), _phase("B", "water", R58_WATER, 78))


@pytest.mark.parametrize(
    ("way", "MJ", "saved"), [("hot/hot", 15.5, None), ("hot-cold", 4.3, 72), ("warm", 8.0, 48)]
)
def test_heat_of_100_kg_hot_hot_cold_and_warm(way: str, MJ: float, saved: float | None) -> None:
    """Trade relation R58: 15.5, 4.3 (-72 %) and 8.0 MJ (-48 %), 20 to 78 or 50 degC."""
    ways = usual_ways(_r58())
    found = next(w for w in ways if w.name == way)
    assert 100 * found.MJ_kg == pytest.approx(MJ, abs=0.05)
    if saved is not None:
        assert found.saving_percent(ways[0]) == pytest.approx(saved, abs=0.5)


def test_heat_as_written_equals_the_hot_way_at_the_same_temperatures() -> None:
    """Identity: a file that states 78 degC for both phases is the hot way."""
    plan = process_plan(_r58())
    assert plan.as_written.MJ_kg == pytest.approx(plan.hot.MJ_kg, rel=1e-12)


def test_specific_heats_are_the_relations() -> None:
    """Trade relation R58: water 4.18, oils 1.75-2.24, TiO2 0.63, ZnO 0.50 (the last two MEM)."""
    table = specific_heats()
    assert table["water"].value == 4.18
    oil = table["plant oil"]
    assert (oil.low, oil.high) == (1.75, 2.24)
    assert oil.value == pytest.approx((1.75 + 2.24) / 2, abs=0.01)
    assert table["core titanium-dioxide-rutile"].value == 0.63
    assert table["core zinc-oxide"].value == 0.50
    assert table["core zinc-oxide"].is_assumed
    assert not table["water"].is_assumed


def test_published_savings_are_quoted_not_reproduced() -> None:
    """Trade relation R59: 86 % (W/O) is a measured comparison; the heat balance gives its own."""
    assert "86 %" in relation("R59").equation
    plan = process_plan(_r58())
    hot_cold = next(w for w in plan.ways if w.name == "hot-cold")
    saved = hot_cold.saving_percent(plan.hot)
    assert saved is not None
    assert saved < 80


def test_phases_meet_where_their_heat_balances() -> None:
    """Closed form: what the hot side gives the cold side takes."""
    hot_cold = next(w for w in usual_ways(_r58()) if w.name == "hot-cold")
    oil, water = 32 * 2.0 + 20 * 0.5, 45 * 4.18 + 3 * 2.0
    given = heat_MJ(1.0, oil, 78 - hot_cold.meets_C)
    assert given == pytest.approx(heat_MJ(1.0, water, hot_cold.meets_C - 20), rel=1e-9)


def test_hundred_joules_per_ml_heat_oil_by_about_50_kelvin() -> None:
    """Trade relation R28: rho cp about 2 J/mL/K for oil; a triglyceride comes within 10 %."""
    step = ProcessStep("rotor-stator", {"energy_J_mL": 100.0}, ("A",))
    oil = _phase("A", "oil", (("caprylic-capric-triglyceride", 100.0),), None)
    formula = _formula(oil, process=(step,))
    found = step_temperatures(formula, step_contents(formula), {1: 100.0})
    assert found[0].rise_K == pytest.approx(50, rel=0.1)


def test_4000_feet_a_minute_are_a_dissolvers_20_m_s() -> None:
    """Trade relation R25: about 20 m/s (4000 ft/min), in the middle of the dissolver's range."""
    speed = float(tip_speed_m_s(4000 / (3.141592653589793 * 0.5), 0.5 * 0.3048))
    assert speed == pytest.approx(20, abs=0.5)
    assert device("dissolver").tip_speed_m_s.holds(speed)


def test_wax_of_the_relation_stays_solid_in_a_cool_process() -> None:
    """Trade relation R59: hydrogenated castor oil melts at about 85 degC."""
    oil = _phase("A", "oil", (*R58_OIL[:1], ("hydrogenated-castor-oil", 1.0)), 80)
    water = _phase("B", "water", (("water", 67.0),), 80)
    plan = process_plan(_formula(oil, water))
    assert [c.material for c in plan.solid] == ["hydrogenated-castor-oil"]
    assert plan.melting[0].melting_C == pytest.approx(85, abs=2)
    assert plan.verdict == "fails"
    hotter = process_plan(_formula(replace(oil, temperature_C=92), water))
    assert hotter.solid == ()


# Scale-up. Closed forms for geometrically similar rotors, diameter times 10, volume times 1000.

TURBULENT = Rotor(1.0, 1.0, 2.0, 2.0, 1e-12, 0.15, 200.0)
LAMINAR = Rotor(1.0, 1e6, 2.0, 1e-12, 200.0, 0.15, 200.0)
LAB = (1.0, 1.0, 0.05)
PLANT = (1000.0, 1000.0, 0.5)


def _scaled(rotor: Rotor, rule: str, **more: object) -> tuple[ScaleState, Scaled]:
    lab = rotor_state(rotor, LAB, 15.0, 5.0)
    return lab, scale_rotor(rotor, lab, PLANT, key="rotor-stator", rule=rule, **more)


def test_equal_tip_speed_turbulent() -> None:
    """P ~ N^3 D^5 and v ~ N D: N/10, P x 100, P/V/10, Ev/10 in the same time."""
    lab, found = _scaled(TURBULENT, "tip-speed")
    expected = {"tip_speed_m_s": 1, "shear_1_s": 1, "speed_rpm": 0.1, "reynolds": 10,
                "power_W": 100, "power_W_L": 0.1, "minutes": 1, "energy_J_mL": 0.1,
                "turnovers": 0.1, "rise_K": 0.1, "over_jacket_K": 1}  # fmt: skip
    for key, ratio in expected.items():
        assert found.state.ratio(key, lab) == pytest.approx(ratio, rel=1e-6), key


def test_equal_tip_speed_laminar() -> None:
    """P ~ N^2 D^3: P x 10, P/V / 100 at equal tip speed."""
    lab, found = _scaled(LAMINAR, "tip-speed")
    assert found.state.ratio("power_W", lab) == pytest.approx(10, rel=1e-6)
    assert found.state.ratio("power_W_L", lab) == pytest.approx(0.01, rel=1e-6)


@pytest.mark.parametrize(("rotor", "longer"), [(TURBULENT, 10), (LAMINAR, 100)])
def test_equal_energy_at_equal_tip_speed_takes_longer(rotor: Rotor, longer: float) -> None:
    """Trade relation R28: same Ev and same v together; t ~ V/P."""
    lab, found = _scaled(rotor, "energy")
    assert found.state.ratio("energy_J_mL", lab) == pytest.approx(1, rel=1e-9)
    assert found.state.ratio("tip_speed_m_s", lab) == pytest.approx(1, rel=1e-9)
    assert found.state.ratio("minutes", lab) == pytest.approx(longer, rel=1e-6)


def test_equal_power_per_volume_in_equal_time() -> None:
    """N^3 D^5/D^3 constant: N ~ D^(-2/3), v ~ D^(1/3) (the textbook rule for turbulent power)."""
    lab, found = _scaled(TURBULENT, "energy", keep="minutes", limits=Limits(100.0))
    assert found.limit == ""
    assert found.state.ratio("power_W_L", lab) == pytest.approx(1, rel=1e-6)
    assert found.state.ratio("tip_speed_m_s", lab) == pytest.approx(10 ** (1 / 3), rel=1e-6)


def test_equal_turnovers() -> None:
    """N D^3 t/V: the time x 10 at equal tip speed, N unchanged in equal time (similar rotor)."""
    lab, found = _scaled(TURBULENT, "turnovers")
    assert found.state.ratio("minutes", lab) == pytest.approx(10, rel=1e-9)
    lab, found = _scaled(TURBULENT, "turnovers", keep="minutes", limits=Limits(1000.0))
    assert found.wanted_m_s == pytest.approx(10 * 15.0)


def test_a_tip_speed_no_rotor_has_is_explained_and_the_nearest_given() -> None:
    """200 m/s: rho v^2 = 320 MPa in a steel rim, above 205 MPa at which it yields (closed form)."""
    lab = rotor_state(TURBULENT, LAB, 20.0, 5.0)
    found = scale_rotor(TURBULENT, lab, PLANT, key="rotor-stator", rule="turnovers", keep="minutes")
    assert found.wanted_m_s == pytest.approx(200)
    assert "320 MPa" in found.limit
    assert "built for more than 60 m/s" in found.limit
    assert found.state.tip_speed_m_s == pytest.approx(25)  # upper end of the device's range
    assert found.state.ratio("turnovers", lab) == pytest.approx(1)
    assert found.kept


@pytest.mark.parametrize(
    ("limits", "speed"),
    [(Limits(tip_speed_m_s=12.0), 12.0), (Limits(speed_rpm=300.0), 7.853981633974483)],
)
def test_a_machine_too_slow_loses_the_tip_speed(limits: Limits, speed: float) -> None:
    """Closed form pi D N: 300 1/min at 0.5 m are 7.85 m/s."""
    lab, found = _scaled(TURBULENT, "tip-speed", limits=limits)
    assert found.state.tip_speed_m_s == pytest.approx(speed)
    assert not found.kept
    assert found.state.ratio("minutes", lab) == pytest.approx(1)


@pytest.mark.parametrize("in_line", [False, True])
def test_a_machine_too_weak_runs_at_its_power(in_line: bool) -> None:
    rotor = replace(TURBULENT, in_line=in_line, laminar_constant=8.0 if in_line else 200.0)
    flow = 300.0 if in_line else None
    lab = rotor_state(rotor, LAB, 15.0, 5.0, flow_kg_h=flow)
    found = scale_rotor(
        rotor, lab, PLANT, key="rotor-stator", rule="tip-speed", limits=Limits(power_kW=1.0)
    )
    assert found.state.power_W == pytest.approx(1000.0)
    assert not found.kept


def test_in_line_passes_give_the_energy_at_any_size() -> None:
    """Trade relation R27 at equal flow number: P/Q, the energy of a pass, is equal at equal v."""
    rotor = replace(TURBULENT, in_line=True, power_number=0.2, laminar_constant=8.0)
    lab = rotor_state(rotor, LAB, 20.0, 5.0, flow_kg_h=300.0)
    found = scale_rotor(rotor, lab, PLANT, key="rotor-stator-in-line", rule="energy")
    assert found.state.ratio("turnovers", lab) == pytest.approx(1, rel=1e-9)
    assert found.state.ratio("flow_kg_h", lab) == pytest.approx(100, rel=1e-9)
    assert found.state.ratio("minutes", lab) == pytest.approx(10, rel=1e-9)


def test_the_jacket_needs_ten_times_the_time_for_a_thousand_times_the_volume() -> None:
    """Closed form: area/volume ~ 1/D, so t = m cp/(U A) ln(...) grows with the cube root of V."""
    step = ProcessStep("rotor-stator", {"minutes": 5.0, "tip_speed_m_s": 15.0}, ("A", "B"))
    found = scale_up(replace(_r58(), process=(step,), process_batch_kg=1.0), (Target(1000.0),),
                     rule="tip-speed")  # fmt: skip
    state = found.scaled[0].state
    assert state.ratio("heating_min", found.lab) == pytest.approx(10, rel=1e-9)
    assert state.ratio("cooling_min", found.lab) == pytest.approx(10, rel=1e-9)
    assert "time" in found.kept
    assert "power per volume" in found.not_kept


def test_measured_power_scales_the_law() -> None:
    """Trade relation R26: the motor's power calibrates the law; twice the power, twice all over."""
    settings = {"minutes": 5.0, "tip_speed_m_s": 15.0, "diameter_m": 0.05}
    plain = ProcessStep("rotor-stator", settings, ("A", "B"))
    power = scale_up(replace(_r58(), process=(plain,)), (Target(300.0),), rule="tip-speed")
    assert power.lab.power_W is not None
    measured = replace(plain, settings={**settings, "power_W": 2 * power.lab.power_W})
    twice = scale_up(replace(_r58(), process=(measured,)), (Target(300.0),), rule="tip-speed")
    assert twice.lab.power_W == pytest.approx(2 * power.lab.power_W)
    ours, theirs = twice.scaled[0].state.power_W, power.scaled[0].state.power_W
    assert ours is not None
    assert theirs is not None
    assert ours == pytest.approx(2 * theirs)


def test_rolls_scale_by_throughput() -> None:
    """Trade relation R33: shear at speed, gap and ratio; the batch decides only the time."""
    settings = {"minutes": 30.0, "passes": 2.0, "diameter_m": 0.08, "viscosity_mPas": 2e4}
    step = ProcessStep("three-roll-mill", settings, ("A",))
    found = scale_up(replace(_r58(), process=(step,)), (Target(300.0), Target(300.0, 0.4)),
                     rule="energy")  # fmt: skip
    same, larger = (item.state for item in found.scaled)
    assert found.rule == "throughput"
    assert same.ratio("minutes", found.lab) == pytest.approx(100)
    assert larger.ratio("minutes", found.lab) == pytest.approx(20)
    for key in ("shear_1_s", "energy_J_mL", "turnovers"):
        assert larger.ratio(key, found.lab) == pytest.approx(1), key


def test_habits_are_marked_as_assumed() -> None:
    """Common practice, no source: shipped as assumptions."""
    for key in ("hot_C", "cool_down_C", "melting_margin_K", "jacket_U_W_m2_K"):
        assert plant_default(key).is_assumed, key
    said = " ".join(process_plan(_r58()).basis.assumed)
    assert "common practice" in said
    assert "from memory" in said
