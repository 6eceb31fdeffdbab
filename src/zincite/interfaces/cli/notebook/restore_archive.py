"""`zincite notebook restore-archive`: the same notebook again, of its archive."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("restore-archive")
@click.argument("file", metavar="FILE.zip")
@click.option(
    "--head",
    default="",
    metavar="HASH",
    help="Head hash of a document, or its first 8 digits or more: the archive must know it.",
)
@notebook
@as_json
def command(file: str, head: str, notebook: str, as_json: bool) -> None:
    """Make the same notebook again of an archive, in a new file or an empty database.

    The chain and every kept file are checked on the way. An archive that is damaged, cut or
    changed is refused with one sentence, and nothing is written.
    """
    from zincite.interfaces.cli.notebook.taking_out_view import show_unarchived
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.taking_out import restore_archive

    with telling("restoring") as progress:
        made = restore_archive(
            file,
            notebook,
            head=head,
            progress=progress,
        )
    show(made, show_unarchived, as_json=as_json)
