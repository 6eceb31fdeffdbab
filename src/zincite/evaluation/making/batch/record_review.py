"""Review of a filled batch record: what is outside its limits, what is open."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from zincite.evaluation.making.batch.filled_record import (
    Deviation,
    FilledHold,
    FilledRecord,
    FilledStep,
    FilledWeight,
    Signatures,
)
from zincite.evaluation.making.batch.record_holds import Check, Hold
from zincite.evaluation.making.batch.record_steps import RecordStep
from zincite.evaluation.making.batch.weighing_list import WeighedItem, WeighingList

__all__ = ["Finding", "RecordReview", "review_record", "within"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the reviewer has to see.

    Attributes
    ----------
    kind : str
        "outside" a limit or rule, "open", or "note".
    where : str
        Such as "item 3".
    text : str
    deviation : int or None
        Number of the decided deviation that covers it.
    """

    kind: str
    where: str
    text: str
    deviation: int | None = None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class RecordReview:
    """What a filled record shows.

    Attributes
    ----------
    filled : FilledRecord
    findings : tuple of Finding
        In order of the record.
    weighed_g : float or None
        Sum of the actual weights, None where nothing is weighed yet. [g]
    yield_percent : float or None
        Bulk out of the vessel as a share of the batch. [%]
    """

    filled: FilledRecord
    findings: tuple[Finding, ...]
    weighed_g: float | None
    yield_percent: float | None

    @property
    def outside(self) -> tuple[Finding, ...]:
        """What lies outside and no decided deviation covers."""
        return tuple(f for f in self.findings if f.kind == "outside" and f.deviation is None)

    @property
    def open(self) -> tuple[Finding, ...]:
        """What is still to be done."""
        return tuple(f for f in self.findings if f.kind == "open")

    @property
    def verdict(self) -> str:
        """Verdict word: "fails", "short" where something is open, else "passes"."""
        if self.outside:
            return "fails"
        return "short" if self.open else "passes"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "verdict": self.verdict,
            "findings": [finding.to_dict() for finding in self.findings],
            "outside": len(self.outside),
            "open": len(self.open),
            "weighed_g": self.weighed_g,
            "yield_kg": self.filled.yield_kg,
            "yield_percent": self.yield_percent,
            "deviations": [deviation.to_dict() for deviation in self.filled.deviations],
        }


def review_record(
    filled: FilledRecord,
    weighing: WeighingList,
    steps: Sequence[RecordStep],
    holds: Sequence[Hold],
) -> RecordReview:
    """Return what a filled record shows against its weighing list, steps and holds."""
    weights = {weight.item: weight for weight in filled.weights}
    done = {step.number: step for step in filled.steps}
    held = {hold.key: hold for hold in filled.holds}
    found = list(_head(filled))
    for item in weighing.items:
        weight = weights.get(item.number, FilledWeight(item.number))
        found += _weight(item, weight, filled.made_on)
    for step in steps:
        found += _step(step, done.get(step.number, FilledStep(step.number, {})))
    for hold in holds:
        found += _hold(hold, held.get(hold.key, FilledHold(hold.key, {})))
    percent = None
    if filled.yield_kg is not None:
        percent = 100 * filled.yield_kg / (float(weighing.batch_g) / 1000)
    found += _yield(filled, percent)
    for number, deviation in enumerate(filled.deviations, start=1):
        found += _deviation(number, deviation)
    found = [_covered(finding, filled.deviations) for finding in found]
    found += _released(filled, found)
    actual = [w.actual_g for w in filled.weights if w.actual_g is not None]
    weighed = math.fsum(actual) if actual else None
    return RecordReview(filled, tuple(found), weighed, percent)


def _head(filled: FilledRecord) -> Iterable[Finding]:
    gaps = [
        words
        for words, written in (
            ("no batch number", filled.batch_number),
            ("no date of making", filled.made_on),
            ("nobody named who made it", filled.made_by),
            ("line clearance not signed", filled.clearance_by),
        )
        if not written
    ]
    if gaps:
        yield Finding("open", "record", ", ".join(gaps))


def _signed(signed: Signatures) -> str:
    if not signed.done_by or not signed.checked_by:
        return "not signed twice"
    same = signed.done_by.casefold() == signed.checked_by.casefold()
    return "done and checked by the same person" if same else ""


def _weight(
    item: WeighedItem, weight: FilledWeight, made_on: datetime.date | None
) -> Iterable[Finding]:
    where, name = f"item {item.number}", item.material
    gaps = [] if weight.actual_g is not None else ["not weighed"]
    gaps += [] if weight.lot else ["no lot"]
    if weight.expires_on is not None and made_on is None:
        gaps.append("expiry not judged without the date of making")
    signed = _signed(weight.signed)
    gaps += [signed] if signed else []
    if gaps:
        yield Finding("open", where, f"{name}: {', '.join(gaps)}")
    actual = None if weight.actual_g is None else Decimal(repr(weight.actual_g))
    if actual is not None and not item.low_g <= actual <= item.high_g:
        off = float(100 * (actual / item.mass_g - 1))
        yield Finding(
            "outside",
            where,
            f"{name}: {actual:f} g weighed, {off:+.3g} %; expected {item.low_g} to {item.high_g} g",
        )
    if weight.expires_on is not None and made_on is not None and weight.expires_on < made_on:
        lot = weight.lot or "without number"
        yield Finding("outside", where, f"{name}: lot {lot} expired on {weight.expires_on}")


def _step(step: RecordStep, done: FilledStep) -> Iterable[Finding]:
    where = f"step {step.number}"
    missing = [s.key for s in step.settings if s.value is not None and s.key not in done.actual]
    gaps = [f"no actual {', '.join(missing)}"] if missing else []
    signed = _signed(done.signed)
    gaps += [signed] if signed else []
    if gaps:
        yield Finding("open", where, ", ".join(gaps))
    for setting in step.settings:
        found = done.actual.get(setting.key)
        if found is None or setting.low is None or setting.high is None:
            continue
        if not within(found, setting.low, setting.high):
            yield Finding(
                "outside",
                where,
                f"{setting.key} was {found:g}, expected {setting.low:g} to {setting.high:g}",
            )


def within(found: float, low: float | None, high: float | None) -> bool:
    """Return whether a reading is within its limits; what binary rounding adds does not count."""
    slack = 1e-9 * max(abs(found), 1.0)
    return (low is None or found >= low - slack) and (high is None or found <= high + slack)


def _hold(hold: Hold, held: FilledHold) -> Iterable[Finding]:
    where = f"hold {hold.key}"
    missing = [check.name for check in hold.checks if check.key not in held.readings]
    gaps = [f"no reading of {', '.join(missing)}"] if missing else []
    gaps += [] if held.released_by else ["not released"]
    if gaps:
        yield Finding("open", where, "; ".join(gaps))
    for check in hold.checks:
        found = held.readings.get(check.key)
        if isinstance(found, float) and not within(found, check.low, check.high):
            kind = "note" if check.is_predicted else "outside"
            yield Finding(kind, where, _reading_text(check, found))


def _reading_text(check: Check, found: float) -> str:
    unit = f" {check.unit}" if check.unit else ""
    ends = [f"{limit:.4g}" for limit in (check.low, check.high) if limit is not None]
    limits = f"at most {ends[-1]}" if check.low == 0 else " to ".join(ends)
    text = f"{check.name} is {found:g}{unit}, expected {limits}{unit}"
    return f"{text} (predicted, no limit)" if check.is_predicted else text


def _yield(filled: FilledRecord, percent: float | None) -> Iterable[Finding]:
    low, high = filled.yield_low_percent, filled.yield_high_percent
    if percent is None:
        yield Finding("open", "yield", "not written in")
    elif low is None and high is None:
        yield Finding("note", "yield", f"{percent:.2f} %, no limits stated")
    elif not within(percent, low, high):
        limits = " to ".join(f"{limit:g} %" for limit in (low, high) if limit is not None)
        yield Finding("outside", "yield", f"{percent:.2f} %, expected {limits}")


def _deviation(number: int, deviation: Deviation) -> Iterable[Finding]:
    written = (("date", deviation.when), ("name", deviation.who), ("decision", deviation.decision))
    gaps = [f"no {word}" for word, found in written if not found]
    if gaps:
        yield Finding("open", f"deviation {number}", ", ".join(gaps))


def _covered(finding: Finding, deviations: Sequence[Deviation]) -> Finding:
    """Return a finding with the decided deviation about the same item, step or hold."""
    for number, deviation in enumerate(deviations, start=1):
        about = {
            f"item {deviation.item}",
            f"step {deviation.step}",
            f"hold {deviation.hold}",
        }
        if finding.kind == "outside" and deviation.decision and finding.where in about:
            return replace(finding, deviation=number)
    return finding


def _released(filled: FilledRecord, findings: Sequence[Finding]) -> list[Finding]:
    if not filled.released_by:
        return [Finding("open", "release", "not signed")]
    waiting = [f for f in findings if f.kind != "note" and f.deviation is None]
    if not waiting:
        return []
    text = f"signed by {filled.released_by} though {len(waiting)} points stand open or outside"
    return [Finding("outside", "release", text)]
