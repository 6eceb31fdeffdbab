"""`zincite notebook unsign`: withdraw a signature."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("unsign")
@click.argument("signature", metavar="SIGNATURE")
@click.option("--reason", required=True, metavar="TEXT", help="Why it stands no longer.")
@notebook
@who
@as_json
def command(signature: str, reason: str, notebook: str, who: str, as_json: bool) -> None:
    """Withdraw a signature by its id, as `signatures` shows it; it stays readable."""
    from zincite.interfaces.cli.notebook.team_view import show_signed
    from zincite.workbench.notebook.signing import withdraw_signature

    made = withdraw_signature(notebook, signature, reason=reason, who=who)
    show(made, show_signed, as_json=as_json)
