"""Slabs per second at equal error, against adding-doubling with and without Fresnel faces.

500 mixed cases: optical depth 0.1 to 20, albedo 0.3 to 0.9999, asymmetry 0 to 0.8. Errors are the
largest of reflected and transmitted flux for normal and diffuse light against 64 points a
hemisphere. iadpython answers for both kinds of light at once, so zincite is timed for both.
"""

from __future__ import annotations

import sys
import time
import warnings

import numpy as np
from numpy.typing import NDArray

from zincite.physics.slab import slab

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import iadpython

Array = NDArray[np.float64]
REFERENCE_POINTS = 64
LIBRARY_POINTS = 16  # its best: above, its own rounding grows
CANDIDATES = (4, 6, 8, 10, 12, 16)


def cases(smoke: bool) -> tuple[Array, Array, Array]:
    """Return optical depth, albedo and asymmetry."""
    rng = np.random.default_rng(500)
    count = 30 if smoke else 500
    depth = np.exp(rng.uniform(np.log(0.1), np.log(20), count))
    albedo = 1 - np.exp(rng.uniform(np.log(1e-4), np.log(0.7), count))
    return depth, albedo, rng.uniform(0, 0.8, count)


def _ours(case: tuple[Array, Array, Array], index: float, points: int) -> Array:
    normal = slab(*case, film_index=index, points=points)
    diffuse = slab(*case, film_index=index, points=points, incidence_cosine="diffuse")
    return np.stack([*normal[:2], *diffuse[:2]])


def _library(case: tuple[Array, Array, Array], index: float) -> Array:
    rows = []
    for depth, albedo, g in zip(*case, strict=True):
        sample = iadpython.ad.Sample(a=albedo, b=depth, g=g, n=index, quad_pts=LIBRARY_POINTS)
        rows.append(sample.rt())
    return np.array(rows, dtype=float).T


def _seconds(work: object, *arguments: object, repeats: int) -> float:
    spent = []
    for _ in range(repeats):
        start = time.process_time()
        work(*arguments)  # type: ignore[operator]
        spent.append(time.process_time() - start)
    return min(spent)


def _compare(
    case: tuple[Array, Array, Array], index: float, smoke: bool
) -> list[tuple[str, str, str]]:
    count = case[0].size
    # the reference takes seconds with faces: a fifth of the cases is enough to find the error
    part = tuple(row[:: 1 if index == 1 else 5] for row in case)
    exact = _ours(part, index, REFERENCE_POINTS)
    library_error = float(np.abs(_library(part, index) - exact).max())
    errors = {p: float(np.abs(_ours(part, index, p) - exact).max()) for p in CANDIDATES}
    equal = next((p for p, error in errors.items() if error <= library_error), CANDIDATES[-1])
    repeats = 1 if smoke else 5
    own = {p: count / _seconds(_ours, case, index, p, repeats=repeats) for p in {8, equal}}
    rate = count / _seconds(_library, case, index, repeats=1 if smoke else 2)
    normal = count / _seconds(
        lambda: slab(*case, film_index=index, points=equal), repeats=2 if smoke else 6
    )
    return [
        ("zincite, 8 points", f"{own[8]:,.0f} /s, error {errors[8]:.0e}", ""),
        (f"iadpython, {LIBRARY_POINTS} points", f"{rate:,.0f} /s, error {library_error:.0e}", ""),
        (
            f"ratio at equal error (zincite {equal} points)",
            f"{own[equal] / rate:.0f}",
            "20" if index == 1 else "",
        ),
        ("the same, zincite in normal light only", f"{normal / rate:.0f}", "20"),
    ]


def main(smoke: bool) -> list[tuple[str, str, str]]:
    """Return (name, value, requirement) of each measurement."""
    case = cases(smoke)
    rows = []
    normal = case[0].size / _seconds(slab, *case, repeats=2 if smoke else 8)
    rows.append(("slabs without faces, normal light only", f"{normal:,.0f} /s", "40,000 /s"))
    for index, words in ((1.0, "no faces"), (1.45, "faces 1.45 in air")):
        for name, value, wanted in _compare(case, index, smoke):
            rows.append((f"{words}, normal and diffuse light: {name}", value, wanted))
    return rows


if __name__ == "__main__":
    for row in main("--smoke" in sys.argv):
        print(*row, sep=" | ")
