"""`zincite material list`: the laboratory's own cards."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("list")
@click.option("--all", "every", is_flag=True, help="All versions, not only the latest of each.")
@notebook
@as_json
def command(every: bool, notebook: str, as_json: bool) -> None:
    """List the laboratory's own cards; `zincite materials list` lists the library's."""
    from zincite.interfaces.cli.notebook.listing_view import show_listing
    from zincite.workbench.notebook.listing import list_nouns

    show(list_nouns(notebook, "materials", latest=not every), show_listing, as_json=as_json)
