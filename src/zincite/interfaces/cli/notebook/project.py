"""`zincite notebook project`: begin a project."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("project")
@click.argument("code", metavar="CODE")
@click.option("--name", default="", metavar="TEXT", help="What it is about (the code).")
@click.option("--note", default="", metavar="TEXT", help="Anything else, in words.")
@notebook
@who
@as_json
def command(code: str, name: str, note: str, notebook: str, who: str, as_json: bool) -> None:
    """Begin a project, to which formulas and briefs belong."""
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.projects import enter_project

    show(enter_project(notebook, code, who=who, name=name, note=note), show_entered,
         as_json=as_json)  # fmt: skip
