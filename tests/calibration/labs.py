"""Synthetic laboratories: invented formulas, results made by the model with known parameters."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.validation.formulas import formula
from zincite.learning.model import LabModel, build_model
from zincite.learning.observations import Observation

ZINC = ("zinc-oxide-60-silane", "zinc-oxide-100-silane", "zinc-oxide-150-silane")
TITANIUM = "titanium-dioxide-35-silica-dimethicone"
RECIPES = (
    (10, 0), (15, 0), (20, 0), (24, 0), (12, 3), (8, 5),
    (15, 4), (20, 3), (5, 8), (18, 0), (22, 2), (10, 6),
)  # fmt: skip
FACTORS = ("spf-in-vivo", "uva-pf-in-vivo", "spf-in-vitro")


def formulas(count: int = 12):
    """Twelve formulas of three zinc oxides and a titanium dioxide."""
    made = []
    for number, (zinc, titanium) in enumerate(RECIPES[:count]):
        parts = [(ZINC[number % 3], float(zinc))]
        if titanium:
            parts.append((TITANIUM, float(titanium)))
        made.append(replace(formula(*parts), code=f"L-{number + 1}"))
    return made


def blank_model(kinds=("spf-in-vivo", "spf-in-vitro"), count: int = 12):
    """The model of a laboratory whose numbers are still to be made, and its observations."""
    results = [Observation(f, kind, 20.0) for f in formulas(count) for kind in kinds]
    return build_model(results), results


def measured(model: LabModel, z: np.ndarray, rng: np.random.Generator) -> LabModel:
    """The model with results that a laboratory with parameters z would get."""
    parameters = model.parameters(z[None])
    expected = model.expected(parameters)[0]
    noise = np.sqrt(model.variance(parameters)[0]) * rng.standard_normal(expected.size)
    effects: dict[int, float] = {}
    made = []
    for predictor, value in zip(model.predictors, expected + noise, strict=True):
        effect = effects.setdefault(
            predictor.formula_index, rng.normal() * float(parameters.scatter[0])
        )
        made.append(
            replace(
                predictor,
                measured=float(value + (effect if predictor.kind in FACTORS else 0.0)),
            )
        )
    return model.with_predictors(tuple(made))


def as_observations(model: LabModel, blanks: list[Observation]) -> list[Observation]:
    """The same results as a laboratory would write them down."""
    return [
        replace(blank, value=float(1 + np.exp(predictor.measured)))
        for blank, predictor in zip(blanks, model.predictors, strict=True)
    ]
