"""`zincite notebook decide`: a decision about anything."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("decide")
@click.argument("noun", metavar="NOUN")
@click.argument("code", metavar="CODE")
@click.argument("verdict", metavar="VERDICT")
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@notebook
@who
@as_json
def command(
    noun: str, code: str, verdict: str, reason: str, notebook: str, who: str, as_json: bool
) -> None:
    """Decide about a formula, a trial or anything else: go on, fix, drop or release.

    NOUN is such as formula, trial or result; VERDICT is "go on", fix, drop or release.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.about import decide

    made = decide(notebook, noun, code, verdict, reason=reason, who=who)
    show(made, show_entered, as_json=as_json)
