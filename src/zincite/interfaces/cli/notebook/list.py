"""`zincite notebook list`: the things of a noun."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]

_NOUNS = ("formulas", "trials", "lots", "materials", "projects", "results", "decisions")


@click.command("list")
@click.argument("noun", type=click.Choice(_NOUNS), default="formulas")
@click.option(
    "--of",
    default="",
    metavar="CODE",
    help="Only of a project (formulas), formula (trials), trial (results) or material (lots).",
)
@click.option("--latest", is_flag=True, help="Only the latest version of formulas and materials.")
@click.option(
    "--at-most",
    type=click.IntRange(min=1),
    default=100,
    show_default=True,
    metavar="N",
    help="So many trials or results, the latest first.",
)
@notebook
@as_json
def command(noun: str, of: str, latest: bool, at_most: int, notebook: str, as_json: bool) -> None:
    """List formulas (unless said otherwise), trials, lots, materials, projects and more."""
    from zincite.interfaces.cli.notebook.listing_view import show_listing
    from zincite.workbench.notebook.listing import list_nouns

    found = list_nouns(notebook, noun, of=of, latest=latest, at_most=at_most)
    show(found, show_listing, as_json=as_json)
