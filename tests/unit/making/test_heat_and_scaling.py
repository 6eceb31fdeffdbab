"""Heat, jackets and rotor sizes against independent solvers and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from zincite.data.plant_defaults import plant_default
from zincite.errors import MissingDataError, OutOfRangeError
from zincite.physics.heat import (
    heat_MJ,
    jacket_time_s,
    mixing_temperature_C,
    vessel_area_m2,
)
from zincite.physics.mixing import batch_power_W
from zincite.physics.scaling import hoop_stress_MPa, similar_diameter_m, speed_for_power_rpm


@pytest.mark.parametrize(("start", "end", "jacket"), [(20.0, 78.0, 93.0), (78.0, 25.0, 12.0)])
def test_jacket_time_agrees_with_the_differential_equation(
    start: float, end: float, jacket: float
) -> None:
    """m cp dT/dt = U A (Tj - T), integrated by scipy."""
    time = float(jacket_time_s(300.0, 400.0, start, end, jacket))
    path = solve_ivp(lambda _, T: 400.0 * (jacket - T) / 300e3, (0, time), [start],
                     rtol=1e-10, atol=1e-10)  # fmt: skip
    assert path.y[0, -1] == pytest.approx(end, abs=1e-6)


@pytest.mark.parametrize("jacket", [60.0, 78.0, 10.0])
def test_a_jacket_that_cannot_reach_the_end_is_refused(jacket: float) -> None:
    with pytest.raises(OutOfRangeError, match="cannot bring contents from 20 to 78 degC"):
        jacket_time_s(1.0, 1.0, 20.0, 78.0, jacket)


def test_nothing_to_heat_takes_no_time() -> None:
    assert float(jacket_time_s(1.0, 1.0, 20.0, 20.0, 90.0)) == 0


def test_mixing_keeps_the_heat() -> None:
    capacity, at = np.array([1.0, 4.0, 2.5]), np.array([80.0, 20.0, 45.0])
    mixed = mixing_temperature_C(capacity, at)
    assert heat_MJ(1.0, capacity, mixed - at) == pytest.approx(0, abs=1e-12)


def test_negative_mass_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="mass is -1 kg"):
        heat_MJ([-1.0], [2.0], 10.0)


def test_vessel_of_a_litre() -> None:
    """A cylinder as high as wide: V = pi/4 D^3, wall pi D^2, bottom pi/4 D^2."""
    diameter = (4e-3 / math.pi) ** (1 / 3)
    assert float(vessel_area_m2(1.0)) == pytest.approx(1.25 * math.pi * diameter**2)


@pytest.mark.parametrize("viscosity", [1.0, 1e3, 1e6])
def test_speed_for_power_agrees_with_a_root_finder(viscosity: float) -> None:
    kind = {"power_number": 1.7, "laminar_constant": 200.0}
    root = brentq(lambda n: float(batch_power_W(n, 0.1, 1.2, viscosity, **kind)) - 750.0, 1e-3, 1e6)
    assert speed_for_power_rpm(750.0, 0.1, 1.2, viscosity, **kind) == pytest.approx(root, rel=1e-9)


def test_no_power_has_no_speed() -> None:
    with pytest.raises(OutOfRangeError, match="power is 0 W"):
        speed_for_power_rpm(0.0, 0.1, 1.0, 1.0, power_number=2.0, laminar_constant=200.0)


def test_ring_and_similar_rotor() -> None:
    """rho v^2: 8000 kg/m3 at 50 m/s are 20 MPa; a thousandfold volume, a tenfold diameter."""
    assert float(hoop_stress_MPa(50.0, 8.0)) == pytest.approx(20.0)
    assert float(similar_diameter_m(0.06, 2.0, 2000.0)) == pytest.approx(0.6)


def test_unknown_habit_is_refused() -> None:
    with pytest.raises(MissingDataError, match="no plant default 'coffee'"):
        plant_default("coffee")
