"""`zincite notebook restore`: a notebook of a backup."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("restore")
@click.argument("backup", metavar="BACKUP")
@click.argument("target", metavar="TARGET")
@as_json
def command(backup: str, target: str, as_json: bool) -> None:
    """Make the notebook TARGET of a BACKUP, and verify it.

    TARGET is a new name: a notebook that is there is never replaced. Move a damaged one away
    first, and keep it. The backup itself is only read.
    """
    from zincite.interfaces.cli.notebook.care_view import show_copied
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.care import restore

    with telling("copying and verifying") as progress:
        made = restore(backup, target, progress=progress)
    show(made, show_copied("Notebook is restored"), as_json=as_json)
