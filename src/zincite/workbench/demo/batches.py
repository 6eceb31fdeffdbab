"""What the demo's bench writes down of a batch: weights, steps as made, deviations."""

from __future__ import annotations

from dataclasses import replace

from zincite.notebook.trial_parts import TrialDeviation, TrialWeight
from zincite.workbench.demo.hidden_laboratory import random_of
from zincite.workbench.demo.story import DemoTrial, Story
from zincite.workbench.notebook.batches import planned_batch

__all__ = ["deviations_of", "process_text", "weights_of"]

_RELATIVE, _DIGITS = 0.0006, 0.6
"""Scatter of a weight about its target: of the amount, and in last digits of the balance."""


def weights_of(trial: DemoTrial) -> list[TrialWeight]:
    """Return target and actual weight of each ingredient, with small weighing errors."""
    random = random_of(trial.code, "weights")
    digits = 2 if trial.batch_kg < 5 else 1  # of the balance
    found = []
    for planned in planned_batch(trial.formula, trial.batch_kg, trial.lots).weights:
        target = round(planned.target_g or 0.0, digits)
        error = _RELATIVE * target * random.standard_normal()
        error += _DIGITS * 10**-digits * random.standard_normal()
        actual = round(max(target + error, 0.0), digits)
        found.append(replace(planned, target_g=target, actual_g=actual))
    return found


def process_text(trial: DemoTrial) -> str:
    """Return the steps as made, one a line: the story's steps are those that were run."""
    planned = planned_batch(trial.formula, trial.batch_kg, trial.lots).process
    return planned.replace(" planned", "")


def deviations_of(trial: DemoTrial, story: Story) -> list[TrialDeviation]:
    """Return what went otherwise in a batch of the story."""
    return [
        TrialDeviation(entry["what"], entry["decision"])
        for entry in story.said["deviation"]
        if entry["trial"] == trial.code
    ]
