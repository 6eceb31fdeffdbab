"""How a terminal shows the numbers and tables of a sheet."""

from __future__ import annotations

from zincite.interfaces.cli.terminal import Screen
from zincite.interfaces.documents.sheet import Sheet

__all__ = ["show_numbers", "show_tables"]


def show_numbers(screen: Screen, sheet: Sheet) -> None:
    """Print the numbers, nothing where there are none."""
    if not sheet.numbers:
        return
    screen.heading("Numbers")
    screen.table(
        (("", "left"), ("", "right"), ("", "left")),
        [(number.name, number.shown, number.beside) for number in sheet.numbers],
        widths=(29, 15, 52),
        header=False,
    )


def show_tables(screen: Screen, sheet: Sheet) -> None:
    """Print the tables of detail."""
    for table in sheet.tables:
        screen.heading(table.heading, table.about)
        screen.table(table.columns, table.rows, widths=table.widths)
