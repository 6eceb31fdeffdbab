"""`zincite notebook comment`: a comment on anything."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("comment")
@click.argument("noun", metavar="NOUN")
@click.argument("code", metavar="CODE")
@click.argument("text", metavar="TEXT")
@notebook
@who
@as_json
def command(noun: str, code: str, text: str, notebook: str, who: str, as_json: bool) -> None:
    """Comment on anything, by its noun and code."""
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.about import comment

    show(comment(notebook, noun, code, text, who=who), show_entered, as_json=as_json)
