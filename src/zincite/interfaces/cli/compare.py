"""`zincite compare`: two formulas side by side."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import optional_notebook
from zincite.interfaces.cli.opening import head_line, opened_formula
from zincite.interfaces.cli.options import as_json, cards, write_text

__all__ = ["compare"]


@click.command()
@click.argument("first", metavar="A.toml")
@click.argument("second", metavar="B.toml")
@as_json
@click.option("--html", metavar="FILE", help="Also write a comparison page with pictures.")
@cards
@optional_notebook
def compare(
    first: str,
    second: str,
    as_json: bool,
    html: str | None,
    cards: str | None,
    notebook: str | None,
) -> None:
    """Compare two formulas: briefs, numbers and changed amounts.

    With --notebook both are stored versions such as K-07@1 and K-07@2.
    """
    from zincite.workbench.formulas import compare as side_by_side

    pair = side_by_side(
        opened_formula(first, cards, notebook), opened_formula(second, cards, notebook)
    )
    if html is not None:
        from zincite.interfaces.documents.report import comparison_html

        page = comparison_html((pair.first, pair.second), head=head_line(notebook))
        write_text(html, page, what="the comparison")
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(pair.to_dict())
        return
    from zincite.interfaces.cli.comparison_view import show_comparison

    screen = Screen()
    show_comparison(screen, pair)
    if html is not None:
        screen.heading("Comparison page")
        screen.line(html)
    screen.write()
