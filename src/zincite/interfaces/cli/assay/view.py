"""How a terminal shows an evaluated test: decision, numbers, prediction, detail, what was read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.text import Text

from zincite.interfaces.cli.terminal import Screen, assumed, clean, verdict
from zincite.interfaces.documents.assay import Sheet, sheet_of
from zincite.interfaces.documents.numbers import found_text, number_text, percent_text, with_unit
from zincite.workbench.assay.overlay import Comparison, Overlay
from zincite.workbench.assay.report import CAUTIONS, AssayReport, FileRead, Lines

__all__ = ["show_assay"]

_READ = 6
"""Sentences of a reader's preview that are printed; --json and --html have all."""


def show_assay(screen: Screen, report: AssayReport[Any, Any]) -> None:
    """Print an evaluated test, what the chemist decides on first."""
    sheet = sheet_of(report)
    screen.title(sheet.title, sheet.method)
    screen.line(
        Text()
        .append(verdict(sheet.verdict, sheet.headline.upper()))
        .append(clean(f"  {sheet.sentence}"))
    )
    if sheet.reasons:
        screen.items(sheet.reasons)
    if report.overlay is not None:
        _show_overlay(screen, report.overlay)
    _show_numbers(screen, sheet)
    for table in sheet.tables:
        screen.heading(table.heading, table.about)
        screen.table(table.columns, table.rows, widths=table.widths)
    for lines in report.lines:
        _show_lines(screen, lines)
    _show_files(screen, report.files)
    if sheet.notes:
        screen.heading("Notes")
        screen.items(sheet.notes)
    if report.result.marks:
        screen.heading("From memory or assumed", "not read in the standard")
        screen.items(assumed(mark) for mark in report.result.marks)
    screen.heading("Before you rely on this")
    screen.items(CAUTIONS)


def _show_numbers(screen: Screen, sheet: Sheet) -> None:
    if not sheet.numbers:
        return
    screen.heading("Numbers")
    screen.table(
        (("", "left"), ("", "right"), ("", "left")),
        [(number.name, number.shown, number.beside) for number in sheet.numbers],
        widths=(34, 16, 46),
        header=False,
    )


def comparison_words(item: Comparison) -> str:
    """Return where the measured value lies, in words."""
    if item.inside:
        return "inside"
    return "above" if item.measured > item.predicted.median else "below"


def _show_overlay(screen: Screen, overlay: Overlay) -> None:
    screen.heading("Against the prediction", overlay.formula)
    rows = [
        (
            item.label,
            with_unit(number_text(item.measured), item.predicted.unit),
            found_text(item.predicted),
            comparison_words(item),
            percent_text(item.quantile),
            number_text(item.crps),
        )
        for item in overlay.comparisons
    ]
    if rows:
        screen.table(
            (
                ("", "left"),
                ("measured", "right"),
                ("predicted (90 % interval)", "left"),
                ("it lies", "left"),
                ("quantile", "right"),
                ("CRPS", "right"),
            ),
            rows,
            widths=(26, 12, 26, 7, 10, 9),
        )
    if overlay.panel is not None:
        screen.line(overlay.panel.sentence)
    screen.line(f"Predicted by the {overlay.model}.", style="dim")
    for note in overlay.notes:
        screen.line(note, style="dim")


def _show_lines(screen: Screen, lines: Lines) -> None:
    screen.heading(f"Lines for {lines.purpose}")
    for line in lines.toml:
        screen.line(line)


def _show_files(screen: Screen, files: Iterable[FileRead]) -> None:
    screen.heading("What was read")
    for file in files:
        screen.line(f"{file.name} ({file.role})", style="bold")
        shown = file.understood[:_READ]
        more = len(file.understood) - len(shown)
        screen.items([*shown, *([f"and {more} more, see --json"] if more > 0 else [])])
