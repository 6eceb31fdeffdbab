"""Reading of phases and ingredients, and finding of the cards they use."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from zincite.errors import FormulaError, UnknownMaterialError
from zincite.formula.documents import Document, Place
from zincite.formula.formula import PHASE_KINDS, SUM_TOLERANCE_PERCENT, Ingredient, Phase
from zincite.formula.library import library, suggest
from zincite.formula.material import Material
from zincite.formula.values import check_keys, number, optional_number, optional_text, tables, text

__all__ = ["MAX_INGREDIENTS", "KnownCards", "read_phases", "used_cards"]

MAX_INGREDIENTS = 500
"""Most ingredients of one formula; real ones have ten to fifty."""

_PHASE_KEYS = ("name", "kind", "temperature_C", "ingredient")
_INGREDIENT_KEYS = ("material", "percent")


@dataclass
class KnownCards:
    """Cards a file may use: its own, the user's folder, the library, in this order."""

    own: Mapping[str, Material]
    folder: Mapping[str, Material] = field(default_factory=dict)

    def find(self, key: str) -> Material | None:
        """Return the card of an id, or None."""
        for cards in (self.own, self.folder, library()):
            if key in cards:
                return cards[key]
        return None

    @property
    def replaced(self) -> tuple[str, ...]:
        """Ids of the library that the user's cards replace."""
        return tuple(key for key in {**self.folder, **self.own} if key in library())

    def unknown(self, key: str) -> str:
        """Return the message on an id that no card has, with the nearest known ones."""
        close = suggest(key, {**self.folder, **self.own})
        hint = (
            f"expected a known one such as {', '.join(close)}"
            if close
            else "expected the id of a library card or of a [[material]] in the file"
        )
        return f"no material has the id {key[:80]!r}, {hint}"


def read_phases(document: Document, known: KnownCards) -> tuple[Phase, ...]:
    """Return the phases of a formula file, "rest" worked out.

    Raises
    ------
    InputError
        If a phase or an ingredient is not as the format says; `FormulaError` where shares do not
        sum to 100 %, `UnknownMaterialError` where an id has no card.
    """
    place = document.top()
    entries = tables(document.data.get("phase", []), "phase", place)
    if not entries:
        place.fail("has no [[phase]], expected at least one with ingredients", kind=FormulaError)
    parts = [tables(e.get("ingredient", []), "phase.ingredient", place) for e in entries]
    count = sum(len(p) for p in parts)
    if count > MAX_INGREDIENTS:
        place.fail(f"has {count} ingredients, expected at most {MAX_INGREDIENTS}")
    shares = _shares(parts, place)
    phases, first = [], 0
    for index, (entry, ingredients) in enumerate(zip(entries, parts, strict=True)):
        name = entry.get("name")
        label = f"phase {name!r}" if isinstance(name, str) else f"phase number {index + 1}"
        spot = place.inside(label).at("phase", index)
        check_keys(entry, _PHASE_KEYS, spot)
        if not ingredients:
            spot.fail(
                "has no ingredients, expected at least one [[phase.ingredient]]", kind=FormulaError
            )
        kind = text(entry["kind"], "kind", spot) if "kind" in entry else ""
        if kind not in PHASE_KINDS:
            found = f"kind is {kind!r}" if kind else "has no kind"
            spot.fail(f"{found}, expected one of {', '.join(PHASE_KINDS)}", key="kind")
        read = [
            _ingredient(item, spot, first + n, shares[first + n], known)
            for n, item in enumerate(ingredients)
        ]
        first += len(ingredients)
        phases.append(
            Phase(
                name=optional_text(entry, "name", spot, str(index + 1)),
                kind=kind,
                ingredients=tuple(read),
                temperature_C=optional_number(entry, "temperature_C", spot, -20.0, 150.0),
            )
        )
    return tuple(phases)


def _ingredient_place(place: Place, item: dict[str, Any], index: int) -> Place:
    name = item.get("material")
    label = f"ingredient {name[:80]!r}" if isinstance(name, str) else f"ingredient {index + 1}"
    return place.inside(label).at("phase.ingredient", index)


def _shares(parts: list[list[dict[str, Any]]], place: Place) -> list[float]:
    """Return each ingredient's share, "rest" worked out."""
    items = [item for part in parts for item in part]
    shares: list[float] = []
    rests: list[int] = []
    for index, item in enumerate(items):
        spot = _ingredient_place(place, item, index)
        if "percent" not in item:
            spot.fail('has no percent, expected a number or "rest"')
        value = item["percent"]
        if isinstance(value, str) and value.strip().lower() == "rest":
            rests.append(index)
            shares.append(0.0)
        else:
            shares.append(number(value, "percent", spot, 0.0, 100.0))
    total = math.fsum(shares)
    if len(rests) > 1:
        names = " and ".join(repr(items[i].get("material")) for i in rests[:2])
        place.fail(
            f'{len(rests)} ingredients say percent = "rest" (such as {names}), expected one',
            kind=FormulaError,
        )
    if rests:
        if total > 100 + 1e-9:
            _ingredient_place(place, items[rests[0]], rests[0]).fail(
                f"the other ingredients already sum to {total:.6g} %, "
                "expected at most 100 % so that a rest is left",
                kind=FormulaError,
            )
        shares[rests[0]] = max(100 - total, 0.0)
    elif abs(total - 100) > SUM_TOLERANCE_PERCENT + 1e-9:
        place.fail(
            f"percentages sum to {total:.6g} %, expected 100 % (tolerance "
            f'{SUM_TOLERANCE_PERCENT} %; one ingredient may say percent = "rest")',
            kind=FormulaError,
        )
    return shares


def _ingredient(
    item: dict[str, Any], outer: Place, index: int, share: float, known: KnownCards
) -> Ingredient:
    place = _ingredient_place(outer, item, index)
    check_keys(item, _INGREDIENT_KEYS, place)
    if "material" not in item:
        place.fail("has no material, expected the id of a card")
    name = text(item["material"], "material", place)
    if known.find(name) is None:
        place.fail(known.unknown(name), key="material", kind=UnknownMaterialError)
    return Ingredient(name, share, isinstance(item["percent"], str))


def used_cards(phases: tuple[Phase, ...], known: KnownCards, place: Place) -> dict[str, Material]:
    """Return the cards in use, blends' parts included.

    Raises
    ------
    FormulaError
        If compositions run in a circle.
    UnknownMaterialError
        If a part of a blend has no card.
    """
    used: dict[str, Material] = {}

    def add(name: str, above: tuple[str, ...]) -> None:
        if name in above:
            circle = " -> ".join((*above[above.index(name) :], name))
            place.fail(
                f"compositions run in a circle ({circle}), expected parts that end somewhere",
                kind=FormulaError,
            )
        if name in used:
            return
        card = known.find(name)
        if card is None:
            place.inside(f"composition of {above[-1]!r}").fail(
                known.unknown(name), kind=UnknownMaterialError
            )
        if len(above) > 50:
            place.fail("compositions are nested more than 50 deep, expected a few levels")
        for part in card.composition:
            add(part.material, (*above, name))
        used[name] = card

    for phase in phases:
        for ingredient in phase.ingredients:
            add(ingredient.material, ())
    return used
