"""A hundred grams of a mill base, and what it asks of the formula's oils."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.evaluation.density import is_powder
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.dispersion.milled import MillBase
from zincite.evaluation.making.dispersion.powders import Part, is_dispersant
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

__all__ = ["OilNeed", "RecipeLine", "dispersant_of_pigment", "oil_need", "recipe_of"]

_STEP_G = 0.01
_MOST_DISPERSANT = 40.0
_TO_CHOOSE = "dispersant to be chosen"


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """One weighing of 100 g mill base.

    Attributes
    ----------
    material : str
        Id of the card.
    role : str
        "oil", "dispersant" or "powder".
    mass_g : float
        To 0.01 g; all masses add up to 100 g. [g]
    """

    material: str
    role: str
    mass_g: float


@dataclass(frozen=True, slots=True)
class OilNeed:
    """What a mill base asks of a formula.

    Attributes
    ----------
    mill_base_percent : float
        Mill base, of the product. [%]
    needed_percent : float
        Oil in it, of the product. [%]
    held_percent : float
        Oil of the phases that are milled, of the product; 0 where they hold none. [%]
    all_percent : float
        Oil of the whole formula, of the product. [%]
    """

    mill_base_percent: float
    needed_percent: float
    held_percent: float
    all_percent: float


def dispersant_of_pigment(
    mill: MillBase, demand: Estimate, given_percent: float | None
) -> tuple[float, str]:
    """Return the dispersant in per cent of the powder, and where the number comes from.

    Raises
    ------
    OutOfRangeError
        If the given share is not 0 to 40 %.
    """
    if given_percent is not None:
        if not 0 <= given_percent <= _MOST_DISPERSANT:
            raise OutOfRangeError(
                f"dispersant is {given_percent:g} % of the pigment, expected 0 to "
                f"{_MOST_DISPERSANT:g} %"
            )
        return given_percent, "as asked"
    if mill.dispersant_percent > 0:
        return 100 * mill.dispersant_percent / mill.powder_percent, "as in the formula"
    return demand.median, "for a full layer, the formula has none there"


def recipe_of(mill: MillBase, solids_percent: float, of_pigment_percent: float) -> tuple[
    RecipeLine, ...
]:  # fmt: skip
    """Return 100 g of a mill base in the order of addition: oil, dispersant, powder.

    Parameters
    ----------
    mill : MillBase
        Its parts keep their proportions.
    solids_percent : float
        Powder by mass. [%]
    of_pigment_percent : float
        Dispersant per powder. [%]

    Raises
    ------
    OutOfRangeError
        If powder and dispersant leave no oil.
    """
    dispersant = solids_percent * of_pigment_percent / 100
    oil = 100 - solids_percent - dispersant
    if oil <= 0:
        raise OutOfRangeError(
            f"{solids_percent:g} % powder with {of_pigment_percent:.3g} % of it as dispersant "
            f"leave {oil:.1f} % for the oil, expected some"
        )
    shares = [(m.id, "oil", s) for m, s in _to(oil, mill.oils)]
    shares += [(m.id, "dispersant", s) for m, s in _to(dispersant, mill.dispersants)]
    if not mill.dispersants:
        shares.append((_TO_CHOOSE, "dispersant", dispersant))
    powders = tuple((p.material, p.percent) for p in mill.powders)
    shares += [(m.id, "powder", s) for m, s in _to(solids_percent, powders)]
    lines = [RecipeLine(name, role, round(g, 2)) for name, role, g in shares if g >= _STEP_G / 2]
    largest = max(range(len(lines)), key=lambda k: lines[k].mass_g)
    rest = 100 - math.fsum(x.mass_g for k, x in enumerate(lines) if k != largest)
    kept = lines[largest]
    lines[largest] = RecipeLine(kept.material, kept.role, round(rest, 2))
    return tuple(lines)


def _to(total: float, parts: tuple[Part, ...]) -> list[Part]:
    """Return parts in their proportions with another sum."""
    whole = math.fsum(share for _, share in parts)
    return [(m, total * share / whole) for m, share in parts]


def oil_need(
    formula: Formula, mill: MillBase, solids_percent: float, recipe: tuple[RecipeLine, ...]
) -> OilNeed:
    """Return what a mill base asks of the formula's oils."""
    mill_base = 100 * mill.powder_percent / solids_percent
    oil = math.fsum(line.mass_g for line in recipe if line.role == "oil")
    phase = "water" if mill.is_aqueous else "oil"
    everything = math.fsum(
        share
        for m, share in leaves(formula)
        if m.phase == phase and not (is_powder(m) or is_dispersant(m))
    )
    held = 0.0 if mill.dry else math.fsum(share for _, share in mill.oils)
    return OilNeed(mill_base, mill_base * oil / 100, held, everything)
