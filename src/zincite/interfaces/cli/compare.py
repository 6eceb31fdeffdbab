"""`zincite compare`: two formulas side by side."""

from __future__ import annotations

import click

from zincite.interfaces.cli.options import as_json, cards, write_text

__all__ = ["compare"]


@click.command()
@click.argument("first", metavar="A.toml")
@click.argument("second", metavar="B.toml")
@as_json
@click.option("--html", metavar="FILE", help="Also write a comparison page with pictures.")
@cards
def compare(first: str, second: str, as_json: bool, html: str | None, cards: str | None) -> None:
    """Compare two formulas: briefs, numbers and changed amounts."""
    from zincite.workbench.formulas import compare as side_by_side
    from zincite.workbench.formulas import open_formula

    pair = side_by_side(open_formula(first, cards=cards), open_formula(second, cards=cards))
    if html is not None:
        from zincite.interfaces.documents.report import comparison_html

        write_text(html, comparison_html((pair.first, pair.second)), what="the comparison")
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
