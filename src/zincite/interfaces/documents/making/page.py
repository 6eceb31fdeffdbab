"""The page of an answer on making: one HTML file that needs no other file and no network."""

from __future__ import annotations

import datetime
from typing import Any

from markupsafe import Markup

from zincite.data.relations import relation
from zincite.interfaces.documents.environment import environment
from zincite.interfaces.documents.making import pictures_of, sheet_of
from zincite.interfaces.documents.rows import versions
from zincite.workbench.making.report import CAUTIONS, MakingReport

__all__ = ["making_html"]


def making_html(
    report: MakingReport[Any], *, made_on: datetime.date | None = None, head: str = ""
) -> str:
    """Return an answer on making as a whole HTML page.

    Parameters
    ----------
    report : MakingReport
    made_on : date, optional
        Printed date; today where left out.
    head : str
        Where the notebook's history ends, as `Head.line` says it; "" without a notebook.

    Returns
    -------
    str
        HTML with its pictures and styles inside; it loads nothing and runs no script.
    """
    basis = report.result.basis
    page: str = (
        environment()
        .get_template("making.html")
        .render(
            sheet=sheet_of(report),
            formula=report.formula,
            files=report.files,
            # `svg` escapes every text that goes into a picture
            pictures=[(p.title, Markup(p.svg), p.caption) for p in pictures_of(report)],
            relations=[relation(key) for key in basis.relations],
            basis=basis,
            cautions=CAUTIONS,
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
            notebook_head=head,
        )
    )
    return page
