"""A changed process: more minutes on a step, or another device."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from zincite.data.devices import device
from zincite.errors import FormulaError, InputError, OutOfRangeError
from zincite.evaluation.making.stress.energy import StepEnergy, step_energies
from zincite.evaluation.making.stress.kinetics import assumed_kinetics
from zincite.formula.formula import Formula
from zincite.formula.process import DEVICES, SETTINGS, ProcessStep, device_key
from zincite.physics.deagglomeration import fines_fraction

__all__ = ["ProcessChange", "changed_process", "main_step", "require_process"]

_ENERGY = ("energy_J_mL", "power_W")
_UNITS = {"minutes": "min", "tip_speed_m_s": "m/s", "pressure_bar": "bar"}
_EXAMPLE = '[[process.step]] device = "rotor-stator", minutes = 5, tip_speed_m_s = 15'


@dataclass(frozen=True, slots=True)
class ProcessChange:
    """What is asked to be different.

    Attributes
    ----------
    minutes_more : float or None
        Added to a step's time; may be negative. [min]
    step : int or None
        Number of the step that is changed, from 1.
    device : str
        Another device: in place of `step`, else one more before the pigment meets the water.
    settings : dict of str to float
        Of that device, keys of `zincite.formula.process.SETTINGS`.
    """

    minutes_more: float | None = None
    step: int | None = None
    device: str = ""
    settings: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.minutes_more is not None and self.device:
            raise InputError("both more minutes and a device are asked for, expected one of them")
        if self.minutes_more is None and not self.device:
            raise InputError(
                "a step or setting is named, expected more minutes or a device with it"
            )
        if self.device and self.device not in DEVICES:
            raise InputError(f"device is {self.device!r}, expected one of {', '.join(DEVICES)}")
        for key, value in self.settings.items():
            low, high, _ = SETTINGS[key]
            # a tip speed is judged with its device, which says why it is impossible
            if not low <= value <= high and (key != "tip_speed_m_s" or not value >= low):
                raise OutOfRangeError(f"{key} is {value:g}, expected {low:g} to {high:g}")

    @staticmethod
    def of_device(name: str, step: int | None = None, **settings: float | None) -> ProcessChange:
        """Return the change to a device, its name as people write it; settings of None are none."""
        given = {key: value for key, value in settings.items() if value is not None}
        return ProcessChange(None, step, device_key(name), given)


def require_process(formula: Formula) -> None:
    """Refuse a formula without process steps or without pigment.

    Raises
    ------
    FormulaError
    """
    if not formula.process:
        raise FormulaError(
            f"formula {formula.code!r} has no process steps, expected some such as {_EXAMPLE} "
            "after a line [process]"
        )
    if not any(step.pigment_percent > 0 for step in (e.contents for e in step_energies(formula))):
        raise FormulaError(
            f"formula {formula.code!r} has no pigment in any process step, expected a step that "
            "works on one"
        )


def main_step(energies: tuple[StepEnergy, ...]) -> StepEnergy:
    """Return the step on pigment that would free most by itself, at the middle values.

    Raises
    ------
    FormulaError
        If no step frees anything.
    """
    rules = assumed_kinetics()
    working = [
        step for step in energies if step.device in rules and step.contents.pigment_percent > 0
    ]
    if not working:
        raise FormulaError(
            f"no process step frees pigment from aggregates, expected one on {', '.join(rules)}"
        )

    def freed(step: StepEnergy) -> float:
        middle = rules[step.device].intervals()
        return float(fines_fraction(step.energy_J_mL, middle["limit"][0], middle["rate"][0]))

    return max(working, key=freed)


def changed_process(formula: Formula, change: ProcessChange) -> tuple[Formula, str]:
    """Return the formula with its process changed, and the change in words.

    Parameters
    ----------
    formula : Formula
        With process steps.
    change : ProcessChange

    Raises
    ------
    FormulaError, InputError, OutOfRangeError
        If there is no such step, or it counts no minutes.
    """
    energies = step_energies(formula)
    # what each step works on is written down first, so that a new step does not move the others
    steps = [replace(energy.contents.step, phases=energy.contents.added) for energy in energies]
    if change.step is not None and not 1 <= change.step <= len(steps):
        raise OutOfRangeError(f"step is {change.step}, expected 1 to {len(steps)}")
    if change.minutes_more is not None:
        place = main_step(energies).contents.number - 1 if change.step is None else change.step - 1
        steps[place] = _longer(steps[place], energies[place], change.minutes_more)
        sign = "more" if change.minutes_more >= 0 else "less"
        words = f"{abs(change.minutes_more):g} min {sign} on step {place + 1}"
    else:
        words = _with_device(formula, steps, energies, change)
    return replace(formula, process=tuple(steps)), words


def _longer(step: ProcessStep, energy: StepEnergy, more: float) -> ProcessStep:
    """Return a step that runs longer, its measured energy in proportion."""
    number, before = energy.contents.number, energy.minutes
    if before is None or before <= 0:
        raise FormulaError(
            f"process step {number} ({step.device}) counts no minutes, expected a step with a "
            "time, or passes by naming the device with its passes"
        )
    after = before + more
    if not 0 <= after <= SETTINGS["minutes"][1]:
        raise OutOfRangeError(
            f"process step {number} would run {after:g} minutes, expected 0 to "
            f"{SETTINGS['minutes'][1]:g}"
        )
    settings = dict(step.settings)
    for name in ("energy_J_mL", "passes"):
        if name in settings:
            settings[name] *= after / before
    if "passes" not in settings or "minutes" in settings:
        settings["minutes"] = after
    return replace(step, settings=settings)


def _with_device(
    formula: Formula,
    steps: list[ProcessStep],
    energies: tuple[StepEnergy, ...],
    change: ProcessChange,
) -> str:
    """Put the device in place of a step, or between pigment and water; return it in words."""
    told = ", ".join(_setting_words(key, v) for key, v in change.settings.items())
    name = f"{device(change.device).name}, {told}" if told else device(change.device).name
    if change.step is not None:
        old = steps[change.step - 1]
        same = old.device == change.device
        left_out = _ENERGY if same else tuple(k for k in old.settings if k != "temperature_C")
        kept = {key: value for key, value in old.settings.items() if key not in left_out}
        steps[change.step - 1] = ProcessStep(change.device, {**kept, **change.settings}, old.phases)
        return f"{name}, {'as' if same else 'in place of'} step {change.step}"
    dry = [
        place
        for place, energy in enumerate(energies)
        if energy.contents.pigment_percent > 0 and not energy.contents.has_water
    ]
    # where the mill base is still thick: before an anchor stirs the oil in
    dry = [place for place in dry if energies[place].device in assumed_kinetics()] or dry
    if dry:
        steps.insert(dry[-1] + 1, ProcessStep(change.device, change.settings))
        return f"{name}, after step {dry[-1] + 1}"
    pigment = tuple(p.name for p in formula.phases if p.kind == "pigment")
    kept_steps = [replace(s, phases=tuple(n for n in s.phases if n not in pigment)) for s in steps]
    steps[:] = [ProcessStep(change.device, change.settings, pigment), *kept_steps]
    return f"{name}, before step 1 on the pigment phase"


def _setting_words(key: str, value: float) -> str:
    number = f"{value:g}"
    if key == "passes":
        return f"{number} pass" if value == 1 else f"{number} passes"
    return f"{number} {_UNITS[key]}"
