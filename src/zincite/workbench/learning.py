"""Acts of learning: fit a laboratory's results, keep the posterior, open it again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from zincite.learning.fitting import learn
from zincite.learning.posterior import LabPosterior, load_posterior, save_posterior
from zincite.learning.results_file import load_results

__all__ = ["learn_from_file", "open_laboratory"]


def learn_from_file(
    path: str | Path,
    *,
    target: str | Path | None = None,
    cards: str | Path | None = None,
    seed: int = 1,
    seconds: float = 20.0,
    progress: Callable[[str, int, int], None] | None = None,
) -> LabPosterior:
    """Return the posterior of a results file, written to `target` where given.

    Parameters
    ----------
    path : str or Path
        TOML file of results.
    target : str or Path, optional
        JSON file to write.
    cards : str or Path, optional
        The laboratory's own cards.
    seed, seconds, progress
        See `zincite.learning.fitting.learn`.
    """
    laboratory, observations = load_results(path, cards=cards)
    found = learn(
        observations, laboratory=laboratory, seed=seed, seconds=seconds, progress=progress
    )
    if target is not None:
        save_posterior(found, target)
    return found


def open_laboratory(path: str | Path) -> LabPosterior:
    """Return the posterior that a file holds."""
    return load_posterior(path)
