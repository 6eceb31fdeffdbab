"""`zincite notebook create`: make an empty notebook."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("create")
@click.argument("where", metavar="FILE_OR_URL")
@as_json
def command(where: str, as_json: bool) -> None:
    """Make an empty notebook: a file, or the tables in a PostgreSQL database.

    One that is there already is brought to the present layout and keeps what it holds.
    """
    from zincite.interfaces.cli.notebook.view import show_created
    from zincite.workbench.notebook.opening import create_notebook

    show(create_notebook(where), show_created, as_json=as_json)
