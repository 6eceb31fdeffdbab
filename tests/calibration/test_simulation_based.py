"""Simulation-based calibration (Talts S. et al. 2018, arXiv 1804.06788): parameters drawn from the
prior, results made from them, and the 90 % intervals of the fit must hold them 86-94 % of the time.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor

import numpy as np

from tests.calibration.labs import blank_model, measured
from zincite.learning.model import GLOBAL_NAMES
from zincite.learning.sampling import sample

LABS = 200
STEPS = 800


def _ranks(seeds: range) -> np.ndarray:
    """Whether each parameter's 90 % interval holds its true value, per laboratory."""
    model, _ = blank_model()
    held = []
    for seed in seeds:
        rng = np.random.default_rng(seed)
        z = rng.standard_normal(model.size)
        chain = sample(measured(model, z, rng), seed=seed, steps=STEPS, seconds=60)
        low, high = np.quantile(chain.draws, [0.05, 0.95], axis=0)
        truth = model.parameters(z[None])
        drawn = model.parameters(chain.draws[:: max(len(chain.draws) // 2000, 1)])
        spread = model.expected(drawn)
        bounds = np.quantile(spread, [0.05, 0.95], axis=0)
        expected = model.expected(truth)[0]
        held.append(
            np.concatenate(
                [(low <= z) & (z <= high), (bounds[0] <= expected) & (expected <= bounds[1])]
            )
        )
    return np.array(held)


def test_ninety_percent_intervals_cover_eighty_six_to_ninety_four() -> None:
    with ProcessPoolExecutor(2) as pool:
        parts = list(pool.map(_ranks, (range(LABS // 2), range(LABS // 2, LABS))))
    held = np.concatenate(parts)
    model, _ = blank_model()
    parameters, expectations = held[:, : model.size], held[:, model.size :]
    assert held.shape[0] >= 200
    assert 0.86 <= parameters.mean() <= 0.94
    assert 0.86 <= expectations.mean() <= 0.94
    split = len(GLOBAL_NAMES)
    assert 0.86 <= parameters[:, :split].mean() <= 0.94
    assert 0.86 <= parameters[:, split:].mean() <= 0.94
    for name, share in zip((*GLOBAL_NAMES, *model.grades), parameters.mean(axis=0), strict=True):
        # one parameter alone: three standard errors of a share of 0.9 in 200 are 0.064
        assert abs(share - 0.90) < 0.064, f"{name}: {share:.3f}"
