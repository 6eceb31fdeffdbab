"""`zincite notebook archive`: everything in one file."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("archive")
@click.argument("file", metavar="FILE.zip")
@click.option("--force", is_flag=True, help="Replace FILE.zip if it is there.")
@notebook
@as_json
def command(file: str, force: bool, notebook: str, as_json: bool) -> None:
    """Write the whole notebook into one .zip file, to keep or to move.

    It holds every event of the history and every kept file byte for byte, and is the same file
    whether the notebook is an SQLite file or a PostgreSQL database. Passwords and sessions are
    left out. `zincite notebook restore-archive` makes the same notebook of it again.
    """
    from zincite.interfaces.cli.notebook.taking_out_view import show_archived
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.taking_out import archive

    with telling("archiving") as progress:
        made = archive(
            notebook,
            file,
            replace=force,
            progress=progress,
        )
    show(made, show_archived, as_json=as_json)
