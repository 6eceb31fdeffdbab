"""Shares with their cards to formulas: phases, kinds, type of emulsion, note of origin."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.formula.formula import EMULSIONS, Formula, Ingredient, Phase
from zincite.formula.material import Material
from zincite.formula.phase_reading import KnownCards
from zincite.sources import Evidence, Sourced
from zincite.workbench.sheets.phases import PhaseLabel
from zincite.workbench.sheets.shares import Share

__all__ = ["Draft", "emulsion_of", "make_formula"]

_NOTE_LENGTH = 1900
_PIGMENT_SHARE = 0.3
_ORDER = ("pigment", "oil", "water", "cool-down")


@dataclass(frozen=True, slots=True)
class Draft:
    """A formula as read, before its names have cards.

    Attributes
    ----------
    code, name, emulsion : str
        `emulsion` is "" where the sheet does not say.
    label : str
        Header of its column, where several versions stand side by side.
    shares : tuple of Share
    origin : str
        File, sheet, cells.
    remarks : tuple of str
        What the sheet says beside amounts.
    prices : dict of int to (float, str)
        Price and currency per kg by row.
    """

    code: str
    name: str
    emulsion: str
    label: str
    shares: tuple[Share, ...]
    origin: str
    remarks: tuple[str, ...]
    prices: dict[int, tuple[float, str]]


def make_formula(
    file: str, draft: Draft, ids: Mapping[int, str], known: KnownCards, emulsion: str
) -> tuple[Formula, tuple[str, ...]]:
    """Return the formula of a draft and what was assumed for it.

    Parameters
    ----------
    file : str
        For messages.
    draft : Draft
    ids : mapping of int to str
        Card of each row.
    known : KnownCards
    emulsion : str
        Answer for the type of emulsion, "" where none was given.

    Raises
    ------
    InputError
        If the type of emulsion is not said and cannot be told.
    """
    materials = _materials(ids, draft.shares, known)
    phases, notes = _phases(draft, ids, materials)
    kind, how = emulsion_of(draft.shares, ids, materials, emulsion or draft.emulsion)
    if not kind:
        refuse(
            file,
            f"formula {draft.code} ({draft.origin}) {how}, expected --emulsion "
            f"{', '.join(EMULSIONS[:-1])} or {EMULSIONS[-1]}",
        )
    if not emulsion and not draft.emulsion:
        notes.append(f"Type {kind}: {how} (assumed).")
    currency = next((unit for _, unit in draft.prices.values()), "EUR")
    prices = {
        ids[row]: Sourced(price, f"{unit}/kg", Evidence.DATA_SHEET, draft.origin)
        for row, (price, unit) in draft.prices.items()
        if row in ids and unit == currency
    }
    try:
        formula = Formula(
            code=draft.code,
            name=draft.name,
            emulsion=kind,
            phases=phases,
            materials=materials,
            note=_note(draft),
            prices_per_kg=prices,
            currency=currency,
        )
    except InputError as error:
        refuse(file, f"{draft.origin}: {error}", type(error))
    return formula, tuple(notes)


def _materials(
    ids: Mapping[int, str], shares: Sequence[Share], known: KnownCards
) -> dict[str, Material]:
    """Return the cards in use, parts of blends before the blends, as a formula file gives them."""
    used: dict[str, Material] = {}

    def add(key: str) -> None:
        card = known.find(key)
        if card is None or key in used:
            return
        for part in card.composition:
            add(part.material)
        used[key] = card

    for share in shares:
        add(ids[share.row.number])
    return used


def _phases(
    draft: Draft, ids: Mapping[int, str], materials: Mapping[str, Material]
) -> tuple[tuple[Phase, ...], list[str]]:
    labelled = any(share.row.phase is not None for share in draft.shares)
    groups: dict[str, list[Share]] = {}
    labels: dict[str, PhaseLabel] = {}
    for share in draft.shares:
        label = share.row.phase or PhaseLabel("A" if labelled else "")
        if not labelled:
            usual = materials[ids[share.row.number]].phase
            label = PhaseLabel(usual, usual)
        groups.setdefault(label.name, []).append(share)
        before = labels.get(label.name)
        labels[label.name] = label if before is None or not before.kind else before
    names = list(groups)
    if not labelled:
        names.sort(key=_ORDER.index)
    phases, assumed = [], []
    for name in names:
        items = [(materials[ids[s.row.number]], s.percent) for s in groups[name]]
        kind = labels[name].kind or _kind(items, is_last=name == names[-1] and len(names) > 1)
        if not labels[name].kind:
            assumed.append(f"{name} {kind}")
        ingredients = tuple(
            Ingredient(ids[s.row.number], s.percent, s.is_rest) for s in groups[name]
        )
        called = chr(ord("A") + names.index(name)) if not labelled else name
        phases.append(Phase(called, kind, ingredients, labels[name].temperature_C))
    notes = []
    if not labelled:
        notes.append("The sheet names no phases: each material stands in its card's usual one "
                     "(assumed).")  # fmt: skip
    elif assumed:
        notes.append(f"Kinds of phases by what is in them (assumed): {', '.join(assumed)}.")
    return tuple(phases), notes


def _kind(items: Sequence[tuple[Material, float]], *, is_last: bool) -> str:
    """Return the kind of a phase by what is in it."""
    total = math.fsum(percent for _, percent in items) or 1.0
    if any(card.id == "water" for card, _ in items):
        return "water"
    share = {
        kind: math.fsum(percent for card, percent in items if card.phase == kind) / total
        for kind in _ORDER
    }
    filters = math.fsum(p for card, p in items if "UV filter dispersion" in card.functions) / total
    if share["pigment"] + filters >= _PIGMENT_SHARE:
        return "pigment"
    if share["cool-down"] > 0 and is_last:
        return "cool-down"
    return max(_ORDER, key=lambda kind: share[kind])


def emulsion_of(
    shares: Sequence[Share],
    ids: Mapping[int, str],
    materials: Mapping[str, Material],
    said: str,
) -> tuple[str, str]:
    """Return the type of emulsion and why, or "" and what is lacking."""
    if said:
        return said, "as said"
    parts = [(materials[ids[s.row.number]], s.percent) for s in shares]
    if not any(card.id == "water" and percent > 0 for card, percent in parts):
        return "anhydrous", "it holds no water"
    sums = {
        word: math.fsum(p for card, p in parts if word in card.functions)
        for word in ("W/O emulsifier", "O/W emulsifier")
    }
    inner, outer = sums["W/O emulsifier"], sums["O/W emulsifier"]
    if inner > 2 * outer:
        return "water-in-oil", f"{inner:.3g} % W/O emulsifier"
    if outer > 2 * inner:
        return "oil-in-water", f"{outer:.3g} % O/W emulsifier"
    if inner or outer:
        return "", f"holds {inner:.3g} % W/O and {outer:.3g} % O/W emulsifier and says no type"
    return "", "holds no emulsifier that a card knows and says no type of emulsion"


def _note(draft: Draft) -> str:
    parts = [f"Imported from {draft.origin}.", *draft.remarks]
    text = " ".join(re.sub(r"\s+", " ", part) for part in parts)
    if len(text) <= _NOTE_LENGTH:
        return text
    return text[: _NOTE_LENGTH - 4].rstrip() + " ..."


def shown_code(code: str) -> str:
    """Return a code as one that names of files and versions can hold."""
    return re.sub(r"[^\w.-]+", "-", code.replace("@", "-")).strip("-.") or shown(code)
