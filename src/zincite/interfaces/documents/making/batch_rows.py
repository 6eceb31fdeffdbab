"""Lines of a printed batch record: what is printed and what was filled in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from zincite.evaluation.making.batch.batch_record import BatchRecord
from zincite.evaluation.making.batch.filled_record import (
    FilledHold,
    FilledStep,
    FilledWeight,
    Signatures,
)
from zincite.evaluation.making.batch.record_holds import Check, Hold
from zincite.evaluation.making.batch.record_review import within
from zincite.evaluation.making.batch.record_steps import RecordStep
from zincite.evaluation.making.batch.weighing_list import WeighedItem
from zincite.interfaces.documents.making.batch_words import (
    check_limits,
    marks,
    mass_text,
    setting_name,
    setting_text,
    step_name,
    weight,
    weight_limits,
    window_text,
)
from zincite.interfaces.documents.numbers import number_text, with_unit

__all__ = ["FieldRow", "HoldBlock", "PhaseBlock", "StepBlock", "WeighedRow", "blocks"]


@dataclass(frozen=True, slots=True)
class WeighedRow:
    """A line of the weighing list; "" is a field to write in."""

    number: int
    material: str
    inci: str
    marks: tuple[str, ...]
    percent: str
    weigh: str
    reads: str
    within: str
    step: str
    lot: str
    expires_on: str
    actual: str
    signed: Signatures
    is_outside: bool


@dataclass(frozen=True, slots=True)
class PhaseBlock:
    """The lines of a phase with its sum and temperature."""

    name: str
    about: str
    rows: tuple[WeighedRow, ...]
    total: str


@dataclass(frozen=True, slots=True)
class FieldRow:
    """Something to measure: name, what is wanted, limits, where they come from, what was found."""

    name: str
    wanted: str
    limits: str
    ground: str
    found: str
    is_assumed: bool = False
    is_outside: bool = False


@dataclass(frozen=True, slots=True)
class HoldBlock:
    """A hold with its fields."""

    title: str
    rows: tuple[FieldRow, ...]
    released_by: str
    is_outside: bool


@dataclass(frozen=True, slots=True)
class StepBlock:
    """A step with its fields; number 0 stands for holds before the first step."""

    number: int
    device: str
    adds: str
    contents: str
    note: str
    rows: tuple[FieldRow, ...]
    signed: Signatures
    is_outside: bool
    holds: tuple[HoldBlock, ...]


def blocks(record: BatchRecord) -> tuple[tuple[PhaseBlock, ...], tuple[StepBlock, ...]]:
    """Return phases and steps with what was filled in, the holds of each step behind it."""
    review = record.review
    filled = None if review is None else review.filled
    weights = {} if filled is None else {w.item: w for w in filled.weights}
    done = {} if filled is None else {s.number: s for s in filled.steps}
    held = {} if filled is None else {h.key: h for h in filled.holds}
    outside = frozenset() if review is None else frozenset(
        f.where for f in review.findings if f.kind == "outside"
    )  # fmt: skip
    by_step = {
        number: tuple(
            _hold(hold, held.get(hold.key, FilledHold(hold.key, {})), outside)
            for hold in record.holds
            if hold.after_step == number
        )
        for number in range(len(record.steps) + 1)
    }
    steps = [
        _step(step, record, done.get(step.number, FilledStep(step.number, {})), outside, by_step)
        for step in record.steps
    ]
    if by_step[0]:
        first = StepBlock(0, "", "", "", "", (), Signatures(), False, by_step[0])
        steps.insert(0, first)
    return _phases(record, weights, outside), tuple(steps)


def _phases(
    record: BatchRecord, weights: dict[int, FilledWeight], outside: frozenset[str]
) -> tuple[PhaseBlock, ...]:
    weighed = record.weighing
    found = []
    for name in dict.fromkeys(item.phase for item in weighed.items):
        items = [item for item in weighed.items if item.phase == name]
        rows = tuple(
            _weighed(item, weighed.batch_g, weights.get(item.number), outside) for item in items
        )
        mass = weighed.phase_g(name)
        percent = math.fsum(item.percent for item in items)
        share = f"{number_text(percent, digits=4)} % of the formula"
        total = mass_text(mass, Decimal(1), weighed.batch_g)
        found.append(PhaseBlock(name, share, rows, total))
    return tuple(found)


def _weighed(
    item: WeighedItem, batch_g: Decimal, filled: FilledWeight | None, outside: frozenset[str]
) -> WeighedRow:
    written = filled or FilledWeight(item.number)
    step = item.balance.resolution_g
    actual, expires = written.actual_g, written.expires_on
    return WeighedRow(
        item.number,
        item.material,
        item.inci,
        marks(item),
        number_text(item.percent, digits=4),
        weight(item, batch_g),
        mass_text(item.reads_g, step, batch_g) if item.reads_g != item.mass_g else "",
        weight_limits(item, batch_g),
        with_unit(f"{step:f}", "g"),
        written.lot,
        "" if expires is None else expires.isoformat(),
        "" if actual is None else mass_text(Decimal(repr(actual)), step, batch_g),
        written.signed,
        f"item {item.number}" in outside,
    )


def _step(
    step: RecordStep,
    record: BatchRecord,
    done: FilledStep,
    outside: frozenset[str],
    holds: dict[int, tuple[HoldBlock, ...]],
) -> StepBlock:
    rows = tuple(
        FieldRow(
            setting_name(s.key),
            setting_text(s),
            window_text(s),
            "",
            number_text(done.actual[s.key]) if s.key in done.actual else "",
            is_outside=s.key in done.actual and not within(done.actual[s.key], s.low, s.high),
        )
        for s in step.settings
    )
    inside = float(record.batch_kg) * step.contents_percent / 100
    return StepBlock(
        step.number,
        step_name(step),
        ", ".join(step.adds),
        with_unit(number_text(inside, digits=4), "kg"),
        step.note,
        rows,
        done.signed,
        f"step {step.number}" in outside,
        holds[step.number],
    )


def _hold(hold: Hold, held: FilledHold, outside: frozenset[str]) -> HoldBlock:
    rows = tuple(_check(check, held.readings.get(check.key)) for check in hold.checks)
    return HoldBlock(hold.title, rows, held.released_by, f"hold {hold.key}" in outside)


def _check(check: Check, found: float | str | None) -> FieldRow:
    shown = number_text(found, digits=5) if isinstance(found, float) else (found or "")
    name = f"{check.name}, {check.unit}" if check.unit else check.name
    ground = check.ground if check.is_number else ""
    assumed = check.is_predicted or "common practice" in ground
    outside = (
        isinstance(found, float)
        and not check.is_predicted
        and not within(found, check.low, check.high)
    )
    return FieldRow(name, "", check_limits(check), ground, shown, assumed, outside)
