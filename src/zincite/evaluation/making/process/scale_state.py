"""A rotor at one size: everything that a scale-up compares."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.plant_defaults import plant_default
from zincite.physics.heat import vessel_area_m2
from zincite.physics.mixing import (
    adiabatic_rise_K,
    batch_power_W,
    energy_density_J_mL,
    gap_shear_rate_1_s,
    in_line_power_W,
    reynolds,
    speed_rpm,
)
from zincite.physics.scaling import pumping_L_s, speed_for_power_rpm

__all__ = ["QUANTITIES", "Rotor", "ScaleState", "rotor_state"]

QUANTITIES: tuple[tuple[str, str, str], ...] = (
    ("tip_speed_m_s", "tip speed", "m/s"),
    ("shear_1_s", "shear rate in the gap", "1/s"),
    ("speed_rpm", "speed", "1/min"),
    ("reynolds", "Reynolds number", ""),
    ("power_W", "power", "W"),
    ("power_W_L", "power per volume", "W/L"),
    ("minutes", "time", "min"),
    ("flow_kg_h", "flow", "kg/h"),
    ("energy_J_mL", "energy density", "J/mL"),
    ("turnovers", "turnovers or passes", ""),
    ("rise_K", "rise without cooling", "K"),
    ("over_jacket_K", "steady above the jacket", "K"),
    ("heating_min", "heating by the jacket", "min"),
    ("cooling_min", "cooling by the jacket", "min"),
)
"""What is compared: attribute of `ScaleState`, name and unit."""


@dataclass(frozen=True, slots=True)
class Rotor:
    """What stays of a device when its size changes.

    Attributes
    ----------
    density_g_ml, viscosity_mPas, heat_capacity_J_mL_K : float
        Of the contents.
    power_number, laminar_constant : float
        Np and Kp; of an in-line device Poz and k1. [-]
    flow_number : float
        Of the rotor's pumping. [-]
    gap_um : float
    power_factor : float
        Measured over calculated power in the laboratory, 1 where none was measured. [-]
    in_line : bool
    """

    density_g_ml: float
    viscosity_mPas: float
    heat_capacity_J_mL_K: float
    power_number: float
    laminar_constant: float
    flow_number: float
    gap_um: float
    power_factor: float = 1.0
    in_line: bool = False

    def power_W(self, turns_rpm: float, diameter_m: float, flow_kg_s: float) -> float:  # noqa: N802
        """Return the power drawn at a speed. [W]"""
        if self.in_line:
            drawn = in_line_power_W(
                turns_rpm, diameter_m, self.density_g_ml, flow_kg_s,
                zero_flow_number=self.power_number, flow_constant=self.laminar_constant,
            )  # fmt: skip
        else:
            drawn = batch_power_W(
                turns_rpm, diameter_m, self.density_g_ml, self.viscosity_mPas,
                power_number=self.power_number, laminar_constant=self.laminar_constant,
            )  # fmt: skip
        return self.power_factor * float(drawn)

    def speed_rpm_for(self, power_W: float, diameter_m: float) -> float:
        """Return the speed at which a batch rotor draws a power. [1/min]"""
        return speed_for_power_rpm(
            power_W / self.power_factor,
            diameter_m,
            self.density_g_ml,
            self.viscosity_mPas,
            power_number=self.power_number,
            laminar_constant=self.laminar_constant,
        )

    def pumps_L_s(self, turns_rpm: float, diameter_m: float) -> float:  # noqa: N802
        """Return the flow that the rotor pumps. [L/s]"""
        return float(pumping_L_s(turns_rpm, diameter_m, self.flow_number))


@dataclass(frozen=True, slots=True)
class ScaleState:
    """A device at one size; None where the device has no such quantity.

    Attributes
    ----------
    batch_kg, volume_L : float
        Whole batch; volume of the step's contents.
    diameter_m : float or None
    tip_speed_m_s, shear_1_s, speed_rpm, reynolds, power_W, power_W_L, minutes, flow_kg_h,
    energy_J_mL, turnovers, rise_K, over_jacket_K, heating_min, cooling_min : float or None
        As `QUANTITIES` names them.
    """

    batch_kg: float
    volume_L: float
    diameter_m: float | None = None
    tip_speed_m_s: float | None = None
    shear_1_s: float | None = None
    speed_rpm: float | None = None
    reynolds: float | None = None
    power_W: float | None = None
    power_W_L: float | None = None
    minutes: float | None = None
    flow_kg_h: float | None = None
    energy_J_mL: float | None = None
    turnovers: float | None = None
    rise_K: float | None = None
    over_jacket_K: float | None = None
    heating_min: float | None = None
    cooling_min: float | None = None

    def ratio(self, key: str, lab: ScaleState) -> float | None:
        """Return a quantity divided by the laboratory's, None where either has none."""
        own, other = getattr(self, key), getattr(lab, key)
        return None if own is None or not other else float(own / other)

    def to_dict(self) -> dict[str, float | None]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


def rotor_state(
    rotor: Rotor,
    sizes: tuple[float, float, float],
    tip_speed_m_s: float,
    minutes: float,
    *,
    flow_kg_h: float | None = None,
) -> ScaleState:
    """Return a rotor at one size.

    Parameters
    ----------
    rotor : Rotor
    sizes : (float, float, float)
        Batch [kg], volume of the contents [L], diameter [m].
    tip_speed_m_s : float
        > 0. [m/s]
    minutes : float
        > 0. [min]
    flow_kg_h : float, optional
        Through an in-line device. [kg/h]

    Notes
    -----
    Turnovers are flow times time over volume (of a batch rotor the flow is what it pumps); the
    contents settle at P/(U A) above a jacket that takes all power away.
    """
    batch, volume, diameter = sizes
    turns = float(speed_rpm(tip_speed_m_s, diameter))
    flow_kg_s = 0.0 if flow_kg_h is None else flow_kg_h / 3600
    power = rotor.power_W(turns, diameter, flow_kg_s)
    energy = float(energy_density_J_mL(power, 60 * minutes, volume))
    pumped = (
        rotor.pumps_L_s(turns, diameter) if flow_kg_h is None else flow_kg_s / rotor.density_g_ml
    )
    area = float(vessel_area_m2(volume, plant_default("height_to_diameter").value))
    return ScaleState(
        batch,
        volume,
        diameter,
        tip_speed_m_s,
        float(gap_shear_rate_1_s(tip_speed_m_s, rotor.gap_um)),
        turns,
        float(reynolds(turns, diameter, rotor.density_g_ml, rotor.viscosity_mPas)),
        power,
        power / volume,
        minutes,
        flow_kg_h,
        energy,
        pumped * 60 * minutes / volume,
        float(adiabatic_rise_K(energy, rotor.heat_capacity_J_mL_K)),
        power / (plant_default("jacket_U_W_m2_K").value * area),
    )
