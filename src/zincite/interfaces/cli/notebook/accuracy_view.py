"""How a terminal shows predicted against measured."""

from __future__ import annotations

from rich.text import Text

from zincite.interfaces.cli.notebook.record_view import measured
from zincite.interfaces.cli.terminal import Screen
from zincite.interfaces.documents.numbers import number_text, unit_text, with_unit
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.questions.accuracy import Pair, QuantityAccuracy
from zincite.workbench.notebook.asking import AccuracyReport

__all__ = ["show_accuracy"]

_FEW = 3  # figures whose pairs are listed; of more only the summary


def show_accuracy(screen: Screen, report: AccuracyReport) -> None:
    """Print how each figure was predicted, then its pairs in order of time."""
    found = report.found
    screen.title("predicted against measured")
    if not found.quantities:
        screen.line(
            "No figure was both predicted and measured: keep predictions with "
            "`zincite predict CODE --notebook`."
        )
        return
    screen.table(
        (
            ("figure", "left"), ("test", "left"), ("pairs", "right"), ("inside", "right"),
            ("promised", "right"), ("ratio", "right"), ("mean score", "right"), ("", "left"),
        ),
        (_summary(one) for one in found.quantities),
    )  # fmt: skip
    screen.line(
        "test: the kind of assay. ratio: measured over predicted. mean score: CRPS, small is good.",
        style="dim",
    )
    if len(found.quantities) <= _FEW:
        for one in found.quantities:
            _pairs(screen, one)
    else:
        screen.line("Say --quantity for the pairs of one figure, such as spf.", style="dim")
    if found.more:
        screen.line("Earlier pairs are left out.", style="dim")


def _summary(one: QuantityAccuracy) -> list[str | Text]:
    proud = Text("too sure" if one.too_proud else "", style="bold yellow")
    score = "" if one.mean_crps is None else with_unit(number_text(one.mean_crps), one.unit)
    return [
        quantity_words(one.quantity),
        one.kind,
        str(len(one.pairs)),
        f"{one.inside_count} of {one.count}" if one.count else "",
        f"{100 * one.promised:.0f} %" if one.count else "",
        "" if one.mean_ratio is None else f"{one.mean_ratio:.2f}",
        score,
        proud,
    ]


def _pairs(screen: Screen, one: QuantityAccuracy) -> None:
    unit = f"{unit_text(one.unit)}; " if one.unit else ""
    screen.heading(
        quantity_words(one.quantity), f"{one.kind}; {unit}so far: share inside the interval"
    )
    screen.table(
        (
            ("measured on", "left"), ("result", "left"), ("version", "left"),
            ("predicted", "left"), ("measured", "left"), ("ratio", "right"), ("", "left"),
            ("so far", "right"),
        ),
        (_pair(pair) for pair in one.pairs),
    )  # fmt: skip


def _pair(pair: Pair) -> list[str | Text]:
    said = {True: "inside", False: "outside", None: ""}[pair.inside]
    if not pair.ahead:
        said = "predicted afterwards"
    coverage = "" if pair.coverage is None or not pair.ahead else f"{100 * pair.coverage:.0f} %"
    return [
        pair.on,
        pair.result,
        pair.formula,
        measured(pair.median, pair.low, pair.high, ""),
        measured(pair.measured, pair.measured_low, pair.measured_high, ""),
        "" if pair.ratio is None else f"{pair.ratio:.2f}",
        Text(said, style="bold yellow" if said == "outside" else ""),
        coverage,
    ]
