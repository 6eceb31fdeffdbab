"""Raw-material cost of a formula, exact where all prices are known and an interval otherwise."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.evaluation.estimate import Estimate, Exact
from zincite.formula.defaults import assumed_price
from zincite.formula.formula import Formula
from zincite.sources import Sourced

__all__ = ["Cost", "CostLine", "cost"]

_CARD_CURRENCY = "EUR"
"""Currency of the prices on cards and of the price classes."""


@dataclass(frozen=True, slots=True)
class CostLine:
    """One material as weighed.

    Attributes
    ----------
    material : str
        Id of the card.
    percent : float
        Mass share of the formula. [%]
    price_per_kg : float or None
        In the formula's currency; None where there is none.
    contribution_per_kg : float or None
        Its part of the cost of 1 kg of product.
    evidence, source : str
        How the price is known.
    """

    material: str
    percent: float
    price_per_kg: float | None
    contribution_per_kg: float | None
    evidence: str
    source: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class Cost:
    """Raw-material cost.

    Attributes
    ----------
    per_kg : Exact or Estimate
        Exact where every price is known; an `Estimate` with `assumed` set where a price class
        stands in; an `Exact` without value where a price is missing.
    currency : str
        Of all figures.
    lines : tuple of CostLine
        Largest contribution first.
    missing : tuple of str
        Materials without any price.
    known_part_per_kg : float
        Sum of the lines that have a price.
    """

    per_kg: Exact | Estimate
    currency: str
    lines: tuple[CostLine, ...]
    missing: tuple[str, ...]
    known_part_per_kg: float

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "cost_per_kg": self.per_kg.to_dict(),
            "currency": self.currency,
            "lines": [line.to_dict() for line in self.lines],
            "missing": list(self.missing),
            "known_part_per_kg": self.known_part_per_kg,
        }


def cost(formula: Formula) -> Cost:
    """Return the raw-material cost of 1 kg of product.

    Parameters
    ----------
    formula : Formula
        Its `prices_per_kg` come first, then `price_per_kg` of the card, then the price class.

    Returns
    -------
    Cost

    Notes
    -----
    Materials are priced as weighed, so a dispersion by its own price. Energy, losses, packaging
    and labour are not in it. Card and class prices are in EUR; for a formula in another currency
    they cannot be used and the material is listed as missing.

    The interval takes the ranges of the prices as 90 % intervals, upper and lower side apart.
    Materials of one price class share its error, so their deviations add; classes are independent
    of each other, so theirs add in quadrature. Adding all would be too wide, adding none together
    too narrow; both choices are ours.
    """
    lines: list[CostLine] = []
    priced: list[tuple[float, Sourced]] = []
    for name, percent in formula.percent_by_material().items():
        price = _price(formula, name)
        share = percent / 100.0
        if price is not None:
            priced.append((share, price))
        lines.append(
            CostLine(
                name,
                percent,
                None if price is None else price.value,
                None if price is None else share * price.value,
                "" if price is None else price.evidence.value,
                "" if price is None else price.source,
            )
        )
    lines.sort(key=lambda line: -(line.contribution_per_kg or 0.0))
    missing = tuple(line.material for line in lines if line.price_per_kg is None)
    unit = f"{formula.currency}/kg"
    known = math.fsum(share * price.value for share, price in priced)
    return Cost(
        Exact(None, unit, missing) if missing else _total(priced, known, unit),
        formula.currency,
        tuple(lines),
        missing,
        known,
    )


def _price(formula: Formula, name: str) -> Sourced | None:
    """Return a price in the formula's currency, None where there is none."""
    own = formula.prices_per_kg.get(name)
    if own is not None:
        return own
    if formula.currency != _CARD_CURRENCY:
        return None
    card = formula.materials[name]
    return card.properties.get("price_per_kg") or assumed_price(card)


def _total(priced: list[tuple[float, Sourced]], total: float, unit: str) -> Exact | Estimate:
    ranged = any(price.low is not None or price.high is not None for _, price in priced)
    assumed = any(price.is_assumed for _, price in priced)
    if not ranged and not assumed:
        return Exact(total, unit)
    below = _width([(share, price, price.value - _low(price)) for share, price in priced])
    above = _width([(share, price, _high(price) - price.value) for share, price in priced])
    return Estimate(total, max(total - below, 0.0), total + above, unit, assumed)


def _low(price: Sourced) -> float:
    return price.value if price.low is None else price.low


def _high(price: Sourced) -> float:
    return price.value if price.high is None else price.high


def _width(deviations: list[tuple[float, Sourced, float]]) -> float:
    """Return the deviation of the sum: linear within one price class, in quadrature between.

    Assumed prices that are equal in value, range and source are one class.
    """
    by_class: dict[object, float] = {}
    for index, (share, price, deviation) in enumerate(deviations):
        key: object = price if price.is_assumed else index
        by_class[key] = by_class.get(key, 0.0) + share * max(deviation, 0.0)
    return math.sqrt(math.fsum(width**2 for width in by_class.values()))
