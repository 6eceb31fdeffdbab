"""Any formula's batch record keeps its sum, and its file to fill in reads back."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import formulas

from zincite.errors import OutOfRangeError
from zincite.formula.formula import Formula
from zincite.formula.process import ProcessStep
from zincite.interfaces.documents.making.batch_page import batch_html
from zincite.workbench.making.batch import batch_template, make_batch, review_batch

NOTES = st.text(max_size=20)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    formula=formulas(),
    grams=st.integers(100, 1_000_000),
    note=NOTES,
    number=st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=8),
)
def test_a_template_reads_back_and_the_sum_is_kept(
    formula: Formula, grams: int, note: str, number: str
) -> None:
    steps = (*formula.process, ProcessStep("anchor", {"minutes": 5.0}, (), note))
    noted = replace(formula, process=steps)
    refused = ""
    try:
        report = make_batch(noted, f"{grams / 1000}", batch_number=number)
    except OutOfRangeError as error:
        refused = str(error)
    if refused:
        assert "rounds to nothing" in refused
        return
    assert sum(item.mass_g for item in report.result.weighing.items) == grams
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.toml"
        path.write_text(batch_template(report), "utf-8")
        review = review_batch(report, path).result.review
    assert review is not None
    assert review.verdict == "short"
    assert review.filled.batch_number == number.strip()
    assert "<script" not in batch_html(report)
