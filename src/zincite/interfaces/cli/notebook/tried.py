"""`zincite notebook tried`: what has been tried with a material."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("tried")
@click.argument("material", metavar="MATERIAL")
@click.option(
    "--at-most",
    type=click.IntRange(min=1),
    default=100,
    show_default=True,
    metavar="N",
    help="So many trials and versions, the latest; all are counted.",
)
@notebook
@as_json
def command(material: str, at_most: int, notebook: str, as_json: bool) -> None:
    """Tell what has been tried with a material, in order of time.

    MATERIAL is the id of a card: versions, trials with what they measured, and decisions.
    """
    from zincite.interfaces.cli.notebook.uses_view import show_tried
    from zincite.workbench.notebook.asking import what_was_tried

    show(what_was_tried(notebook, material, at_most=at_most), show_tried, as_json=as_json)
