"""What differs between two formulas: shares, grades, cards, phases, process steps."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from difflib import SequenceMatcher

from zincite.formula.formula import Formula
from zincite.formula.material import Grade, Material
from zincite.formula.process import ProcessStep

__all__ = ["Difference", "ShareChange", "card_changes", "head_changes", "process_changes",
           "share_changes"]  # fmt: skip

_SAME_PERCENT = 1e-6

Value = float | str | None


@dataclass(frozen=True, slots=True)
class ShareChange:
    """A material whose share is not the same.

    Attributes
    ----------
    material : str
    first, second : float
        0 where it is not in. [%]
    how : str
        "in", "out", "more" or "less".
    """

    material: str
    first: float
    second: float
    how: str


@dataclass(frozen=True, slots=True)
class Difference:
    """Something else that is not the same.

    Attributes
    ----------
    where : str
        Material, step, phase or "formula".
    what : str
        Such as "coating" or "tip_speed_m_s"; the unit stands in the name.
    first, second : float, str or None
        None where there is none.
    """

    where: str
    what: str
    first: Value
    second: Value


def share_changes(
    first: Mapping[str, float], second: Mapping[str, float]
) -> tuple[ShareChange, ...]:
    """Return the materials whose shares differ, in the order of the second formula.

    Parameters
    ----------
    first, second : mapping of str to float
        Percent by material. [%]
    """
    found = []
    for key in dict.fromkeys([*second, *first]):
        before, after = first.get(key, 0.0), second.get(key, 0.0)
        if key in first and key in second and abs(before - after) <= _SAME_PERCENT:
            continue
        how = "more" if after > before else "less"
        how = "in" if key not in first else "out" if key not in second else how
        found.append(ShareChange(key, before, after, how))
    return tuple(found)


def card_changes(first: Formula, second: Formula) -> tuple[Difference, ...]:
    """Return what differs in the cards of materials: grades of pigments first, then values.

    The grade of a pigment that came in or went out is told whole.
    """
    found: list[Difference] = []
    values: list[Difference] = []
    before, after = first.percent_by_material(), second.percent_by_material()
    for key in dict.fromkeys([*after, *before]):
        one = first.materials[key] if key in before else None
        two = second.materials[key] if key in after else None
        if one == two:
            continue
        found += _told(key, _grade(one), _grade(two))
        if one is not None and two is not None:
            values += _told(key, _properties(one), _properties(two))
    return (*found, *values)


def _told(where: str, first: Mapping[str, Value], second: Mapping[str, Value]) -> list[Difference]:
    return [
        Difference(where, what, first.get(what), second.get(what))
        for what in dict.fromkeys([*first, *second])
        if first.get(what) != second.get(what)
    ]


def _grade(card: Material | None) -> dict[str, Value]:
    return {} if card is None or card.grade is None else dict(_grade_values(card.grade))


def _grade_values(grade: Grade) -> Iterator[tuple[str, Value]]:
    layers = (f"{layer.inci} {layer.mass_percent:g} %" for layer in grade.coatings)
    yield "core", grade.core
    yield "primary_median_nm", grade.primary_median_nm
    yield "primary_gsd", grade.primary_gsd
    yield "coating", " + ".join(layers) or "none"
    for name in ("aggregate_fraction", "aggregate_median_nm"):
        value = getattr(grade, name)
        if value is not None:
            yield name, value.value


def _properties(card: Material) -> dict[str, Value]:
    parts = "; ".join(f"{part.material} {part.percent:g} %" for part in card.composition)
    found: dict[str, Value] = {"inci": card.inci}
    if parts:
        found["composition"] = parts
    return found | {key: value.value for key, value in card.properties.items()}


def head_changes(first: Formula, second: Formula) -> tuple[Difference, ...]:
    """Return what differs in kind, pH, the phases' kinds and temperatures, and in prices.

    Prices of materials that only one side holds are no change of price.
    """
    both = set(first.prices_per_kg) & set(second.prices_per_kg)
    found = _told("formula", dict(_head(first, both)), dict(_head(second, both)))
    one = {phase.name: phase for phase in first.phases}
    two = {phase.name: phase for phase in second.phases}
    for name in dict.fromkeys([*one, *two]):
        sides = [
            {} if phase is None else {"kind": phase.kind, "temperature_C": phase.temperature_C}
            for phase in (one.get(name), two.get(name))
        ]
        found += _told(f"phase {name}", sides[0], sides[1])
    return tuple(found)


def _head(formula: Formula, priced: Collection[str]) -> Iterator[tuple[str, Value]]:
    yield "emulsion", formula.emulsion
    yield "water_phase_ph", formula.water_phase_ph
    for key, price in formula.prices_per_kg.items():
        if key in priced:
            yield f"price of {key}, {formula.currency}/kg", price.value


def process_changes(
    first: tuple[ProcessStep, ...], second: tuple[ProcessStep, ...]
) -> tuple[Difference, ...]:
    """Return which steps came, went or run otherwise.

    Steps are paired in order by their device, so that a step put between does not make all that
    follow it look changed. A step that came or went is told whole.
    """
    found: list[Difference] = []
    pairs = SequenceMatcher(
        a=[step.device for step in first], b=[step.device for step in second], autojunk=False
    )
    for _, a, b, c, d in pairs.get_opcodes():
        for n in range(max(b - a, d - c)):
            one = first[a + n] if a + n < b else None
            two = second[c + n] if c + n < d else None
            place = c + n + 1 if two is not None else a + n + 1
            device = two.device if two is not None else one.device if one is not None else ""
            where = f"step {place}, {device}"
            if one is None or two is None:
                found.append(Difference(where, "step", _whole(one), _whole(two)))
            else:
                found += _told(where, _step(one), _step(two))
    return tuple(found)


def _whole(step: ProcessStep | None) -> str | None:
    """Return a step in one line, None where there is none."""
    if step is None:
        return None
    told = (f"{key} {value:g}" for key, value in step.settings.items())
    adds = (f"adds {', '.join(step.phases)}",) if step.phases else ()
    return "; ".join([*adds, *told, *([step.note] if step.note else [])]) or "as it is"


def _step(step: ProcessStep | None) -> dict[str, Value]:
    if step is None:
        return {}
    found: dict[str, Value] = {"device": step.device, **step.settings}
    if step.phases:
        found["phases"] = ", ".join(step.phases)
    if step.note:
        found["note"] = step.note
    return found
