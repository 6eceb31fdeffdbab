"""What the demo's bench writes down of a batch: weights, steps as made, deviations."""

from __future__ import annotations

from zincite.formula.process import ProcessStep
from zincite.notebook.trial_parts import TrialDeviation, TrialWeight
from zincite.workbench.demo.hidden_laboratory import random_of
from zincite.workbench.demo.story import DemoTrial, Story

__all__ = ["deviations_of", "process_text", "weights_of"]

_RELATIVE, _DIGITS = 0.0006, 0.6
"""Scatter of a weight about its target: of the amount, and in last digits of the balance."""


def weights_of(trial: DemoTrial) -> list[TrialWeight]:
    """Return target and actual weight of each ingredient, with small weighing errors."""
    random = random_of(trial.code, "weights")
    coarse = 2 if trial.batch_kg < 5 else 1  # digits of the balance
    found = []
    for phase in trial.formula.phases:
        for item in phase.ingredients:
            target = round(item.percent / 100 * trial.batch_kg * 1000, coarse)
            error = _RELATIVE * target * random.standard_normal()
            error += _DIGITS * 10**-coarse * random.standard_normal()
            found.append(
                TrialWeight(
                    phase.name,
                    item.material,
                    trial.lots.get(item.material, ""),
                    target,
                    round(max(target + error, 0.0), coarse),
                )
            )
    return found


def process_text(trial: DemoTrial) -> str:
    """Return the steps as made, one a line."""
    return "\n".join(
        f"{number} {_step(step)}" for number, step in enumerate(trial.formula.process, start=1)
    )


def _step(step: ProcessStep) -> str:
    adds = [f"adds {', '.join(step.phases)}"] if step.phases else []
    settings = [f"{key} {value:g}" for key, value in step.settings.items()]
    return ", ".join([step.device, *adds, *settings]) + (f"; {step.note}" if step.note else "")


def deviations_of(trial: DemoTrial, story: Story) -> list[TrialDeviation]:
    """Return what went otherwise in a batch of the story."""
    return [
        TrialDeviation(entry["what"], entry["decision"])
        for entry in story.said["deviation"]
        if entry["trial"] == trial.code
    ]
