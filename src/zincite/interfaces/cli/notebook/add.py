"""`zincite notebook add`: enter a formula as a new version."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json, cards, formula_file

__all__ = ["command"]


@click.command("add")
@formula_file
@click.option("--project", required=True, metavar="CODE", help="Project it belongs to.")
@click.option(
    "--reason", default="", metavar="TEXT", help="Why it was made; needed from version 2 on."
)
@click.option(
    "--parent",
    metavar="CODE@N",
    help="Version it came from, of any code (the latest of its own).",
)
@click.option(
    "--predict/--no-predict",
    "predicted",
    default=False,
    show_default=True,
    help="Predict it and keep the prediction.",
)
@cards
@notebook
@who
@as_json
def command(
    formula: str,
    project: str,
    reason: str,
    parent: str | None,
    predicted: bool,
    cards: str | None,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Enter a formula as a new version of its code, with its brief and its own cards.

    The code is that of the file; versions are numbered K-07@1, K-07@2 and never change. The file's
    text is kept beside what is stored.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.formulas import enter_formula

    made = enter_formula(
        notebook,
        formula,
        project,
        who=who,
        reason=reason,
        parent=parent,
        cards=cards,
        predicted=predicted,
    )
    show(made, show_entered, as_json=as_json)
