"""The page of an evaluated test: one HTML file that needs no other file and no network."""

from __future__ import annotations

import datetime
from typing import Any

from markupsafe import Markup

from zincite.interfaces.documents.assay import sheet_of
from zincite.interfaces.documents.assay.against import prediction_table
from zincite.interfaces.documents.assay.pictures import pictures_of
from zincite.interfaces.documents.environment import environment
from zincite.interfaces.documents.rows import versions
from zincite.workbench.assay.report import CAUTIONS, AssayReport

__all__ = ["assay_html"]


def assay_html(
    report: AssayReport[Any, Any], *, made_on: datetime.date | None = None, head: str = ""
) -> str:
    """Return an evaluated test as a whole HTML page.

    Parameters
    ----------
    report : AssayReport
    made_on : date, optional
        Printed date; today where left out.
    head : str
        Where the notebook's history ends, as `Head.line` says it; "" without a notebook.

    Returns
    -------
    str
        HTML with its pictures and styles inside; it loads nothing and runs no script.
    """
    overlay = report.overlay
    page: str = (
        environment()
        .get_template("assay.html")
        .render(
            sheet=sheet_of(report),
            # `svg` escapes every text that goes into a picture
            pictures=[(p.title, Markup(p.svg), p.caption) for p in pictures_of(report)],
            swatches=[Markup(s) for s in _swatches(report)],
            overlay=overlay,
            predicted=None if overlay is None else prediction_table(overlay),
            lines=report.lines,
            files=report.files,
            marks=report.result.marks,
            cautions=CAUTIONS,
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
            notebook_head=head,
        )
    )
    return page


def _swatches(report: AssayReport[Any, Any]) -> list[str]:
    """Return the measured colours, empty for other tests."""
    if report.kind != "colour":
        return []
    from zincite.interfaces.documents.figures.assay_colour import measured_swatch

    return [measured_swatch(x, surface=report.result.surface) for x in report.result.classes]
