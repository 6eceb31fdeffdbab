"""What a formula really holds: blends taken apart, coated powders split into core and coating.

Two views of the same mass. `leaves` keeps pigment powders whole, because the optics and the
dispersion need the grade; `resolve` goes down to substances, which the ingredient list,
naturality and the law ask for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from zincite.errors import FormulaError, UnknownMaterialError
from zincite.formula.formula import Formula
from zincite.formula.library import card_id, library
from zincite.formula.material import CORE_INCI, Coating, Grade, Material
from zincite.sources import Evidence, Sourced

__all__ = ["Substance", "core_inci", "leaves", "leaves_of", "resolve", "substances_of"]

_MAX_DEPTH = 60
_CORE_ORIGIN = Sourced(
    1.0, "", Evidence.ASSUMED, "derived mineral, class rule of ISO 16128-1:2016 from memory"
)


@dataclass(frozen=True, slots=True)
class Substance:
    """One substance of the formula and where it comes from.

    Attributes
    ----------
    inci : str
        INCI name of the substance alone.
    percent : float
        Mass share of the formula. [%]
    natural_origin_index : Sourced or None
        ISO 16128 natural origin index, None where no card gives one. [-]
    material : str
        Id of the leaf card it comes with; a coating has the id of its powder.
    role : str
        "core" or "coating" of a pigment powder, else "whole".
    """

    inci: str
    percent: float
    natural_origin_index: Sourced | None
    material: str
    role: str = "whole"


def leaves(formula: Formula) -> tuple[tuple[Material, float], ...]:
    """Return materials and shares with blends taken apart but pigment powders kept whole.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    tuple of (Material, float)
        Each leaf material once, in order of first appearance, with its mass share. [%]

    Raises
    ------
    FormulaError
        If compositions run in a circle.
    UnknownMaterialError
        If a part has no card.
    """
    shares: dict[str, float] = {}
    cards: dict[str, Material] = {}
    for name, percent in formula.percent_by_material().items():
        for card, part in leaves_of(formula.materials[name], formula.materials):
            cards[card.id] = card
            shares[card.id] = shares.get(card.id, 0.0) + percent * part
    return tuple((cards[key], share) for key, share in shares.items())


def leaves_of(
    material: Material, materials: Mapping[str, Material]
) -> tuple[tuple[Material, float], ...]:
    """Return a material's leaf materials and their mass fractions of it.

    Parameters
    ----------
    material : Material
    materials : mapping of str to Material
        Cards in which parts are looked up, then the library.

    Returns
    -------
    tuple of (Material, float)
        Mass fractions sum to 1; equal leaves are merged. [-]

    Raises
    ------
    FormulaError
        If compositions run in a circle.
    UnknownMaterialError
        If a part has no card.
    """
    found: dict[str, tuple[Material, float]] = {}
    for card, fraction, _ in _walk(material, 1.0, None, materials, ()):
        before = found[card.id][1] if card.id in found else 0.0
        found[card.id] = (card, before + fraction)
    return tuple(found.values())


def _walk(
    material: Material,
    fraction: float,
    stated: Sourced | None,
    materials: Mapping[str, Material],
    above: tuple[str, ...],
) -> list[tuple[Material, float, Sourced | None]]:
    """Return leaves with fraction and the natural origin index stated by the outermost card.

    Shares are divided by their sum, so that the card's rounding (0.01 %) does not lose mass.
    """
    if material.id in above or len(above) > _MAX_DEPTH:
        circle = " -> ".join((*above[-4:], material.id))
        raise FormulaError(
            f"compositions run in a circle ({circle}), expected parts that end somewhere"
        )
    stated = stated or material.properties.get("natural_origin_index")
    if not material.composition:
        return [(material, fraction, stated)]
    total = sum(part.percent for part in material.composition)
    found = []
    for part in material.composition:
        card = _card(part.material, materials)
        if card is None:
            raise UnknownMaterialError(
                f"composition of {material.id!r} names {part.material!r}, expected a card's id"
            )
        share = fraction * part.percent / total
        found += _walk(card, share, stated, materials, (*above, material.id))
    return found


def _card(name: str, materials: Mapping[str, Material]) -> Material | None:
    return materials[name] if name in materials else library().get(name)


def resolve(formula: Formula) -> tuple[Substance, ...]:
    """Return the formula as substances, blends taken apart and coated powders split.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    tuple of Substance
        One per substance, leaf card and role, in order of first appearance; shares sum to the
        formula's sum. [%]

    Raises
    ------
    FormulaError, UnknownMaterialError
        As `leaves`.

    Notes
    -----
    A natural origin index that a card states, such as a supplier's certificate for a blend or a
    coated powder, holds for all its parts, the outermost card first. Else each part has its own:
    the coating that of its own card, the mineral core 1 (ISO 16128-1:2016, from memory).
    """
    found: dict[tuple[str, str, str], Substance] = {}
    for name, percent in formula.percent_by_material().items():
        for part in substances_of(formula.materials[name], formula.materials):
            share = part.percent * percent / 100.0
            key = (part.inci, part.material, part.role)
            if key in found:
                found[key] = _merge(found[key], share, part.natural_origin_index)
            else:
                found[key] = replace(part, percent=share)
    return tuple(found.values())


def _merge(known: Substance, percent: float, index: Sourced | None) -> Substance:
    """Add a share; indexes that differ (two suppliers' statements) are averaged by mass."""
    total = known.percent + percent
    mine = known.natural_origin_index
    if mine is None or index is None or mine == index or total == 0:
        return replace(known, percent=total, natural_origin_index=mine or index)
    mean = (mine.value * known.percent + index.value * percent) / total
    merged = Sourced(mean, "", Evidence.CALCULATED, "mass mean of the cards")
    return replace(known, percent=total, natural_origin_index=merged)


def substances_of(
    material: Material, materials: Mapping[str, Material] | None = None
) -> tuple[Substance, ...]:
    """Return a material's substances with their share of the material. [%]

    Parameters
    ----------
    material : Material
    materials : mapping of str to Material, optional
        Cards in which parts and coatings are looked up before the library.

    Returns
    -------
    tuple of Substance

    Raises
    ------
    FormulaError, UnknownMaterialError
        As `leaves_of`.

    Examples
    --------
    >>> from zincite.formula.library import library
    >>> [(s.inci, s.percent) for s in substances_of(library()["zinc-oxide-120-stearate"])]
    [('Zinc Oxide', 97.0), ('Stearic Acid', 3.0)]
    """
    cards = materials or {}
    found: list[Substance] = []
    for card, fraction, stated in _walk(material, 1.0, None, cards, ()):
        if card.grade is None:
            found.append(Substance(card.inci, 100 * fraction, stated, card.id))
        else:
            found += _split(card, card.grade, 100 * fraction, stated, cards)
    return tuple(found)


def _split(
    card: Material,
    grade: Grade,
    percent: float,
    stated: Sourced | None,
    cards: Mapping[str, Material],
) -> list[Substance]:
    coating_share = sum(layer.mass_percent for layer in grade.coatings) / 100.0
    core = Substance(
        core_inci(card), percent * (1.0 - coating_share), stated or _CORE_ORIGIN, card.id, "core"
    )
    layers = [
        Substance(
            layer.inci,
            percent * layer.mass_percent / 100.0,
            stated or _coating_origin(layer, cards),
            card.id,
            "coating",
        )
        for layer in grade.coatings
    ]
    return [core, *layers]


def _coating_origin(layer: Coating, cards: Mapping[str, Material]) -> Sourced | None:
    name = layer.inci.strip().lower()
    card = next((c for c in cards.values() if c.grade is None and c.inci.lower() == name), None)
    card = card or library().get(card_id(layer.inci))
    return None if card is None else card.properties.get("natural_origin_index")


def core_inci(material: Material) -> str:
    """Return the INCI name of a pigment powder's core.

    The card's own name decides between filter and colorant ("Titanium Dioxide" or "CI 77891").

    Raises
    ------
    FormulaError
        If the material is no pigment powder.
    """
    if material.grade is None:
        raise FormulaError(f"material {material.id!r} has no grade, expected a pigment powder")
    names = CORE_INCI[material.grade.core]
    parts = [part.strip().lower() for part in material.inci.split("(and)")]
    return next((name for name in names if name.lower() in parts), names[0])
