"""Weights of a batch as balances show them, without losing the sum."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from zincite.errors import OutOfRangeError

__all__ = ["MAX_BATCH_KG", "MIN_BATCH_KG", "batch_g_of", "on_balance", "round_weights"]

MIN_BATCH_KG, MAX_BATCH_KG = Decimal("0.1"), Decimal(1000)


def batch_g_of(batch_kg: str | float | Decimal, name: str = "batch size") -> Decimal:
    """Return a batch size as an exact decimal number of grams.

    Parameters
    ----------
    batch_kg : str, float or Decimal
        A float counts as the shortest decimal number that it prints. [kg]
    name : str
        What messages call it.

    Raises
    ------
    OutOfRangeError
        If it is no number of 0.1 to 1000 kg.

    Examples
    --------
    >>> batch_g_of(33.333)
    Decimal('33333')
    """
    wanted = f"expected a number from {MIN_BATCH_KG} to {MAX_BATCH_KG} kg"
    shown = str(batch_kg).strip()
    try:
        found = Decimal(shown)
    except InvalidOperation:
        hint = f" (write {shown.replace(',', '.')})" if "," in shown else ""
        raise OutOfRangeError(f"{name} is {shown[:40]!r}{hint}, {wanted}") from None
    if not (found.is_finite() and MIN_BATCH_KG <= found <= MAX_BATCH_KG):
        raise OutOfRangeError(f"{name} is {shown[:40]}, {wanted}")
    if found != round(found, 9):
        raise OutOfRangeError(f"{name} is {shown[:40]}, expected at most 9 decimals of a kg")
    grams = found * 1000
    return grams.quantize(Decimal(1)) if grams == grams.to_integral_value() else grams.normalize()


def round_weights(
    exact_g: Sequence[Fraction], resolution_g: Sequence[Decimal], *, batch_g: Decimal, last: int
) -> tuple[Decimal, ...]:
    """Return weights that sum to the batch exactly.

    Parameters
    ----------
    exact_g : sequence of Fraction
        Exact weights, >= 0, with the batch as their sum. [g]
    resolution_g : sequence of Decimal
        Step of the balance that each is weighed on, > 0. [g]
    batch_g : Decimal
        [g]
    last : int
        Which one takes what rounding leaves; it must be on the coarsest balance and, where there
        are several, weigh at least half a step.

    Returns
    -------
    tuple of Decimal
        Each less than one step from its exact weight; all but the last are multiples of their
        step, and so is the last where the batch and all other weights are multiples of it. [g]

    Notes
    -----
    Largest remainder (Hamilton's method), balance by balance from the finest to the coarsest;
    what a balance cannot share out is carried to the next coarser one.
    """
    weights = [Decimal(0)] * len(exact_g)
    left, carry = batch_g, Fraction(0)
    steps = sorted({r for i, r in enumerate(resolution_g) if i != last})
    for step in steps:
        group = [i for i, r in enumerate(resolution_g) if r == step and i != last]
        unit = Fraction(step)
        wanted = sum((exact_g[i] for i in group), Fraction(0)) + carry
        count = round(wanted / unit)
        if step == steps[-1]:  # the last must not fall below nothing
            count = min(count, int(left // step))
        shared = _largest_remainder([exact_g[i] / unit for i in group], count)
        for i, number in zip(group, shared, strict=True):
            weights[i] = number * step
            left -= weights[i]
        carry = wanted - count * unit
    weights[last] = left
    return tuple(weights)


def _largest_remainder(shares: Sequence[Fraction], total: int) -> list[int]:
    """Return whole numbers of the total, those with the largest remainders rounded up."""
    counts = [int(share) for share in shares]
    by_remainder = sorted(range(len(shares)), key=lambda i: (counts[i] - shares[i], i))
    for i in by_remainder[: total - sum(counts)]:
        counts[i] += 1
    return counts


def on_balance(mass_g: Decimal, resolution_g: Decimal) -> Decimal:
    """Return what a balance shows of a mass: the nearest multiple of its step. [g]"""
    return round(mass_g / resolution_g) * resolution_g
