"""`zincite notebook login`: begin a session in a notebook with accounts."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.asking import NEW, ask_password, password_file
from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.notebook.logins import keep
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("login")
@click.argument("name", metavar="NAME")
@password_file
@notebook
@as_json
def command(name: str, password_file: str | None, notebook: str, as_json: bool) -> None:
    """Log in to a notebook with accounts, for 12 hours.

    The session is kept in your state folder (XDG_STATE_HOME or ~/.local/state), readable for you
    alone; commands that write to this notebook use it from then on.
    """
    from zincite.interfaces.cli.notebook.team_view import show_login
    from zincite.workbench.notebook.team import log_in

    made = log_in(notebook, name, ask_password(f"Password of {name}", password_file, NEW))
    keep(notebook, made.session.who, made.session.expires_at)
    show(made, show_login, as_json=as_json)
