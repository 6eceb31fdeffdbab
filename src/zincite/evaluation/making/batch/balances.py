"""Which balance an ingredient is weighed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from functools import cache

from zincite.data.tables import read_rows
from zincite.errors import OutOfRangeError

__all__ = ["FINE_ENOUGH", "Balance", "balances", "choose_balances", "one_balance"]

FINE_ENOUGH = Fraction(1, 2)
"""Largest step of a balance as a share of the weight's tolerance; common practice, no source."""

_FIXED_RANGE = (Decimal("0.0001"), Decimal(1000))


@dataclass(frozen=True, slots=True)
class Balance:
    """A balance.

    Attributes
    ----------
    resolution_g : Decimal
        Smallest step it shows. [g]
    capacity_g : Decimal or None
        Most it holds, None where nobody said. [g]
    """

    resolution_g: Decimal
    capacity_g: Decimal | None = None

    def holds(self, mass_g: Fraction) -> bool:
        """Return whether a weight is within its capacity."""
        return self.capacity_g is None or mass_g <= self.capacity_g

    def is_fine_enough(self, mass_g: Fraction, tolerance_percent: Fraction) -> bool:
        """Return whether one step is at most `FINE_ENOUGH` of a weight's tolerance."""
        return self.resolution_g <= FINE_ENOUGH * mass_g * tolerance_percent / 100


@cache
def balances() -> tuple[Balance, ...]:
    """Return the usual balances, finest first; common practice, no source."""
    rows = read_rows("making/balances.csv")
    return tuple(Balance(Decimal(r["resolution_g"]), Decimal(r["capacity_g"])) for r in rows)


def one_balance(resolution_g: str | float | Decimal, name: str = "resolution") -> Balance:
    """Return a balance of a resolution, of which no capacity is known.

    Raises
    ------
    OutOfRangeError
        If balances do not show such a step.
    """
    shown = str(resolution_g).strip()
    try:
        found = Decimal(shown)
    except InvalidOperation:
        found = Decimal("nan")
    low, high = _FIXED_RANGE
    usual = found.is_finite() and found.normalize().as_tuple().digits in ((1,), (2,), (5,))
    if not (usual and low <= found <= high):
        raise OutOfRangeError(
            f"{name} is {shown[:40]!r}, expected the step of a balance in g: 1, 2 or 5 times a "
            f"power of ten, such as 0.01, from {low} to {high}"
        )
    return Balance(found)


def choose_balances(
    exact_g: Sequence[Fraction], tolerance_percent: Sequence[Fraction]
) -> tuple[Balance, ...]:
    """Return a usual balance for each weight, as few different ones as possible.

    Parameters
    ----------
    exact_g : sequence of Fraction
        [g]
    tolerance_percent : sequence of Fraction
        Of each weight. [%]

    Notes
    -----
    The finest balance that holds the heaviest ingredient weighs them all, except those too light
    for it: they take the coarsest balance that is fine enough.
    """
    usual = balances()
    heaviest = max(exact_g)
    main = next(balance for balance in usual if balance.holds(heaviest))
    finer = [balance for balance in usual if balance.resolution_g < main.resolution_g]
    return tuple(
        next(
            (b for b in (main, *reversed(finer)) if b.is_fine_enough(mass, t) and b.holds(mass)),
            finer[0] if finer else main,
        )
        for mass, t in zip(exact_g, tolerance_percent, strict=True)
    )
