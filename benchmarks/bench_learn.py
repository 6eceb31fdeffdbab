"""Learning from twelve measured formulas, checks included.

The reference is the time of as many evaluations of the log posterior as a short run makes: it
tells a slower machine from a slower program.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.calibration.labs import as_observations, blank_model, measured

from zincite.learning.fitting import learn


def main(smoke: bool) -> list[tuple[str, str, str]]:
    """Return (name, value, requirement) of each measurement."""
    model, blanks = blank_model()
    rng = np.random.default_rng(1)
    z = rng.standard_normal(model.size)
    results = as_observations(measured(model, z, rng), blanks)
    rows = rng.standard_normal((28, model.size))
    start = time.perf_counter()
    for _ in range(200):
        model.log_posterior(rows)
    reference = time.perf_counter() - start
    start = time.perf_counter()
    learn(results, seed=1, seconds=1.0 if smoke else 20.0)
    spent = time.perf_counter() - start
    return [
        ("200 evaluations of the log posterior, the reference", f"{reference:.2f} s", ""),
        (
            f"learning from {len(results)} results of 12 formulas",
            f"{spent:.1f} s, {spent / reference:.0f} x",
            "< 30 s",
        ),
    ]


if __name__ == "__main__":
    for row in main("--smoke" in sys.argv):
        print(*row, sep=" | ")
