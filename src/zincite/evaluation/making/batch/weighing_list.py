"""The weighing list of a batch: what, how much, on which balance, within which limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from zincite.errors import OutOfRangeError
from zincite.evaluation.density import is_powder
from zincite.evaluation.making.batch.balances import Balance, choose_balances, one_balance
from zincite.evaluation.making.batch.weighing import batch_g_of, on_balance, round_weights
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.substances import leaves_of

__all__ = [
    "TOLERANCE_PERCENT",
    "UV_FILTER_TOLERANCE_PERCENT",
    "WeighedItem",
    "WeighingList",
    "weighing_list",
]

TOLERANCE_PERCENT = 1.0
"""Tolerance of a weight; common practice, no source. [%]"""
UV_FILTER_TOLERANCE_PERCENT = 0.5
"""The same for UV filters, which carry the label; common practice, no source. [%]"""


@dataclass(frozen=True, slots=True)
class WeighedItem:
    """One line of the weighing list.

    Attributes
    ----------
    number : int
        Counted from 1 in order of addition.
    phase, material, inci : str
    percent : float
        Share of the formula. [%]
    mass_g : Decimal
        Weight to weigh. [g]
    low_g, high_g : Decimal
        Smallest and largest weight within tolerance, as the balance shows them. [g]
    tolerance_percent : float
        [%]
    balance : Balance
    reads_g : Decimal
        What the balance shows of `mass_g`; differs only where the line takes the remainder. [g]
    is_uv_filter, is_dusty : bool
        Whether it holds a UV filter; whether it is weighed as a powder whose dust may be inhaled.
    """

    number: int
    phase: str
    material: str
    inci: str
    percent: float
    mass_g: Decimal
    low_g: Decimal
    high_g: Decimal
    tolerance_percent: float
    balance: Balance
    reads_g: Decimal
    is_uv_filter: bool
    is_dusty: bool

    @property
    def is_fine_enough(self) -> bool:
        """Whether one step of the balance is small enough against the tolerance."""
        tolerance = Fraction(repr(self.tolerance_percent))
        return self.balance.is_fine_enough(Fraction(self.mass_g), tolerance)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "item": self.number,
            "phase": self.phase,
            "material": self.material,
            "inci": self.inci,
            "percent": self.percent,
            "mass_g": float(self.mass_g),
            "low_g": float(self.low_g),
            "high_g": float(self.high_g),
            "tolerance_percent": self.tolerance_percent,
            "balance_g": float(self.balance.resolution_g),
            "reads_g": float(self.reads_g),
            "uv_filter": self.is_uv_filter,
            "dust": self.is_dusty,
        }


@dataclass(frozen=True, slots=True)
class WeighingList:
    """All weights of a batch.

    Attributes
    ----------
    batch_g : Decimal
        Batch, which is the sum of the weights. [g]
    items : tuple of WeighedItem
        In order of addition.
    remainder : WeighedItem
        The line that takes what rounding leaves.
    warnings : tuple of str
    """

    batch_g: Decimal
    items: tuple[WeighedItem, ...]
    remainder: WeighedItem
    warnings: tuple[str, ...]

    def phase_g(self, name: str) -> Decimal:
        """Return the weight of a phase. [g]"""
        return sum((item.mass_g for item in self.items if item.phase == name), Decimal(0))


def weighing_list(
    formula: Formula,
    batch_kg: str | float | Decimal,
    *,
    phases: Sequence[Phase] | None = None,
    balance_g: str | float | Decimal | None = None,
    tolerance_percent: float = TOLERANCE_PERCENT,
    uv_filter_tolerance_percent: float = UV_FILTER_TOLERANCE_PERCENT,
) -> WeighingList:
    """Return the weights of a batch; they sum to it exactly.

    Parameters
    ----------
    formula : Formula
    batch_kg : str, float or Decimal
        0.1 to 1000. [kg]
    phases : sequence of Phase, optional
        All phases of the formula in order of addition; as in the file when left out.
    balance_g : str, float or Decimal, optional
        Step of the one balance that weighs everything; usual balances when left out. [g]
    tolerance_percent, uv_filter_tolerance_percent : float
        Tolerance of a weight, of a UV filter's weight. [%]

    Returns
    -------
    WeighingList

    Raises
    ------
    OutOfRangeError
        If batch, balance or tolerance is out of range, or an ingredient rounds to nothing.

    Notes
    -----
    Percentages count as shares of their sum. What rounding leaves goes to the ingredient that the
    formula calls the rest where it is on the coarsest balance, else to the heaviest one.
    """
    batch = batch_g_of(batch_kg)
    lines = [
        (phase, ingredient)
        for phase in phases or formula.phases
        for ingredient in phase.ingredients
        if ingredient.percent > 0
    ]
    shares = [Fraction(repr(ingredient.percent)) for _, ingredient in lines]
    exact = [share / sum(shares) * Fraction(batch) for share in shares]
    filters = [_is_uv_filter(formula, ingredient) for _, ingredient in lines]
    tolerances = [uv_filter_tolerance_percent if f else tolerance_percent for f in filters]
    for found in tolerances:
        _check_tolerance(found)
    limits = [Fraction(repr(float(t))) for t in tolerances]
    chosen = (
        choose_balances(exact, limits)
        if balance_g is None
        else (one_balance(balance_g, "balance"),) * len(lines)
    )
    last = _last([ingredient for _, ingredient in lines], exact, chosen)
    masses = round_weights(exact, [b.resolution_g for b in chosen], batch_g=batch, last=last)
    items = tuple(
        _item(formula, number, lines[number - 1], (mass, tolerance, balance, uv))
        for number, (mass, tolerance, balance, uv) in enumerate(
            zip(masses, tolerances, chosen, filters, strict=True), start=1
        )
    )
    return WeighingList(batch, items, items[last], _warnings(items, items[last], shares))


def _check_tolerance(percent: float) -> None:
    if not (math.isfinite(percent) and 0.01 <= percent <= 10):
        raise OutOfRangeError(f"tolerance is {percent:g} %, expected 0.01 to 10 %")


def _last(
    ingredients: Sequence[Ingredient], exact: Sequence[Fraction], chosen: Sequence[Balance]
) -> int:
    coarsest = max(balance.resolution_g for balance in chosen)
    on_it = [i for i, balance in enumerate(chosen) if balance.resolution_g == coarsest]
    return max(on_it, key=lambda i: (ingredients[i].is_rest, exact[i]))


def _item(
    formula: Formula,
    number: int,
    line: tuple[Phase, Ingredient],
    weighed: tuple[Decimal, float, Balance, bool],
) -> WeighedItem:
    phase, ingredient = line
    mass, tolerance, balance, uv = weighed
    if mass <= 0:
        raise OutOfRangeError(
            f"{ingredient.material} rounds to nothing on a balance of {balance.resolution_g} g, "
            "expected a finer balance or a larger batch"
        )
    card = formula.materials[ingredient.material]
    step = balance.resolution_g
    reads = on_balance(mass, step)
    steps = max(int(mass * Decimal(repr(float(tolerance))) / 100 / step), 1)
    return WeighedItem(
        number,
        phase.name,
        card.id,
        card.inci,
        float(Decimal(ingredient.percent).quantize(Decimal("1e-9"), ROUND_HALF_EVEN)),
        reads if reads == mass else mass,  # with the decimals that the balance shows
        reads - steps * step,
        reads + steps * step,
        float(tolerance),
        balance,
        reads,
        uv,
        is_powder(card),
    )


def _is_uv_filter(formula: Formula, ingredient: Ingredient) -> bool:
    card = formula.materials[ingredient.material]
    parts = [card, *(leaf for leaf, _ in leaves_of(card, formula.materials))]
    return any(f.startswith("UV filter") for part in parts for f in part.functions)


def _warnings(
    items: Sequence[WeighedItem], remainder: WeighedItem, shares: Sequence[Fraction]
) -> tuple[str, ...]:
    found = []
    total = float(sum(shares))
    if abs(total - 100) > 1e-6:
        found.append(f"Percentages sum to {total:.6g} %: the weights are their shares of it.")
    for item in items:
        if not item.is_fine_enough:
            step = item.balance.resolution_g
            found.append(
                f"For {item.material} one step of the balance ({step} g) is "
                f"{float(100 * step / item.mass_g):.2g} % of {item.mass_g} g and the tolerance is "
                f"{item.tolerance_percent:g} %; a finer balance is needed."
            )
    if remainder.reads_g != remainder.mass_g:
        found.append(
            f"Rounding leaves its remainder to {remainder.material}: {remainder.mass_g} g, of "
            f"which the balance shows {remainder.reads_g} g."
        )
    return tuple(found)
