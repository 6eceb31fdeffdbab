"""The page of predicted against measured: one HTML file that needs no other and no network."""

from __future__ import annotations

import datetime

from markupsafe import Markup

from zincite.interfaces.documents.environment import environment
from zincite.interfaces.documents.figures.notebook_accuracy import (
    accuracy_over_time,
    coverage_over_time,
)
from zincite.interfaces.documents.numbers import number_text, with_unit
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.interfaces.documents.rows import versions
from zincite.interfaces.documents.sheet import SheetTable
from zincite.notebook.questions.accuracy import QuantityAccuracy
from zincite.workbench.notebook.asking import AccuracyReport

__all__ = ["accuracy_html"]

_LEAST = 5  # tests from which a running share says something


def accuracy_html(report: AccuracyReport, *, made_on: datetime.date | None = None) -> str:
    """Return predicted against measured as a whole HTML page.

    Parameters
    ----------
    report : AccuracyReport
    made_on : date, optional
        Printed date; today where left out.

    Returns
    -------
    str
        HTML with its pictures and styles inside; it loads nothing and runs no script.
    """
    found = report.found.quantities
    page: str = (
        environment()
        .get_template("notebook_accuracy.html")
        .render(
            report=report,
            proud=[
                f"{quantity_words(one.quantity)} ({one.kind})" for one in found if one.too_proud
            ],
            summary=_summary(found),
            figures=[_figure(n, one) for n, one in enumerate(found)],
            versions=versions(),
            made_on=(made_on or datetime.date.today()).isoformat(),
        )
    )
    return page


def _summary(found: tuple[QuantityAccuracy, ...]) -> SheetTable:
    columns = (
        ("figure", "left"), ("test", "left"), ("pairs", "right"), ("inside the interval", "right"),
        ("promised", "right"), ("measured / predicted", "right"),
        ("mean score (CRPS)", "right"), ("", "left"),
    )  # fmt: skip
    return SheetTable("All figures", columns, tuple(_row(one) for one in found))


def _row(one: QuantityAccuracy) -> tuple[str, ...]:
    return (
        quantity_words(one.quantity),
        one.kind,
        str(len(one.pairs)),
        f"{one.inside_count} of {one.count}" if one.count else "",
        f"{100 * one.promised:.0f} %" if one.count else "",
        "" if one.mean_ratio is None else f"{one.mean_ratio:.2f}",
        "" if one.mean_crps is None else with_unit(number_text(one.mean_crps), one.unit),
        "too sure" if one.too_proud else "",
    )


def _figure(number: int, one: QuantityAccuracy) -> tuple[str, list[Markup], str]:
    # `svg` escapes every text that goes into a picture
    pictures = [Markup(accuracy_over_time(one, key=f"pairs{number}"))]
    if one.count >= _LEAST:
        pictures.append(Markup(coverage_over_time(one, key=f"held{number}")))
    ratio = "" if one.mean_ratio is None else f" Measured over predicted: {one.mean_ratio:.2f}."
    late = sum(not pair.ahead for pair in one.pairs)
    after = f" {late} predicted after the trial, drawn faint, count for nothing." if late else ""
    held = f"{one.inside_count} of {one.count} inside the 90 % interval." if one.count else ""
    return f"{quantity_words(one.quantity)}, {one.kind}", pictures, f"{held}{ratio}{after}".strip()
