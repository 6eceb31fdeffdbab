"""`zincite notebook`: what was made, from which lots, what it measured and why it was decided.

A command is loaded when it is called: module `interfaces/cli/notebook/<name>.py` holds `command`.
"""

from __future__ import annotations

import click

from zincite.interfaces.cli.groups import LazyGroup

__all__ = ["notebook"]

_COMMANDS: tuple[str, ...] = (
    "create",
    "project",
    "brief",
    "add",
    "import",
    "show",
    "list",
    "history",
    "search",
    "changes",
    "where-used",
    "tried",
    "touched",
    "best",
    "accuracy",
    "decide",
    "comment",
    "attach",
    "withdraw",
    "learn-file",
    "sign",
    "signatures",
    "unsign",
    "account",
    "login",
    "logout",
    "whoami",
    "export",
    "archive",
    "restore-archive",
    "verify",
    "backup",
    "restore",
)
"""In the order of the work."""


@click.group(cls=LazyGroup, package=__name__, names=_COMMANDS)
def notebook() -> None:
    """Keep the laboratory's memory: formulas, lots, trials, results, decisions.

    Versions never overwrite and nothing is deleted, only withdrawn with a reason. A notebook is
    one file on a laptop or a PostgreSQL database for a team: name it by --notebook or by the
    environment variable ZINCITE_NOTEBOOK.
    """
