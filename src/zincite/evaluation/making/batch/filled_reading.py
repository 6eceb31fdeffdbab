"""Reading of a filled batch record (TOML), checked against the record it belongs to."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any, TypeVar

from zincite.evaluation.making.batch.batch_record import BatchRecord
from zincite.evaluation.making.batch.filled_record import (
    Deviation,
    FilledHold,
    FilledRecord,
    FilledStep,
    FilledWeight,
    Signatures,
)
from zincite.evaluation.making.batch.record_holds import Hold
from zincite.evaluation.making.batch.weighing_list import WeighedItem
from zincite.formula.documents import Document, Place, read_document
from zincite.formula.formula import Formula
from zincite.formula.values import check_keys, number, optional_text, tables
from zincite.physics.dispersing import hegman_to_um

__all__ = ["read_filled"]

_HEAD = (
    "formula", "batch_number", "batch_kg", "made_on", "made_by", "clearance_by", "yield_kg",
    "yield_low_percent", "yield_high_percent", "released_by",
)  # fmt: skip
_WEIGHING = (
    "item", "material", "target_g", "lot", "expires_on", "actual_g", "done_by", "checked_by",
)  # fmt: skip
_DEVIATION = ("what", "when", "who", "decision", "item", "step", "hold")

K = TypeVar("K", int, str)


def read_filled(path: str | Path, formula: Formula, record: BatchRecord) -> FilledRecord:
    """Return what was written into a record.

    Parameters
    ----------
    path : str or Path
        TOML file as `template_text` writes it; "" is a field that is not filled.
    formula : Formula
    record : BatchRecord
        Of the same formula and batch size.

    Raises
    ------
    InputError
        One sentence: if the file cannot be read, a value is impossible, or it belongs to another
        formula, batch size or weighing list.
    """
    document = read_document(path, "a filled batch record")
    check_keys(document.data, ("record", "weighing", "step", "hold", "deviation"), document.top())
    head = document.data.get("record")
    place = document.top().inside("[record]").at("record", 0)
    if not isinstance(head, dict):
        document.top().fail("has no [record], expected a table [record]")
    check_keys(head, _HEAD, place)
    _check_same(head, place, formula, record)
    low, high = (
        _number(head, key, place, 0, 200) for key in ("yield_low_percent", "yield_high_percent")
    )
    if low is not None and high is not None and low > high:
        place.fail(f"yield_low_percent = {low:g} is above yield_high_percent = {high:g}")
    return FilledRecord(
        batch_number=optional_text(head, "batch_number", place),
        made_on=_date(head, "made_on", place),
        made_by=optional_text(head, "made_by", place),
        clearance_by=optional_text(head, "clearance_by", place),
        released_by=optional_text(head, "released_by", place),
        weights=tuple(_weights(document, record)),
        steps=tuple(_steps(document, record)),
        holds=tuple(_holds(document, record)),
        deviations=tuple(_deviations(document, record)),
        yield_kg=_number(head, "yield_kg", place, 0, 1e5),
        yield_low_percent=low,
        yield_high_percent=high,
    )


def _check_same(head: dict[str, Any], place: Place, formula: Formula, record: BatchRecord) -> None:
    code = optional_text(head, "formula", place)
    if code and code != formula.code:
        place.fail(f"formula is {code!r}, expected {formula.code!r}, the formula file's code")
    size = _number(head, "batch_kg", place, 0, 1e5)
    if size is not None and abs(size - float(record.batch_kg)) > 1e-9:
        place.fail(
            f"batch_kg is {size:g}, expected {float(record.batch_kg):g} as asked for",
            key="batch_kg",
        )


def _number(table: dict[str, Any], key: str, place: Place, low: float, high: float) -> float | None:
    """Return a number, None where the field is absent or still empty."""
    value = table.get(key, "")
    if isinstance(value, str) and not value.strip():
        return None
    return number(value, key, place, low, high)


def _date(table: dict[str, Any], key: str, place: Place) -> datetime.date | None:
    value = table.get(key, "")
    if isinstance(value, str) and not value.strip():
        return None
    if isinstance(value, datetime.datetime):
        return value.date()
    if isinstance(value, datetime.date):
        return value
    try:
        return datetime.date.fromisoformat(value.strip())
    except (ValueError, AttributeError):
        place.fail(f"{key} is {str(value)[:40]!r}, expected a date such as 2027-01-31", key=key)


def _signatures(table: dict[str, Any], place: Place) -> Signatures:
    done, checked = (optional_text(table, key, place) for key in ("done_by", "checked_by"))
    return Signatures(done, checked)


def _entries(
    document: Document, name: str, key: str, known: Collection[K]
) -> Iterator[tuple[K, dict[str, Any], Place]]:
    """Give the entries of `[[name]]` with their places, each about another one of the known."""
    seen: set[K] = set()
    listed = tables(document.data.get(name, []), name, document.top())
    for index, entry in enumerate(listed):
        place = document.top().inside(f"[[{name}]] {index + 1}").at(name, index)
        about = _one_of(entry, key, known, place)
        if about in seen:
            place.fail(f"{key} = {about!r} stands twice, expected each once", key=key)
        seen.add(about)
        yield about, entry, place


def _one_of(entry: dict[str, Any], key: str, known: Collection[K], place: Place) -> K:
    value = entry.get(key)
    same: list[K] = [k for k in known if type(value) is type(k) and value == k]
    if not same:
        found = f"has no {key}" if key not in entry else f"{key} is {str(value)[:40]!r}"
        place.fail(f"{found}, expected one of {', '.join(str(k) for k in known)}", key=key)
    return same[0]


def _weights(document: Document, record: BatchRecord) -> Iterator[FilledWeight]:
    items = {item.number: item for item in record.weighing.items}
    for about, entry, place in _entries(document, "weighing", "item", items):
        check_keys(entry, _WEIGHING, place)
        _check_item(items[about], entry, place)
        yield FilledWeight(
            about,
            _number(entry, "actual_g", place, 0, 2e6),
            optional_text(entry, "lot", place),
            _date(entry, "expires_on", place),
            _signatures(entry, place),
        )


def _check_item(item: WeighedItem, entry: dict[str, Any], place: Place) -> None:
    name = optional_text(entry, "material", place, item.material)
    if name != item.material:
        place.fail(f"material is {name!r}, expected {item.material!r} as item {item.number}")
    target = _number(entry, "target_g", place, 0, 2e6)
    if target is not None and abs(target - float(item.mass_g)) > 1e-9:
        place.fail(
            f"target_g is {target:g}, expected {item.mass_g}: the record was written for another "
            "formula or balance",
            key="target_g",
        )


def _steps(document: Document, record: BatchRecord) -> Iterator[FilledStep]:
    steps = {step.number: step for step in record.steps}
    for about, entry, place in _entries(document, "step", "number", steps):
        keys = [setting.key for setting in steps[about].settings]
        check_keys(entry, ("number", "device", "done_by", "checked_by", *keys), place)
        actual = {key: _number(entry, key, place, -100, 1e8) for key in keys}
        written = {key: value for key, value in actual.items() if value is not None}
        yield FilledStep(about, written, _signatures(entry, place))


def _holds(document: Document, record: BatchRecord) -> Iterator[FilledHold]:
    holds = {hold.key: hold for hold in record.holds}
    for about, entry, place in _entries(document, "hold", "name", holds):
        own = [check.key for check in holds[about].checks]
        other = ["hegman"] if "grind_um" in own else []
        check_keys(entry, ("name", "released_by", *own, *other), place)
        readings = _readings(holds[about], entry, place)
        yield FilledHold(about, readings, optional_text(entry, "released_by", place))


def _readings(hold: Hold, entry: dict[str, Any], place: Place) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for check in hold.checks:
        value: float | str | None
        if check.is_number:
            value = _number(entry, check.key, place, -100, 1e8)
        else:
            value = optional_text(entry, check.key, place) or None
        if value is not None:
            found[check.key] = value
    hegman = _number(entry, "hegman", place, 0, 8)
    if hegman is not None:
        if "grind_um" in found:
            place.fail("has both grind_um and hegman, expected one of them", key="hegman")
        found["grind_um"] = float(hegman_to_um(hegman))
    return found


def _deviations(document: Document, record: BatchRecord) -> Iterator[Deviation]:
    items = [item.number for item in record.weighing.items]
    steps = [step.number for step in record.steps]
    holds = [hold.key for hold in record.holds]
    listed = tables(document.data.get("deviation", []), "deviation", document.top())
    for index, entry in enumerate(listed):
        place = document.top().inside(f"[[deviation]] {index + 1}").at("deviation", index)
        check_keys(entry, _DEVIATION, place)
        what = optional_text(entry, "what", place)
        if not what:
            place.fail("has no what, expected what happened in words")
        yield Deviation(
            what,
            _moment(entry, place),
            optional_text(entry, "who", place),
            optional_text(entry, "decision", place),
            _one_of(entry, "item", items, place) if "item" in entry else None,
            _one_of(entry, "step", steps, place) if "step" in entry else None,
            _one_of(entry, "hold", holds, place) if "hold" in entry else "",
        )


def _moment(entry: dict[str, Any], place: Place) -> str:
    """Return when something happened, as a TOML date or time or in words."""
    value = entry.get("when", "")
    if isinstance(value, datetime.date | datetime.time):
        return str(value)
    return optional_text(entry, "when", place)
