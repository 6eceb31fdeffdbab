"""How a terminal shows an evaluated test: decision, numbers, prediction, detail, what was read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.text import Text

from zincite.interfaces.cli.sheet_view import show_numbers, show_tables
from zincite.interfaces.cli.terminal import Screen, assumed, clean, verdict
from zincite.interfaces.documents.assay import sheet_of
from zincite.interfaces.documents.assay.against import prediction_table
from zincite.workbench.assay.overlay import Overlay
from zincite.workbench.assay.report import CAUTIONS, AssayReport, FileRead, Lines

__all__ = ["show_assay"]

_TOGETHER = 80
"""Letters of title and method up to which they stand on one line."""
_READ = 6
"""Sentences of a reader's preview that are printed; --json and --html have all."""


def show_assay(screen: Screen, report: AssayReport[Any, Any]) -> None:
    """Print an evaluated test, what the chemist decides on first."""
    sheet = sheet_of(report)
    beside = len(sheet.title) + len(sheet.method) < _TOGETHER
    screen.title(sheet.title, sheet.method if beside else "")
    if not beside:
        screen.line(sheet.method, style="dim")
    screen.line(
        Text()
        .append(verdict(sheet.verdict, sheet.headline.upper()))
        .append(clean(f"  {sheet.sentence}"))
    )
    if sheet.reasons:
        screen.items(sheet.reasons)
    if report.overlay is not None:
        _show_overlay(screen, report.overlay)
    show_numbers(screen, sheet)
    show_tables(screen, sheet)
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


def _show_overlay(screen: Screen, overlay: Overlay) -> None:
    table = prediction_table(overlay)
    screen.heading(table.heading, table.about)
    if table.rows:
        screen.table(table.columns, table.rows, widths=table.widths)
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
