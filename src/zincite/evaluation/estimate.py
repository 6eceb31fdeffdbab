"""Result values: an estimate with its 90 % interval, or an exact number."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["INTERVAL", "Estimate", "Exact", "estimate_from_draws"]

INTERVAL = 0.90
"""Probability that every printed interval covers."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A predicted quantity: median and 90 % interval.

    Attributes
    ----------
    median, low, high : float
        In `unit`.
    unit : str
        Unit as printed, "" for a pure number.
    assumed : bool
        Whether an assumed value dominates it, so that it is shown as such.
    """

    median: float
    low: float
    high: float
    unit: str = ""
    assumed: bool = False

    def to_dict(self) -> dict[str, float]:
        """Return what `--json` prints."""
        return {"median": self.median, "low": self.low, "high": self.high}

    def scaled(self, factor: float) -> Estimate:
        """Return the estimate times a positive factor."""
        return Estimate(
            self.median * factor, self.low * factor, self.high * factor, self.unit, self.assumed
        )


@dataclass(frozen=True, slots=True)
class Exact:
    """A number that follows exactly from the formula and the cards.

    Attributes
    ----------
    value : float or None
        In `unit`; None where data are missing, `missing` then names them.
    """

    value: float | None
    unit: str = ""
    missing: tuple[str, ...] = field(default=())

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = {"value": self.value}
        if self.missing:
            shown["missing"] = list(self.missing)
        return shown


def estimate_from_draws(
    draws: ArrayLike, *, unit: str = "", centre: float | None = None, assumed: bool = False
) -> Estimate:
    """Return median and 90 % interval of posterior draws.

    Parameters
    ----------
    draws : array_like, shape (n_draws,)
        Posterior draws of the quantity.
    unit : str
        Unit as printed.
    centre : float, optional
        Use this as the median in place of the draws' own.

    Returns
    -------
    Estimate
    """
    values = np.asarray(draws, dtype=float)
    low, median, high = np.quantile(values, [(1 - INTERVAL) / 2, 0.5, (1 + INTERVAL) / 2])
    middle = float(median) if centre is None else float(centre)
    return Estimate(middle, min(float(low), middle), max(float(high), middle), unit, assumed)
