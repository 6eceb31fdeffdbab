"""`zincite notebook whoami`: under which name one writes."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("whoami")
@notebook
@who
@as_json
def command(notebook: str, who: str, as_json: bool) -> int:
    """Say under which name you write here, and how that is known.

    Exit status 1 where a login is needed and nobody is logged in.
    """
    from zincite.interfaces.cli.notebook.team_view import show_me
    from zincite.workbench.notebook.team import who_am_i

    found = who_am_i(notebook, who=who)
    show(found, show_me, as_json=as_json)
    return 0 if found.who else 1
