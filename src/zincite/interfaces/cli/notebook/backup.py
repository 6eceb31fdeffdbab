"""`zincite notebook backup`: a verified copy of the file."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("backup")
@click.argument("target", metavar="TARGET")
@click.option("--force", is_flag=True, help="Replace TARGET if it is there.")
@notebook
@as_json
def command(target: str, force: bool, notebook: str, as_json: bool) -> None:
    """Copy the notebook's file to TARGET while others go on writing it.

    The copy is the notebook at one moment, with passwords, and is verified before it takes its
    name. Keep it on another disk. A PostgreSQL database is copied by `zincite notebook archive`
    or by the server's own pg_dump.
    """
    from zincite.interfaces.cli.notebook.care_view import show_copied
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.care import backup

    with telling("copying and verifying") as progress:
        made = backup(notebook, target, replace=force, progress=progress)
    show(made, show_copied("Backup is written"), as_json=as_json)
