"""`zincite trial list`: batches made."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("list")
@click.option(
    "--formula", default="", metavar="CODE[@N]", help="Only of a formula, or one version of it."
)
@click.option(
    "--at-most",
    type=click.IntRange(min=1),
    default=100,
    show_default=True,
    metavar="N",
    help="So many, the latest made first.",
)
@notebook
@as_json
def command(formula: str, at_most: int, notebook: str, as_json: bool) -> None:
    """List trials, the latest made first."""
    from zincite.interfaces.cli.notebook.listing_view import show_listing
    from zincite.workbench.notebook.listing import list_nouns

    found = list_nouns(notebook, "trials", of=formula, at_most=at_most)
    show(found, show_listing, as_json=as_json)
