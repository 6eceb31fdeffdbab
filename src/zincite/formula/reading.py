"""Reading of formula files and briefs."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from zincite.errors import FormulaError, InputError, UnknownMaterialError, ZinciteError
from zincite.formula.brief import Brief
from zincite.formula.brief_reading import load_brief, read_brief
from zincite.formula.card_reading import read_materials
from zincite.formula.documents import Document, Place, parse_document, read_document
from zincite.formula.formula import (
    EMULSIONS,
    PHASE_KINDS,
    SUM_TOLERANCE_PERCENT,
    Formula,
    Ingredient,
    Phase,
)
from zincite.formula.library import library, read_cards, suggest
from zincite.formula.material import Material
from zincite.formula.process import ProcessStep
from zincite.formula.values import (
    check_keys,
    number,
    optional_number,
    optional_text,
    sourced,
    tables,
    text,
)
from zincite.sources import Sourced

__all__ = ["MAX_INGREDIENTS", "load_brief", "load_formula", "parse_formula"]

MAX_INGREDIENTS = 500
"""Most ingredients of one formula; real ones have ten to fifty."""

_TOP_KEYS = ("formula", "phase", "material", "process", "prices", "brief")
_FORMULA_KEYS = ("code", "name", "emulsion", "brief", "note", "water_phase_ph")
_PHASE_KEYS = ("name", "kind", "temperature_C", "ingredient")
_INGREDIENT_KEYS = ("material", "percent")
_INGREDIENT_HEADER = re.compile(r"^\s*\[\[\s*phase\s*\.\s*ingredient\s*\]\]", re.MULTILINE)


@dataclass
class _Cards:
    """Cards a file may use: its own, the user's folder, the library, in this order."""

    own: Mapping[str, Material]
    folder: Mapping[str, Material] = field(default_factory=dict)

    def find(self, key: str) -> Material | None:
        for cards in (self.own, self.folder, library()):
            if key in cards:
                return cards[key]
        return None

    @property
    def replaced(self) -> tuple[str, ...]:
        """Ids of the library that the user's cards replace."""
        return tuple(key for key in {**self.folder, **self.own} if key in library())

    def unknown(self, key: str) -> str:
        close = suggest(key, {**self.folder, **self.own})
        hint = (
            f"expected such as {', '.join(close)}"
            if close
            else ("expected the id of a library card or of a [[material]] in the file")
        )
        return f"no material has the id {key[:80]!r}, {hint}"


def load_formula(path: str | Path, *, cards: str | Path | None = None) -> Formula:
    """Return the formula of a TOML file.

    Parameters
    ----------
    path : str or Path
        Formula file.
    cards : str or Path, optional
        A file or folder of material cards that are used before the library's.

    Returns
    -------
    Formula
        With the cards of all materials it uses.

    Raises
    ------
    InputError
        One sentence: where, what was found, what is expected. `FormulaError` for a formula that
        cannot be, `UnknownMaterialError` for an unknown id, `OutOfRangeError` for a number.
    """
    return _read_formula(read_document(path, "a formula"), cards)


def parse_formula(
    content: str, *, name: str = "formula", cards: str | Path | None = None
) -> Formula:
    """Return the formula of TOML text, as `load_formula` does of a file.

    Parameters
    ----------
    content : str
        TOML text. A brief may only be inline.
    name : str
        What messages call the text.
    cards : str or Path, optional
        A file or folder of material cards that are used before the library's.

    Raises
    ------
    InputError
        As `load_formula`.
    """
    return _read_formula(parse_document(content, name), cards)


def _read_formula(document: Document, cards: str | Path | None) -> Formula:
    place = document.top()
    _limit(len(_INGREDIENT_HEADER.findall(document.text)), place)
    check_keys(document.data, _TOP_KEYS, place)
    head, spot = _table(document, "formula")
    check_keys(head, _FORMULA_KEYS, spot)
    if "emulsion" not in head:
        spot.fail(f"has no emulsion, expected one of {', '.join(EMULSIONS)}")
    emulsion = text(head["emulsion"], "emulsion", spot)
    if emulsion not in EMULSIONS:
        spot.fail(
            f"emulsion is {emulsion!r}, expected one of {', '.join(EMULSIONS)}", key="emulsion"
        )
    own = {card.id: card for card in read_materials(document)}
    known = _Cards(own, read_cards(cards) if cards is not None else {})
    phases = _phases(document, known)
    prices, currency = _prices(document, known)
    code = optional_text(head, "code", spot, document.path.stem if document.path else "unnamed")
    try:
        return Formula(
            code=code,
            name=optional_text(head, "name", spot, code),
            emulsion=emulsion,
            phases=phases,
            materials=_used_cards(phases, known, place),
            brief=_brief(document, head, spot),
            process=_process(document),
            prices_per_kg=prices,
            currency=currency,
            path=document.path,
            note=optional_text(head, "note", spot),
            water_phase_ph=optional_number(head, "water_phase_ph", spot, 0.0, 14.0),
            replaced_cards=known.replaced,
        )
    except ZinciteError as error:
        if isinstance(error, InputError) and not str(error).startswith(document.name):
            raise type(error)(f"{document.name}: {error}") from None
        raise


def _table(document: Document, key: str) -> tuple[dict[str, Any], Place]:
    place = document.top().inside(f"[{key}]").at(key, 0)
    value = document.data.get(key)
    if not isinstance(value, dict):
        found = "has no" if value is None else "has something else than a table as"
        document.top().fail(f"{found} [{key}], expected a table [{key}]")
    return value, place


def _limit(count: int, place: Place) -> None:
    if count > MAX_INGREDIENTS:
        place.fail(f"has {count} ingredients, expected at most {MAX_INGREDIENTS}")


def _phases(document: Document, known: _Cards) -> tuple[Phase, ...]:
    place = document.top()
    entries = tables(document.data.get("phase", []), "phase", place)
    if not entries:
        place.fail("has no [[phase]], expected at least one with ingredients", kind=FormulaError)
    parts = [tables(e.get("ingredient", []), "phase.ingredient", place) for e in entries]
    _limit(sum(len(p) for p in parts), place)
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
    item: dict[str, Any], outer: Place, index: int, share: float, known: _Cards
) -> Ingredient:
    place = _ingredient_place(outer, item, index)
    check_keys(item, _INGREDIENT_KEYS, place)
    if "material" not in item:
        place.fail("has no material, expected the id of a card")
    name = text(item["material"], "material", place)
    if known.find(name) is None:
        place.fail(known.unknown(name), key="material", kind=UnknownMaterialError)
    return Ingredient(name, share, isinstance(item["percent"], str))


def _used_cards(phases: tuple[Phase, ...], known: _Cards, place: Place) -> dict[str, Material]:
    """Return the cards in use, blends' parts included; refuse compositions that run in a circle."""
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


def _brief(document: Document, head: dict[str, Any], spot: Place) -> Brief | None:
    if "brief" in document.data:
        if "brief" in head:
            spot.fail("names a brief and the file has a [brief], expected one of them", key="brief")
        table, place = _table(document, "brief")
        return read_brief(table, place)
    if "brief" not in head:
        return None
    name = text(head["brief"], "brief", spot)
    if document.path is None:
        spot.fail("names a brief file, expected an inline [brief] here", key="brief")
    return load_brief(document.path.parent / name)


def _process(document: Document) -> tuple[ProcessStep, ...]:
    if "process" not in document.data:
        return ()
    table, place = _table(document, "process")
    check_keys(table, ("step",), place)
    steps = []
    for index, entry in enumerate(tables(table.get("step", []), "process.step", place)):
        spot = document.top().inside(f"process step {index + 1}").at("process.step", index)
        if "device" not in entry:
            spot.fail('has no device, expected such as device = "rotor-stator"')
        settings = {
            key: number(value, key, spot) for key, value in entry.items() if key != "device"
        }
        for key, value in settings.items():
            if value < 0 and not key.endswith("_C"):
                spot.fail(f"{key} is {value:g}, expected a number of 0 or more", key=key)
        steps.append(ProcessStep(text(entry["device"], "device", spot), settings))
    return tuple(steps)


def _prices(document: Document, known: _Cards) -> tuple[dict[str, Sourced], str]:
    if "prices" not in document.data:
        return {}, "EUR"
    table, place = _table(document, "prices")
    currency = optional_text(table, "currency", place, "EUR")
    if not re.fullmatch(r"[A-Z]{3}", currency):
        place.fail(
            f'currency is {currency[:20]!r}, expected three capital letters such as "EUR"',
            key="currency",
        )
    prices = {}
    for key, value in table.items():
        if key == "currency":
            continue
        if known.find(key) is None:
            place.fail(known.unknown(key), key=key, kind=UnknownMaterialError)
        prices[key] = sourced(value, key, place, f"{currency}/kg", 0.0, 1e6)
    return prices, currency
