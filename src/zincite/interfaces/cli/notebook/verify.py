"""`zincite notebook verify`: is everything still as it was written."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("verify")
@click.option(
    "--head",
    default="",
    metavar="HASH",
    help="Head hash that a document prints: the history must still hold it.",
)
@notebook
@as_json
@click.pass_context
def command(ctx: click.Context, head: str, notebook: str, as_json: bool) -> None:
    """Check that nothing was changed, deleted or added past the notebook.

    Every event is held against its hash and the event before it, every row and kept file against
    its event. A history whose end was cut off, or written anew by somebody who knows how, is only
    found by --head. Exit status: 0 it holds, 1 it does not, 2 there is no notebook.
    """
    from zincite.interfaces.cli.notebook.care_view import show_checked
    from zincite.interfaces.cli.notebook.telling import telling
    from zincite.workbench.notebook.care import verify_notebook

    with telling("verifying") as progress:
        made = verify_notebook(notebook, head=head, progress=progress)
    show(made, show_checked, as_json=as_json)
    ctx.exit(0 if made.found.holds else 1)
