"""Batch records: make one, write the file to fill in, review a filled one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from zincite.evaluation.making.batch.batch_record import BatchRecord, WeighingRules, batch_record
from zincite.evaluation.making.batch.filled_reading import read_filled
from zincite.evaluation.making.batch.filled_template import template_text
from zincite.evaluation.making.batch.record_holds import References
from zincite.evaluation.making.batch.record_review import review_record
from zincite.formula.formula import Formula
from zincite.workbench.making.report import MakingReport

__all__ = ["batch_template", "make_batch", "review_batch"]


def make_batch(
    formula: Formula,
    batch_kg: str | float,
    rules: WeighingRules | None = None,
    *,
    batch_number: str = "",
    references: References | None = None,
) -> MakingReport[BatchRecord]:
    """Return the empty record of a batch; see `batch_record`."""
    made = batch_record(formula, batch_kg, rules, batch_number=batch_number, references=references)
    return MakingReport("batch", made, formula)


def batch_template(report: MakingReport[BatchRecord]) -> str:
    """Return the file to fill in.

    Raises
    ------
    ValueError
        If the report names no formula.
    """
    return template_text(_formula(report), report.result)


def review_batch(
    report: MakingReport[BatchRecord], filled: str | Path
) -> MakingReport[BatchRecord]:
    """Return the record with the review of a filled file.

    Raises
    ------
    InputError
        If the file cannot be read or belongs to another record.
    ValueError
        If the report names no formula.
    """
    record = report.result
    written = read_filled(filled, _formula(report), record)
    review = review_record(written, record.weighing, record.steps, record.holds)
    number = record.batch_number or written.batch_number
    return replace(
        report,
        result=replace(record, batch_number=number, review=review),
        files=(*report.files, Path(filled).name),
    )


def _formula(report: MakingReport[BatchRecord]) -> Formula:
    if report.formula is None:
        raise ValueError("a batch record names its formula")
    return report.formula
