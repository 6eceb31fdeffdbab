"""`zincite notebook logout`: end the session."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, who
from zincite.interfaces.cli.notebook.logins import forget
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("logout")
@notebook
@who
@as_json
def command(notebook: str, who: str, as_json: bool) -> None:
    """Log out: the session ends here and in the notebook."""
    from zincite.interfaces.cli.terminal import print_json
    from zincite.workbench.notebook.team import log_out

    ended = log_out(notebook, who)
    forget(notebook)
    if as_json:
        print_json({"logged_out": str(who) if ended else ""})
    else:
        click.echo(f"{who} is logged out" if ended else "nobody was logged in")
