"""Small formulas for the model's own tests; invented, of no product."""

from __future__ import annotations

from dataclasses import replace

from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library
from zincite.formula.material import Coating, Grade, Material
from zincite.sources import Sourced

OILS = (
    ("caprylic-capric-triglyceride", 14.0),
    ("coco-caprylate-caprate", 10.0),
    ("polyglyceryl-3-diisostearate", 4.0),
)


def grade(core: str, size_nm: float, *, aggregated: float | None = None, gsd: float = 1.5) -> Grade:
    """Return a thinly coated grade."""
    made = Grade(core, size_nm, gsd, coatings=(Coating("Stearic Acid", 3.0),))
    if aggregated is None:
        return made
    return replace(made, aggregate_fraction=Sourced(aggregated))


def formula(*pigments: tuple[Grade | str, float], water: bool = True) -> Formula:
    """Return a water-in-oil formula with pigments given as grade or card id and percent."""
    cards: dict[str, Material] = {}
    parts: list[Ingredient] = []
    for number, (pigment, percent) in enumerate(pigments):
        if isinstance(pigment, str):
            card = library()[pigment]
        else:
            card = Material(f"pigment-{number}", "Pigment", phase="pigment", grade=pigment)
        cards[card.id] = card
        parts.append(Ingredient(card.id, percent))
    for name, percent in OILS:
        cards[name] = library()[name]
        parts.append(Ingredient(name, percent))
    balance = "water" if water else "squalane"
    cards[balance] = library()[balance]
    parts.append(Ingredient(balance, 100 - sum(p.percent for p in parts), is_rest=True))
    kind = "water-in-oil" if water else "anhydrous"
    return Formula("T", "test", kind, (Phase("A", "oil", tuple(parts)),), cards)
