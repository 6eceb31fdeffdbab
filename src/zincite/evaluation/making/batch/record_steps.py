"""Process steps of a batch record: set points, their windows, and holds on the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from zincite.evaluation.making.steps import StepContents, step_contents
from zincite.formula.formula import Formula, Phase
from zincite.formula.process import ProcessStep

__all__ = [
    "SPEED_WINDOW_PERCENT",
    "TEMPERATURE_WINDOW_C",
    "RecordStep",
    "SetPoint",
    "phases_in_order",
    "record_steps",
]

TEMPERATURE_WINDOW_C = 3.0
"""Half-width of a temperature's window; common practice, no source. [degC]"""
SPEED_WINDOW_PERCENT = 10.0
"""Half-width of the window of times, speeds and all other settings; common practice. [%]"""

_FIRST = ("tip_speed_m_s", "speed_rpm", "minutes", "temperature_C")
_ALWAYS = ("tip_speed_m_s", "minutes", "temperature_C")
_GEOMETRY = ("diameter_m", "power_number", "bead_um", "speed_ratio", "solids_percent")
_NO_DEVICE = ""
_DO = {
    "pigment": "Wet the powders out and disperse them.",
    "oil": "Melt and stir until clear and free of lumps.",
    "water": "Dissolve, bring to temperature.",
    "cool-down": "Add below 40 degC under slow stirring.",
}


@dataclass(frozen=True, slots=True)
class SetPoint:
    """A setting of a step with the window of its actual value.

    Attributes
    ----------
    key : str
        Of `formula.process.SETTINGS`.
    value, low, high : float or None
        Set point and window, in the key's unit; None is to be written in.
    """

    key: str
    value: float | None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class RecordStep:
    """A step as the record prints it.

    Attributes
    ----------
    number : int
        Counted from 1.
    device : str
        "" is to be written in.
    adds : tuple of str
        Phases added at its beginning.
    contents_percent : float
        What is in the vessel, as a share of the batch. [%]
    settings : tuple of SetPoint
    note : str
    """

    number: int
    device: str
    adds: tuple[str, ...]
    contents_percent: float
    settings: tuple[SetPoint, ...]
    note: str


def phases_in_order(
    formula: Formula, contents: Sequence[StepContents]
) -> tuple[tuple[Phase, ...], tuple[str, ...]]:
    """Return all phases in order of addition, and the names of those that no step adds.

    Those that no step adds come last, as in the file.
    """
    added = [name for found in contents for name in found.added]
    by_name = {phase.name: phase for phase in formula.phases}
    rest = [phase for phase in formula.phases if phase.name not in added]
    return (*(by_name[name] for name in added), *rest), tuple(phase.name for phase in rest)


def record_steps(formula: Formula) -> tuple[tuple[RecordStep, ...], tuple[StepContents, ...]]:
    """Return the steps to print and what each works on.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    steps : tuple of RecordStep
    contents : tuple of StepContents

    Notes
    -----
    A formula without process steps gets one step a phase in the order of the file and one that
    homogenises and cools, with devices and set points to be written in.
    """
    planned = formula if formula.process else replace(formula, process=_usual_steps(formula))
    contents = step_contents(planned)
    return tuple(_record_step(found) for found in contents), contents


def _usual_steps(formula: Formula) -> tuple[ProcessStep, ...]:
    steps = []
    kinds: set[str] = set()
    for phase in formula.phases:
        words = [_DO[phase.kind]]
        powders = any(formula.materials[i.material].grade is not None for i in phase.ingredients)
        if powders and phase.kind != "pigment":
            words.append(_DO["pigment"])
        other = {"oil", "pigment"} if phase.kind == "water" else {"water"}
        if kinds & other and phase.kind != "cool-down":
            words.append("Emulsify: add slowly under shear.")
        kinds.add(phase.kind)
        heat = phase.temperature_C
        settings = {} if heat is None else {"temperature_C": heat}
        steps.append(ProcessStep(_NO_DEVICE, settings, (phase.name,), " ".join(words)))
    if "water" in kinds and len(kinds) > 1:
        first = next((i for i, p in enumerate(formula.phases) if p.kind == "cool-down"), len(steps))
        words_at_end = "Homogenise, then cool under slow stirring."
        steps.insert(first, ProcessStep(_NO_DEVICE, {}, (), words_at_end))
    return tuple(steps)


def _record_step(found: StepContents) -> RecordStep:
    step = found.step
    settings = dict(step.settings)
    if "tip_speed_m_s" not in settings and {"speed_rpm", "diameter_m"} <= set(settings):
        settings["tip_speed_m_s"] = (  # v = pi D N, trade relation R25
            math.pi * settings["diameter_m"] * settings["speed_rpm"] / 60
        )
    keys = [key for key in _FIRST if key in settings or key in _ALWAYS]
    keys += [key for key in settings if key not in keys]
    return RecordStep(
        found.number,
        step.device,
        found.added,
        found.percent,
        tuple(_set_point(key, settings.get(key)) for key in keys),
        step.note,
    )


def _set_point(key: str, value: float | None) -> SetPoint:
    if value is None or key in _GEOMETRY:
        return SetPoint(key, value)
    if key == "passes":
        return SetPoint(key, value, value, value)
    half = TEMPERATURE_WINDOW_C if key == "temperature_C" else value * SPEED_WINDOW_PERCENT / 100
    return SetPoint(key, value, value - half, value + half)
