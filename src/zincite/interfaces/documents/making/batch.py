"""Sheet of a batch record."""

from __future__ import annotations

import math
from decimal import Decimal

from zincite.evaluation.making.batch.batch_record import CONTENT_GROUND, BatchRecord
from zincite.evaluation.making.batch.record_review import RecordReview
from zincite.evaluation.making.batch.record_steps import RecordStep
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
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, joined, value
from zincite.workbench.making.report import MakingReport

__all__ = ["METHOD", "headline_of", "pictures", "sheet"]

METHOD = "content of a batch record after ISO 22716, from memory"


def sheet(report: MakingReport[BatchRecord]) -> Sheet:
    """Return the sheet of a batch record; findings stand first where one was filled in."""
    record = report.result
    word, headline, sentence = headline_of(record)
    review = record.review
    if review is None:
        tables = [_weighing(record), _steps(record), _holds(record)]
    else:
        tables = _review_tables(review)
    return Sheet(
        "Batch record",
        METHOD,
        word,
        headline,
        sentence,
        () if review is None else tuple(f"{f.where}: {f.text}" for f in review.outside),
        _numbers(record),
        tuple(tables),
        (CONTENT_GROUND,),
    )


def pictures(report: MakingReport[BatchRecord]) -> tuple[Picture, ...]:
    """Return nothing: a batch record is lists and fields."""
    del report
    return ()


def headline_of(record: BatchRecord) -> tuple[str, str, str]:
    """Return verdict word, headline and the sentence with the decision."""
    review, weighed = record.review, record.weighing
    if review is not None:
        return review.verdict, _counted(review), _decision(review)
    headline = f"{len(weighed.items)} weights, the sum is exact"
    coarse = [item.material for item in weighed.items if not item.is_fine_enough]
    if coarse:
        names = ", ".join(coarse[:3]) + (" and more" if len(coarse) > 3 else "")
        return "short", headline, f"The balance is too coarse for {names}."
    sentence = (
        f"They make {record.batch_kg.normalize():f} kg; {weighed.remainder.material} takes what "
        "rounding leaves."
    )
    return "passes", headline, sentence


def _counted(review: RecordReview) -> str:
    if review.outside:
        return f"{len(review.outside)} outside, {len(review.open)} open"
    return f"{len(review.open)} open" if review.open else "complete"


def _decision(review: RecordReview) -> str:
    if review.outside:
        return "Do not release: each point outside needs a deviation with a decision."
    if review.open:
        return "Nothing lies outside; fill in what is open before release."
    decided = len(review.filled.deviations)
    with_them = f", {decided} deviation{'s' if decided != 1 else ''} decided" if decided else ""
    return f"All points filled in and signed{with_them}."


def _numbers(record: BatchRecord) -> tuple[Number, ...]:
    weighed = record.weighing
    found = [
        Number(
            "sum of the weights",
            mass_text(sum((i.mass_g for i in weighed.items), Decimal(0)), Decimal(1), Decimal(0)),
            "equals the batch exactly",
        )
    ]
    for name in dict.fromkeys(item.phase for item in weighed.items):
        mass = weighed.phase_g(name)
        share = math.fsum(i.percent for i in weighed.items if i.phase == name)
        shown = mass_text(mass, Decimal(1), weighed.batch_g)
        found.append(Number(f"phase {name}", shown, f"{share:.4g} % of the formula"))
    review = record.review
    if review is not None:
        shown = value(review.weighed_g, "g", decimals=1)
        found.append(Number("weighed in all", shown, "sum of the actual weights"))
        found.append(_yield(review))
    return tuple(found)


def _yield(review: RecordReview) -> Number:
    low, high = review.filled.yield_low_percent, review.filled.yield_high_percent
    limits = " to ".join(f"{limit:g} %" for limit in (low, high) if limit is not None)
    kg = value(review.filled.yield_kg, "kg", decimals=3)
    beside = joined([kg, f"limits {limits}" if limits else "no limits stated"], ", ")
    return Number("yield", value(review.yield_percent, "%", decimals=2), beside)


def _weighing(record: BatchRecord) -> SheetTable:
    batch = record.weighing.batch_g
    rows = tuple(
        (
            str(item.number),
            item.phase,
            item.material,
            number_text(item.percent, digits=4),
            weight(item, batch),
            weight_limits(item, batch),
            f"{item.balance.resolution_g} g",
            " ".join(word.removesuffix(" filter") for word in marks(item)),
        )
        for item in record.weighing.items
    )
    columns = (
        ("", "right"),
        ("phase", "left"),
        ("material", "left"),
        ("%", "right"),
        ("weigh", "right"),
        ("within", "left"),
        ("step", "right"),
        ("", "left"),
    )
    about = "in order of addition; step of the balance; UV: UV filter, dust: respiratory protection"
    return SheetTable("Weighing", columns, rows, about, (2, 5, 29, 5, 12, 21, 6, 7))


def _steps(record: BatchRecord) -> SheetTable:
    batch_kg = float(record.batch_kg)
    rows = tuple(
        (
            str(step.number),
            step_name(step) or "write in",
            ", ".join(step.adds),
            number_text(batch_kg * step.contents_percent / 100, digits=4),
            _work(step, record),
        )
        for step in record.steps
    )
    columns = (
        ("", "right"),
        ("device", "left"),
        ("adds", "left"),
        ("kg inside", "right"),
        ("set points (window), note, hold after it", "left"),
    )
    return SheetTable("Process", columns, rows, widths=(2, 14, 8, 9, 59))


def _work(step: RecordStep, record: BatchRecord) -> str:
    points = [
        f"{setting_name(s.key).split(',')[0]} {setting_text(s)}"
        + (f" ({window_text(s)})" if window_text(s) else "")
        for s in step.settings
        if s.value is not None
    ]
    holds = [hold.title for hold in record.holds if hold.after_step == step.number]
    parts = [", ".join(points) or "set points: write in", step.note.rstrip(".")]
    return joined([*parts, f"HOLD: {', '.join(holds)}" if holds else ""])


def _holds(record: BatchRecord) -> SheetTable:
    rows = tuple(
        (
            hold.title if check is hold.checks[0] else "",
            check.name,
            check_limits(check) or "write in",
            check.ground if check.is_number else "",
        )
        for hold in record.holds
        for check in hold.checks
    )
    columns = (("hold", "left"), ("find", "left"), ("limit", "left"), ("ground", "left"))
    return SheetTable("Hold points", columns, rows, widths=(16, 26, 18, 34))


def _review_tables(review: RecordReview) -> list[SheetTable]:
    words = {"outside": "outside", "open": "open", "note": "note"}
    rows = tuple(
        (
            words[f.kind] if f.deviation is None else f"deviation {f.deviation}",
            f.where,
            f.text,
        )
        for f in review.findings
    )
    columns = (("", "left"), ("where", "left"), ("what", "left"))
    tables = [SheetTable("Findings", columns, rows, widths=(12, 18, 66))] if rows else []
    entries = tuple(
        (str(n), d.what, d.when, d.who, d.decision or "OPEN")
        for n, d in enumerate(review.filled.deviations, start=1)
    )
    if entries:
        heads = tuple((name, "left") for name in ("", "what", "when", "who", "decision"))
        tables.append(SheetTable("Deviations", heads, entries, widths=(2, 34, 12, 12, 32)))
    return tables
