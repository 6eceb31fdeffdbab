"""`zincite notebook search`: full-text search."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("search")
@click.argument("words", metavar="WORDS...", nargs=-1, required=True)
@click.option(
    "--at-most",
    type=click.IntRange(min=1, max=1000),
    default=30,
    show_default=True,
    metavar="N",
    help="So many things.",
)
@notebook
@as_json
def command(words: tuple[str, ...], at_most: int, notebook: str, as_json: bool) -> None:
    """Find things by their words, the best first.

    All WORDS must occur; accents, capitals and hyphens do not matter and the end of a word may be
    left out. Words in double quotes must follow each other: '"bead mill"'.
    """
    from zincite.interfaces.cli.notebook.search_view import show_search
    from zincite.workbench.notebook.asking import find_words

    show(find_words(notebook, " ".join(words), limit=at_most), show_search, as_json=as_json)
