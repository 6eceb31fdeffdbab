"""The laboratory's step as the start of a scale-up: its rotor, its state, or its throughput."""

from __future__ import annotations

from dataclasses import replace

from zincite.data.plant_defaults import plant_default
from zincite.errors import OutOfRangeError
from zincite.evaluation.making.process.heat import heat_capacity
from zincite.evaluation.making.process.scale_state import Rotor, ScaleState, rotor_state
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.evaluation.making.stress.settings import StepSettings
from zincite.formula.formula import Formula
from zincite.physics.mixing import adiabatic_rise_K, speed_rpm

__all__ = ["THROUGHPUT", "lab_rotor", "lab_state", "throughput_state"]

THROUGHPUT = ("three-roll-mill", "bead-mill", "high-pressure")
"""Devices whose stress does not depend on the batch: a larger one only takes more per hour."""


def lab_rotor(formula: Formula, found: StepEnergy) -> tuple[Rotor, tuple[str, ...]]:
    """Return a step's rotor and a sentence for each value that was assumed.

    Parameters
    ----------
    formula : Formula
    found : StepEnergy
        Of a batch or in-line rotor.

    Notes
    -----
    Where the step states power or energy, the power law is set to it by a factor, as R26 asks.
    """
    contents, in_line = found.contents, found.device == "rotor-stator-in-line"
    settings = StepSettings(contents, found.volume_L)
    heat = heat_capacity(formula, contents.phases)
    flow = plant_default(f"flow_number.{found.device}")
    rotor = Rotor(
        contents.density_g_ml,
        found.viscosity_mPas or 0.0,
        contents.density_g_ml * heat.kJ_kg_K,
        settings.value("zero_flow_number") if in_line else settings.value("power_number",
                                                                         "power_number"),
        settings.value("flow_constant" if in_line else "laminar_constant"),
        flow.value,
        settings.value("gap", "gap_um"),
        in_line=in_line,
    )  # fmt: skip
    rotor = replace(rotor, power_factor=_measured_factor(rotor, found))
    said: tuple[str, ...] = ()
    if not in_line:
        said = (
            f"The rotor's flow number is {flow.value:g} ({flow.low:g} to {flow.high:g}), from "
            "memory; it sets the count of turnovers, not their ratio.",
        )
    if rotor.power_factor != 1.0:
        said += (
            "The power law is set to the power of the laboratory's step; how it splits into "
            f"turbulent and laminar rests on assumed constants ({rotor.power_number:g}, "
            f"{rotor.laminar_constant:g}).",
        )
    return rotor, (*found.assumed, *said)


def lab_state(rotor: Rotor, found: StepEnergy, batch_kg: float) -> ScaleState:
    """Return the laboratory's state.

    Raises
    ------
    OutOfRangeError
        If the step does nothing: no time, passes or speed.
    """
    settings = StepSettings(found.contents, found.volume_L)
    diameter, speed, minutes = settings.diameter_m(), found.tip_speed_m_s, found.minutes
    if minutes is None:  # energy was stated alone
        minutes = settings.value("minutes") if not rotor.in_line else None
    if not speed or not minutes:
        raise OutOfRangeError(
            f"process step {found.contents.number} runs for 0 minutes or at 0 m/s, expected a "
            "step that works, to scale it up"
        )
    flow = settings.value("flow", "flow_kg_h") if rotor.in_line else None
    return rotor_state(rotor, (batch_kg, found.volume_L, diameter), speed, minutes, flow_kg_h=flow)


def _measured_factor(rotor: Rotor, found: StepEnergy) -> float:
    """Return measured over calculated power of a step, 1 where no power was measured. [-]"""
    settings = StepSettings(found.contents, found.volume_L)
    if found.how not in ("power", "measured") or not found.power_W or not found.tip_speed_m_s:
        return 1.0
    diameter = settings.diameter_m()
    flow = settings.value("flow", "flow_kg_h") / 3600 if rotor.in_line else 0.0
    turns = float(speed_rpm(found.tip_speed_m_s, diameter))
    return found.power_W / rotor.power_W(turns, diameter, flow)


def throughput_state(
    formula: Formula, found: StepEnergy, batch_kg: float, diameter_m: float | None = None
) -> ScaleState:
    """Return a mill's or homogeniser's step for a batch.

    Parameters
    ----------
    formula : Formula
    found : StepEnergy
        The laboratory's.
    batch_kg : float
        [kg]
    diameter_m : float, optional
        Of a larger machine's rolls or chamber; the laboratory's when left out. [m]

    Notes
    -----
    Stress, energy and passes stay. The time grows with the batch and falls with what the machine
    takes: that of rolls grows with their width, taken as similar to their diameter.
    """
    own = found.contents.step.settings
    lab_size = own.get("diameter_m")
    lab_batch = 100 * found.mass_kg / found.contents.percent
    if diameter_m is not None and lab_size is not None and found.device == "three-roll-mill":
        larger = diameter_m / lab_size
    else:
        larger = 1.0
    minutes = own.get("minutes")
    density, heat = found.contents.density_g_ml, heat_capacity(formula, found.contents.phases)
    return ScaleState(
        batch_kg,
        found.volume_L * batch_kg / lab_batch,
        diameter_m if diameter_m is not None else lab_size,
        found.tip_speed_m_s,
        found.shear_rate_1_s,
        minutes=None if minutes is None else minutes * batch_kg / lab_batch / larger,
        energy_J_mL=found.energy_J_mL,
        turnovers=found.passes,
        rise_K=float(adiabatic_rise_K(found.energy_J_mL, density * heat.kJ_kg_K)),
    )
