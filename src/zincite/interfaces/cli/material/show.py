"""`zincite material show`: a card of the notebook with its lots."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("show")
@click.argument("key", metavar="KEY")
@notebook
@as_json
def command(key: str, notebook: str, as_json: bool) -> None:
    """Show a card of the notebook with its versions and lots: KEY, or KEY@2 for a version."""
    from zincite.interfaces.cli.notebook.view import show_thing
    from zincite.workbench.notebook.showing import show as shown_of

    show(shown_of(notebook, key, noun="material"), show_thing, as_json=as_json)
