"""`zincite notebook withdraw`: mark a thing as no longer standing."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("withdraw")
@click.argument("noun", metavar="NOUN")
@click.argument("code", metavar="CODE")
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@click.option(
    "--revision", type=int, metavar="N", help="Only if the thing is still at this revision."
)
@notebook
@who
@as_json
def command(
    noun: str,
    code: str,
    reason: str,
    revision: int | None,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Withdraw a thing: it stays readable with the reason, and new work may not refer to it."""
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.about import withdraw

    made = withdraw(notebook, noun, code, reason=reason, who=who, revision=revision)
    show(made, show_entered, as_json=as_json)
