"""Lines of a brief that follow from what the formula is, not from the film model."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import zincite.data
from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.predicting import predict_formula
from zincite.evaluation.prediction import Prediction
from zincite.formula.brief import Brief
from zincite.formula.formula import Formula
from zincite.formula.reading import load_formula

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"


@pytest.fixture(scope="module")
def fluid() -> Formula:
    return load_formula(FLUID)


def judged(fluid: Formula, brief: Brief) -> tuple[Prediction, BriefLine]:
    made = predict_formula(replace(fluid, brief=brief))
    (line,) = made.brief
    return made, line


def test_the_kind_of_emulsion_asked_for_is_met(fluid: Formula) -> None:
    made, line = judged(fluid, Brief(emulsion="water-in-oil"))
    assert (made.verdict, line.verdict, line.note) == ("passes", "passes", "")


def test_another_kind_of_emulsion_fails_and_says_which(fluid: Formula) -> None:
    made, line = judged(fluid, Brief(emulsion="oil-in-water"))
    assert (made.verdict, line.verdict) == ("fails", "fails")
    assert line.note == "asked for oil-in-water, is water-in-oil"


def test_water_resistance_is_never_decided_by_a_prediction(fluid: Formula) -> None:
    made, line = judged(fluid, Brief(water_resistant=True))
    assert (made.verdict, line.verdict, line.margin) == ("unknown", "unknown", None)
    # ISO 18861, half of the static SPF kept, from memory, as the line must say
    assert (line.limit, line.unit, line.sense) == (50.0, "%", "at least")
    assert "from memory" in line.note


def test_nano_and_excluded_ingredients_are_counted_and_named(fluid: Formula) -> None:
    _, nano = judged(fluid, Brief(non_nano=True))
    held = nano.note.split(", ")
    assert nano.verdict == "fails"
    assert getattr(nano.found, "value", None) == len(held)
    assert set(held) <= set(fluid.materials)
    _, excluded = judged(fluid, Brief(excluded_inci=("zinc oxide", "Petrolatum")))
    assert (excluded.verdict, excluded.note) == ("fails", "zinc oxide")
