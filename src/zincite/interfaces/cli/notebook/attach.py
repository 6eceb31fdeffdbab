"""`zincite notebook attach`: keep a file about anything."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("attach")
@click.argument("noun", metavar="NOUN")
@click.argument("code", metavar="CODE")
@click.argument("file", metavar="FILE")
@notebook
@who
@as_json
def command(noun: str, code: str, file: str, notebook: str, who: str, as_json: bool) -> None:
    """Keep a file byte for byte, about anything: a photograph, a certificate, a report."""
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.about import attach

    show(attach(notebook, noun, code, file, who=who), show_entered, as_json=as_json)
