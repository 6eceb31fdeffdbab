"""How a terminal shows an answer on making: decision, numbers, detail, grounds."""

from __future__ import annotations

from typing import Any

from rich.text import Text

from zincite.data.relations import relation
from zincite.interfaces.cli.sheet_view import show_numbers, show_tables
from zincite.interfaces.cli.terminal import Screen, assumed, clean, verdict
from zincite.interfaces.documents.making import sheet_of
from zincite.workbench.making.report import CAUTIONS, MakingReport

__all__ = ["show_making"]


def show_making(screen: Screen, report: MakingReport[Any]) -> None:
    """Print an answer on making, what the chemist decides on first."""
    sheet, basis = sheet_of(report), report.result.basis
    formula = report.formula
    beside = f"{formula.code} {formula.name}" if formula else ", ".join(report.files)
    screen.title(sheet.title, beside)
    screen.line(
        Text()
        .append(verdict(sheet.verdict, sheet.headline.upper()))
        .append(clean(f"  {sheet.sentence}"))
    )
    if sheet.reasons:
        screen.items(sheet.reasons)
    show_numbers(screen, sheet)
    show_tables(screen, sheet)
    if basis.warnings or sheet.notes:
        screen.heading("Notes")
        screen.items((*basis.warnings, *sheet.notes))
    if basis.assumed:
        screen.heading("Assumed", "your own measurement replaces these")
        screen.items(assumed(said) for said in basis.assumed)
    if basis.relations:
        screen.heading("Relations used")
        rows = [
            (found.id, found.equation, assumed(found.status) if found.is_assumed else found.status)
            for found in map(relation, basis.relations)
        ]
        screen.table((("", "left"), ("", "left"), ("", "left")), rows, widths=(4, 76, 16),
                     header=False)  # fmt: skip
    screen.heading("Before you rely on this")
    screen.items(CAUTIONS)
