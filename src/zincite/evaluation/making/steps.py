"""What is in the vessel at each process step: which phases, how much, how dense."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from zincite.evaluation.density import is_powder
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula, Phase
from zincite.formula.material import Material
from zincite.formula.process import ProcessStep
from zincite.formula.substances import leaves_of

__all__ = ["StepContents", "leaves_in", "step_contents"]


@dataclass(frozen=True, slots=True)
class StepContents:
    """A step with what it works on.

    Attributes
    ----------
    number : int
        Counted from 1.
    step : ProcessStep
    phases : tuple of Phase
        In the vessel during the step, those added at its beginning last.
    added : tuple of str
        Names of the phases added at its beginning.
    percent : float
        Mass of the contents as a share of the formula. [%]
    density_g_ml : float
        Of the contents, volumes added. [g/mL]
    pigment_percent : float
        Pigment powder in the contents as a share of the formula. [%]
    pigment_volume_fraction : float
        Of the contents. [-]
    has_water : bool
        Whether a water phase is in, so that pigment already sits in an emulsion.
    """

    number: int
    step: ProcessStep
    phases: tuple[Phase, ...]
    added: tuple[str, ...]
    percent: float
    density_g_ml: float
    pigment_percent: float
    pigment_volume_fraction: float
    has_water: bool

    def volume_L(self, batch_kg: float) -> float:  # noqa: N802
        """Return the volume of the contents of a batch. [L]"""
        return batch_kg * self.percent / 100 / self.density_g_ml

    def mass_kg(self, batch_kg: float) -> float:
        """Return the mass of the contents of a batch. [kg]"""
        return batch_kg * self.percent / 100


def step_contents(formula: Formula) -> tuple[StepContents, ...]:
    """Return each process step with its contents.

    Parameters
    ----------
    formula : Formula

    Notes
    -----
    A step works on all phases added up to it. Where no step says which phases it adds, each
    device works where such devices are used: mills on the pigment phases (the whole formula if it
    has none of that kind), everything else on the pigment phases until a step has no pigment left
    to wait for; so a formula that says nothing gets its pigment phases in the first step and the
    rest in the last, or all at once where there is a single step that is no mill. Pigment phases
    that are mostly powder take the oil phases with them.
    """
    stated = any(step.phases for step in formula.process)
    plan = [step.phases for step in formula.process] if stated else _usual(formula)
    found: list[StepContents] = []
    inside: list[Phase] = []
    for number, (step, names) in enumerate(zip(formula.process, plan, strict=True), start=1):
        inside += [phase for name in names for phase in formula.phases if phase.name == name]
        found.append(_contents(formula, number, step, tuple(inside), tuple(names)))
    return tuple(found)


def leaves_in(formula: Formula, phases: Iterable[Phase]) -> tuple[tuple[Material, float], ...]:
    """Return the leaf materials of phases with their share of the formula, as weighed. [%]"""
    return tuple(
        (leaf, ingredient.percent * fraction)
        for phase in phases
        for ingredient in phase.ingredients
        for leaf, fraction in leaves_of(formula.materials[ingredient.material], formula.materials)
    )


_MILLS = ("three-roll-mill", "bead-mill")


def _usual(formula: Formula) -> list[tuple[str, ...]]:
    """Return the phases each step adds where the file names none."""
    all_names = tuple(phase.name for phase in formula.phases)
    pigment = tuple(p.name for p in formula.phases if p.kind == "pigment")
    steps = formula.process
    if not steps:
        return []
    mills_alone = all(step.device in _MILLS for step in steps)
    if not pigment or (len(steps) == 1 and not mills_alone):
        return [all_names, *([()] * (len(steps) - 1))]
    oil = tuple(p.name for p in formula.phases if p.kind in ("pigment", "oil"))
    # powders without the liquid to take them up wait for it
    pigment = next((names for names in (pigment, oil) if _flows(formula, names)), all_names)
    rest = tuple(name for name in all_names if name not in pigment)
    plan: list[tuple[str, ...]] = [pigment, *([()] * (len(steps) - 1))]
    if not mills_alone:
        plan[-1] = rest
    return plan


def _flows(formula: Formula, names: tuple[str, ...]) -> bool:
    """Return whether phases hold at least as much liquid as powder, by volume."""
    powder = whole = 0.0
    for leaf, share in leaves_in(formula, (p for p in formula.phases if p.name in names)):
        volume = share / density_g_ml_of(leaf, formula.materials).value
        whole += volume
        powder += volume if is_powder(leaf) else 0.0
    return powder <= whole / 2


def _contents(
    formula: Formula,
    number: int,
    step: ProcessStep,
    phases: tuple[Phase, ...],
    added: tuple[str, ...],
) -> StepContents:
    mass = volume = pigment = pigment_volume = 0.0
    for leaf, share in leaves_in(formula, phases):
        taken = share / density_g_ml_of(leaf, formula.materials).value
        mass += share
        volume += taken
        if leaf.grade is not None:
            pigment += share
            pigment_volume += taken
    return StepContents(
        number,
        step,
        phases,
        added,
        mass,
        mass / volume if volume > 0 else math.nan,
        pigment,
        pigment_volume / volume if volume > 0 else 0.0,
        any(phase.kind == "water" for phase in phases),
    )
