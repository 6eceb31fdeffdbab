"""`zincite notebook history`: who did what, the latest first."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("history")
@click.argument("code", metavar="[CODE]", default="")
@click.option(
    "--at-most",
    type=click.IntRange(min=1),
    default=100,
    show_default=True,
    metavar="N",
    help="So many events.",
)
@notebook
@as_json
def command(code: str, at_most: int, notebook: str, as_json: bool) -> None:
    """Tell what happened, to everything or to one thing and what hangs on it."""
    from zincite.interfaces.cli.notebook.listing_view import show_history
    from zincite.workbench.notebook.listing import history

    show(history(notebook, code, at_most=at_most), show_history, as_json=as_json)
