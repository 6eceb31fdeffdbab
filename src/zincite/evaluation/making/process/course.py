"""How warm the contents are at each process step: phases join, devices heat, steps state it."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.plant_defaults import plant_default
from zincite.evaluation.making.process.heat import heat_capacity
from zincite.evaluation.making.steps import StepContents
from zincite.formula.formula import Formula, Phase
from zincite.physics.heat import mixing_temperature_C
from zincite.physics.mixing import adiabatic_rise_K

__all__ = ["StepTemperature", "phase_temperature_C", "step_temperatures"]


@dataclass(frozen=True, slots=True)
class StepTemperature:
    """Temperatures of the contents in one step.

    Attributes
    ----------
    number : int
    meets_C : float
        After the step's phases have joined, without loss. [degC]
    stated_C : float or None
        What the file says for the end of the step. [degC]
    rise_K : float or None
        Without cooling, from the device's energy (trade relation R28). [K]
    """

    number: int
    meets_C: float
    stated_C: float | None
    rise_K: float | None

    @property
    def end_C(self) -> float:  # noqa: N802
        """Return what the step ends at: as stated, else as the phases meet. [degC]"""
        return self.meets_C if self.stated_C is None else self.stated_C

    @property
    def hottest_C(self) -> float:  # noqa: N802
        """Return the highest temperature of the step that is planned. [degC]"""
        return max(self.meets_C, self.end_C)

    @property
    def uncooled_C(self) -> float | None:  # noqa: N802
        """Return what the contents reach if no jacket takes the device's energy away. [degC]"""
        return None if self.rise_K is None else self.meets_C + self.rise_K


def phase_temperature_C(phase: Phase) -> float:  # noqa: N802
    """Return a phase's temperature before it is combined; room where none is stated. [degC]"""
    room = plant_default("room_C").value
    return room if phase.temperature_C is None else phase.temperature_C


def step_temperatures(
    formula: Formula, steps: tuple[StepContents, ...], energy_J_mL: dict[int, float | None]
) -> tuple[StepTemperature, ...]:
    """Return the temperatures of each step.

    Parameters
    ----------
    formula : Formula
    steps : tuple of StepContents
    energy_J_mL : dict of int to float or None
        Energy of each step by its number, None where it is not known. [J/mL]

    Notes
    -----
    Contents go into the next step at the temperature a step ends at: what a device adds is
    assumed to be cooled away and shown apart.
    """
    found: list[StepTemperature] = []
    now, capacity = plant_default("room_C").value, 0.0
    for item in steps:
        joining = [p for p in item.phases if p.name in item.added and p.percent > 0]
        parts = [heat_capacity(formula, (p,)) for p in joining]
        capacities = [h.percent * h.kJ_kg_K for h in parts]
        temperatures = [phase_temperature_C(p) for p in joining]
        if capacity > 0:
            capacities, temperatures = [capacity, *capacities], [now, *temperatures]
        if capacities:
            now = mixing_temperature_C(capacities, temperatures)
        capacity = sum(capacities)
        energy = energy_J_mL.get(item.number)
        rise = None
        if energy is not None and item.percent > 0:
            per_mL = item.density_g_ml * capacity / item.percent
            rise = float(adiabatic_rise_K(energy, per_mL))
        step = StepTemperature(item.number, now, item.step.settings.get("temperature_C"), rise)
        found.append(step)
        now = step.end_C
    return tuple(found)
