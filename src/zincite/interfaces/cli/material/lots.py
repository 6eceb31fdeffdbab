"""`zincite material lots`: lots and their expiry."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("lots")
@click.argument("key", metavar="[KEY]", default="")
@click.option("--expired", is_flag=True, help="Only those that have expired by today.")
@notebook
@as_json
def command(key: str, expired: bool, notebook: str, as_json: bool) -> None:
    """List the lots of a material, or of all."""
    from zincite.interfaces.cli.notebook.listing_view import show_listing
    from zincite.workbench.notebook.listing import list_nouns

    found = list_nouns(notebook, "lots", of=key, expired=expired)
    show(found, show_listing, as_json=as_json)
