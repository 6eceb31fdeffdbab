"""`zincite notebook brief`: give a project a brief."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("brief")
@click.argument("project", metavar="PROJECT")
@click.argument("file", metavar="BRIEF.toml")
@click.option(
    "--reason",
    default="",
    metavar="TEXT",
    help="Why it takes the place of the one before; needed from the second on.",
)
@notebook
@who
@as_json
def command(project: str, file: str, reason: str, notebook: str, who: str, as_json: bool) -> None:
    """Give a project a brief: what its formulas are to reach.

    A formula's own brief is entered with it; this is for a brief that has no formula yet.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.projects import enter_brief

    made = enter_brief(notebook, project, file, who=who, reason=reason)
    show(made, show_entered, as_json=as_json)
