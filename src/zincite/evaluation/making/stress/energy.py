"""Energy that each process step brings in: measured, from its power, or from its device's law."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from zincite.errors import OutOfRangeError
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.steps import StepContents, step_contents
from zincite.evaluation.making.stress.device_laws import law_energy
from zincite.evaluation.making.stress.mill_base import contents_viscosity, require_flow
from zincite.evaluation.making.stress.settings import StepSettings
from zincite.formula.formula import Formula
from zincite.formula.process import DEVICES
from zincite.physics.mixing import adiabatic_rise_K

__all__ = ["BATCH_KG", "StepEnergy", "batch_kg_of", "step_energies"]

BATCH_KG = 1.0
"""Batch size where neither question nor formula file states one, assumed. [kg]"""

_LOG_SD = {
    "measured": 0.03,
    "pressure": 0.1,
    "power": 0.1,
    "device law": 0.5,
    "assumed": 0.65,
    "none": 0.0,
}
"""Standard deviation of ln Ev by how it is known, assumed. [-]"""
_Z90 = 1.645


@dataclass(frozen=True, slots=True)
class StepEnergy:
    """What one step brings into its contents.

    Attributes
    ----------
    contents : StepContents
        The step and what it works on.
    volume_L, mass_kg : float
        Of the contents.
    how : str
        "measured", "power" (stated power times minutes), "pressure" (of a homogeniser, stated),
        "device law", "assumed" (a usual specific energy) or "none" (a device that the models do
        not know).
    energy : Estimate or None
        Energy per volume with its 90 % interval, None for unknown devices. [J/mL]
    minutes, passes : float or None
        Time the device works on the batch; passes through it.
    power_W : float or None
        Mean power drawn by the load.
    tip_speed_m_s, shear_rate_1_s, reynolds : float or None
        At rotor or fastest roll; in the gap; of the rotor.
    viscosity_mPas : float or None
        Of the contents under shear.
    intensity : float
        Strength of the stress relative to the one for which the device's limits stand: tip
        speed, shear rate or pressure divided by its reference. [-]
    rise_K : float or None
        Warming without cooling.
    relations, assumed, warnings : tuple of str
        As `Basis` takes them.
    """

    contents: StepContents
    volume_L: float
    mass_kg: float
    how: str
    energy: Estimate | None
    minutes: float | None = None
    passes: float | None = None
    power_W: float | None = None
    tip_speed_m_s: float | None = None
    shear_rate_1_s: float | None = None
    reynolds: float | None = None
    viscosity_mPas: float | None = None
    intensity: float = 1.0
    rise_K: float | None = None
    relations: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def device(self) -> str:
        """The device as the step names it."""
        return self.contents.step.device

    @property
    def energy_J_mL(self) -> float:  # noqa: N802
        """Best value of the energy, 0 for unknown devices. [J/mL]"""
        return 0.0 if self.energy is None else self.energy.median

    @property
    def log_sd(self) -> float:
        """Standard deviation of the energy's logarithm. [-]"""
        return _LOG_SD[self.how]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        names = ("volume_L", "mass_kg", "minutes", "passes", "power_W", "tip_speed_m_s",
                 "shear_rate_1_s", "reynolds", "viscosity_mPas", "rise_K")  # fmt: skip
        return {
            "step": self.contents.number,
            "device": self.device,
            "phases": [phase.name for phase in self.contents.phases],
            "energy_J_mL": None if self.energy is None else self.energy.to_dict(),
            "energy_known_from": self.how,
            **{name: getattr(self, name) for name in names},
        }


def batch_kg_of(formula: Formula, batch_kg: float | None = None) -> tuple[float, tuple[str, ...]]:
    """Return the batch size asked for, else the file's, else an assumed one with its sentence."""
    if batch_kg is not None:
        if not (math.isfinite(batch_kg) and batch_kg > 0):
            raise OutOfRangeError(f"batch is {batch_kg:g} kg, expected above 0")
        return batch_kg, ()
    if formula.process_batch_kg is not None:
        return formula.process_batch_kg, ()
    return BATCH_KG, (f"[process] states no batch_kg: {BATCH_KG:g} kg assumed.",)


def step_energies(formula: Formula, batch_kg: float | None = None) -> tuple[StepEnergy, ...]:
    """Return the energy of each process step.

    Parameters
    ----------
    formula : Formula
    batch_kg : float, optional
        That the steps' settings belong to; the file's, else `BATCH_KG`, when left out. [kg]

    Returns
    -------
    tuple of StepEnergy
        In order; empty for a formula without process.

    Raises
    ------
    FormulaError
        If a dispersing step works on contents that do not flow.
    OutOfRangeError
        If a tip speed is beyond what its kind of device is built for.

    Notes
    -----
    A step's own energy_J_mL counts first, then power_W times minutes over the volume, then the
    law of its device with what the step states, every missing setting replaced by an assumed one
    and named (trade relations R25-R28, R33).
    """
    size, said = batch_kg_of(formula, batch_kg)
    return tuple(_step(formula, contents, size, said) for contents in step_contents(formula))


def _step(
    formula: Formula, contents: StepContents, batch_kg: float, said: tuple[str, ...]
) -> StepEnergy:
    volume, mass = contents.volume_L(batch_kg), contents.mass_kg(batch_kg)
    if contents.step.device not in DEVICES or not contents.phases:
        warning = _unknown(contents)
        return StepEnergy(contents, volume, mass, "none", None, warnings=(warning,))
    require_flow(formula, contents)
    settings = StepSettings(contents, volume)
    settings.require_possible()
    viscosity, guess = contents_viscosity(formula, contents)
    settings.note_viscosity(viscosity, guess)
    law = law_energy(settings, viscosity, mass)
    energy, how, power, minutes = law.energy_J_mL, law.how, law.power_W, law.minutes
    own = settings.stated("energy_J_mL")
    drawn, time = settings.stated("power_W"), settings.stated("minutes")
    if own is not None:
        energy, how, power = own, "measured", None
        if time is not None:
            power = own * volume * 1e3 / (60 * time) if time > 0 else None
    elif drawn is not None and time is not None:
        energy, how, power, minutes = drawn * time * 60 / (volume * 1e3), "power", drawn, time
    spread = math.exp(_Z90 * _LOG_SD[how])
    needed = how in ("device law", "assumed")
    return StepEnergy(
        contents, volume, mass, how,
        Estimate(energy, energy / spread, energy * spread, "J/mL", assumed=needed),
        minutes=time if how == "measured" else minutes,
        passes=law.passes, power_W=power, tip_speed_m_s=law.tip_speed_m_s,
        shear_rate_1_s=law.shear_rate_1_s, reynolds=law.reynolds, viscosity_mPas=law.viscosity_mPas,
        intensity=law.intensity, rise_K=float(adiabatic_rise_K(energy)),
        relations=(*law.relations, "R28"),
        assumed=(*(said if how != "measured" else ()), *settings.assumed(for_energy=needed)),
        warnings=tuple(settings.warnings),
    )  # fmt: skip


def _unknown(contents: StepContents) -> str:
    if not contents.phases:
        return f"Step {contents.number} works on nothing yet: no phase is added up to it."
    return (
        f"Step {contents.number}: {contents.step.device!r} is no device that the models know "
        f"({', '.join(DEVICES)}), so it changes nothing here."
    )
