"""A warm prediction with all posterior draws, of a formula of 20 ingredients.

"Warm" means that the pigments' tables are there, as in a search or while a chemist moves a slider:
each run changes the levels, so no result is remembered. Beside it stands a 512 x 512 matrix
product of the same run, because a busy machine slows both.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import zincite.data
from zincite import load_formula, predict
from zincite.evaluation.parameters import shipped_draws
from zincite.formula.changes import with_amounts
from zincite.formula.formula import Formula

FORMULA = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
INGREDIENTS = 20
LIMIT_S = 0.050


def formula() -> Formula:
    """Return the demo's formula without its antioxidant: 20 ingredients."""
    made = with_amounts(load_formula(FORMULA), {"tocopherol": 0.0})
    if len(made.ingredients) != INGREDIENTS:
        raise SystemExit(f"{len(made.ingredients)} ingredients, expected {INGREDIENTS}")
    return made


def least(action: Callable[[int], object], runs: int) -> float:
    """Return the least wall-clock time of an action. [s]"""
    times = []
    for number in range(runs):
        start = time.perf_counter()
        action(number)
        times.append(time.perf_counter() - start)
    return min(times)


def main(smoke: bool) -> list[tuple[str, str, str]]:
    """Return name, value and requirement of each measurement."""
    runs = 3 if smoke else 25
    start = formula()
    pigment = next(iter(start.percent_by_material()))
    variants = [with_amounts(start, {pigment: 15 + 0.1 * n}) for n in range(runs)]
    predict(start)
    warm = least(lambda n: predict(variants[n]), runs)
    matrix = np.random.default_rng(1).random((512, 512))
    product = least(lambda _: matrix @ matrix, runs)
    return [
        ("512 x 512 matrix product, the reference", f"{1e3 * product:.1f} ms", ""),
        (
            f"prediction, {INGREDIENTS} ingredients, {shipped_draws().size} draws, warm",
            f"{1e3 * warm:.0f} ms, {warm / product:.0f} x",
            f"< {1e3 * LIMIT_S:.0f} ms",
        ),
    ]


if __name__ == "__main__":
    for row in main("--smoke" in sys.argv):
        print(*row, sep=" | ")
