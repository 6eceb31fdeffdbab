"""Changed formulas: a change is a new formula, the old one stays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from zincite.errors import FormulaError
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.material import Material

__all__ = ["balance_material", "with_amounts"]


def balance_material(formula: Formula) -> str:
    """Return the id that takes up a change: the "rest" ingredient, else water, else the largest."""
    for ingredient in formula.ingredients:
        if ingredient.is_rest:
            return ingredient.material
    shares = formula.percent_by_material()
    return "water" if shares.get("water", 0) > 0 else max(shares, key=shares.__getitem__)


def with_amounts(
    formula: Formula,
    amounts: Mapping[str, float],
    *,
    cards: Mapping[str, Material] | None = None,
    phase: str = "pigment",
) -> Formula:
    """Return the formula with other amounts, balanced by `balance_material`.

    Parameters
    ----------
    formula : Formula
    amounts : mapping of str to float
        New share of each material, in all phases together; 0 takes it out. [%]
    cards : mapping of str to Material, optional
        Cards of materials that the formula does not hold yet.
    phase : str
        Kind of the phase in which new materials go; the first phase if there is none.

    Returns
    -------
    Formula

    Raises
    ------
    FormulaError
        If the balance would fall below 0.
    """
    balance = balance_material(formula)
    shares = formula.percent_by_material()
    change = sum(value - shares.get(name, 0.0) for name, value in amounts.items())
    rest = shares[balance] - change
    if rest < 0:
        raise FormulaError(
            f"formula {formula.code!r}: the change needs {change:g} %, "
            f"but {balance!r} holds only {shares[balance]:g} %"
        )
    targets = {**amounts, balance: rest}
    phases = [_scaled(part, shares, targets) for part in formula.phases]
    new = [Ingredient(n, v) for n, v in amounts.items() if n not in shares and v > 0]
    if new:
        kinds = [part.kind for part in phases]
        place = kinds.index(phase) if phase in kinds else 0
        phases[place] = replace(phases[place], ingredients=(*phases[place].ingredients, *new))
    return replace(
        formula, phases=tuple(phases), materials={**formula.materials, **dict(cards or {})}
    )


def _scaled(part: Phase, shares: Mapping[str, float], targets: Mapping[str, float]) -> Phase:
    kept = tuple(
        replace(i, percent=i.percent * targets[i.material] / shares[i.material])
        if i.material in targets and shares[i.material] > 0
        else i
        for i in part.ingredients
    )
    return replace(part, ingredients=tuple(i for i in kept if i.percent > 0 or i.is_rest))
