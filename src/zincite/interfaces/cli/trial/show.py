"""`zincite trial show`: a batch made, with its results."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("show")
@click.argument("code", metavar="CODE")
@notebook
@as_json
def command(code: str, notebook: str, as_json: bool) -> None:
    """Show a trial with its weights, steps, deviations and results."""
    from zincite.interfaces.cli.notebook.view import show_thing
    from zincite.workbench.notebook.showing import show as shown_of

    show(shown_of(notebook, code, noun="trial"), show_thing, as_json=as_json)
