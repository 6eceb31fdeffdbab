"""`zincite notebook signatures`: who signed what for what, and whether it is still the same."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("signatures")
@click.argument("code", metavar="[CODE]", default="")
@click.option("--noun", default="", metavar="NOUN", help="Only of this kind, such as formula.")
@notebook
@as_json
def command(code: str, noun: str, notebook: str, as_json: bool) -> int:
    """Show the signatures of a thing, or of all, and whether the content is what was signed.

    Exit status 1 where the content of a signed revision is not what was signed.
    """
    from zincite.interfaces.cli.notebook.team_view import show_all_signatures, show_signatures
    from zincite.workbench.notebook.signing import signatures

    found = signatures(notebook, code, noun=noun)
    show(found, show_signatures if code else show_all_signatures, as_json=as_json)
    return 0 if found.hold else 1
