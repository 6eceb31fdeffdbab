"""Reading of formula files and briefs."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from zincite.errors import InputError, UnknownMaterialError, ZinciteError
from zincite.formula.brief import Brief
from zincite.formula.brief_reading import load_brief, read_brief
from zincite.formula.card_reading import read_materials
from zincite.formula.documents import Document, Place, parse_document, read_document
from zincite.formula.formula import EMULSIONS, Formula
from zincite.formula.library import read_cards
from zincite.formula.phase_reading import (
    MAX_INGREDIENTS,
    KnownCards,
    read_phases,
    used_cards,
)
from zincite.formula.process_reading import read_process
from zincite.formula.values import (
    check_keys,
    optional_number,
    optional_text,
    sourced,
    text,
)
from zincite.sources import Sourced

__all__ = ["MAX_INGREDIENTS", "load_brief", "load_formula", "parse_formula"]

_TOP_KEYS = ("formula", "phase", "material", "process", "prices", "brief")
_FORMULA_KEYS = ("code", "name", "emulsion", "brief", "note", "water_phase_ph")


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
    known = KnownCards(own, read_cards(cards) if cards is not None else {})
    phases = read_phases(document, known)
    prices, currency = _prices(document, known)
    steps, batch_kg = read_process(document, phases)
    code = optional_text(head, "code", spot, document.path.stem if document.path else "unnamed")
    try:
        return Formula(
            code=code,
            name=optional_text(head, "name", spot, code),
            emulsion=emulsion,
            phases=phases,
            materials=used_cards(phases, known, place),
            brief=_brief(document, head, spot),
            process=steps,
            process_batch_kg=batch_kg,
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


def _prices(document: Document, known: KnownCards) -> tuple[dict[str, Sourced], str]:
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
