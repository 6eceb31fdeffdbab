"""`zincite notebook changes`: what differs between two versions or trials."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("changes")
@click.argument("first", metavar="FIRST")
@click.argument("second", metavar="SECOND")
@notebook
@as_json
def command(first: str, second: str, notebook: str, as_json: bool) -> None:
    """Tell what changed between two formula versions or trials, and what it did.

    FIRST and SECOND are versions such as K-07@2 (K-07 is its latest) or trials such as T-012:
    percent per material, grades, lots, process, predicted and measured figures.
    """
    from zincite.interfaces.cli.notebook.changes_view import show_changes
    from zincite.workbench.notebook.asking import what_changed

    show(what_changed(notebook, first, second), show_changes, as_json=as_json)
