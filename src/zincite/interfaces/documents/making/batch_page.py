"""The paper of a batch record: one HTML file to print on A4, empty or with what was filled in."""

from __future__ import annotations

import datetime

from zincite.evaluation.making.batch.batch_record import (
    CLEARANCE,
    CONTENT_GROUND,
    SAMPLES,
    BatchRecord,
)
from zincite.interfaces.documents.environment import environment
from zincite.interfaces.documents.making.batch import headline_of
from zincite.interfaces.documents.making.batch_rows import blocks
from zincite.interfaces.documents.making.batch_words import step_name
from zincite.interfaces.documents.rows import versions
from zincite.workbench.making.report import CAUTIONS, MakingReport

__all__ = ["batch_html"]

_EMPTY_DEVIATIONS = 5
"""Lines for deviations on an empty record."""


def batch_html(
    report: MakingReport[BatchRecord], *, made_on: datetime.date | None = None, head: str = ""
) -> str:
    """Return a batch record as a whole HTML page.

    Parameters
    ----------
    report : MakingReport of BatchRecord
    made_on : date, optional
        Printed date of issue; today where left out.
    head : str
        Where the notebook's history ends, as `Head.line` says it; "" without a notebook.

    Returns
    -------
    str
        HTML with its styles inside; it loads nothing and runs no script.
    """
    record = report.result
    phases, steps = blocks(record)
    review = record.review
    filled = None if review is None else review.filled
    devices = dict.fromkeys(step_name(step) for step in record.steps)
    scales = sorted({item.balance.resolution_g for item in record.weighing.items})
    page: str = (
        environment()
        .get_template("batch.html")
        .render(
            record=record,
            formula=report.formula,
            batch_size=f"{record.batch_kg.normalize():f} kg",
            phases=phases,
            steps=steps,
            review=review,
            filled=filled,
            headline=headline_of(record),
            equipment=[*(f"balance, step {step:f} g" for step in scales), *devices],
            clearance=CLEARANCE,
            samples=SAMPLES,
            basis=record.basis,
            content_ground=CONTENT_GROUND,
            cautions=CAUTIONS,
            deviations=() if filled is None else filled.deviations,
            blank_deviations=_EMPTY_DEVIATIONS,
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
            notebook_head=head,
        )
    )
    return page
