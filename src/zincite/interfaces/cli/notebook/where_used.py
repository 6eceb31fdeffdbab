"""`zincite notebook where-used`: where a lot or a material went."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("where-used")
@click.argument("code", metavar="LOT_OR_MATERIAL")
@click.option(
    "--at-most",
    type=click.IntRange(min=1),
    default=100,
    show_default=True,
    metavar="N",
    help="So many trials and versions; all are counted.",
)
@notebook
@as_json
def command(code: str, at_most: int, notebook: str, as_json: bool) -> None:
    """Tell where a lot or a material is used: trials with grams, versions with percent.

    A material is also found inside the blends that hold it.
    """
    from zincite.interfaces.cli.notebook.uses_view import show_where_used
    from zincite.workbench.notebook.asking import where_used

    show(where_used(notebook, code, at_most=at_most), show_where_used, as_json=as_json)
