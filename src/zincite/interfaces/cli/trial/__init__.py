"""`zincite trial`: batches made, and what they measured.

A command is loaded when it is called: module `interfaces/cli/trial/<name>.py` holds `command`.
"""

from __future__ import annotations

import click

from zincite.interfaces.cli.groups import LazyGroup

__all__ = ["trial"]

_COMMANDS: tuple[str, ...] = ("add", "list", "show", "result", "value")
"""In the order of the work."""


@click.group(cls=LazyGroup, package=__name__, names=_COMMANDS)
def trial() -> None:
    """Enter and show trials: batches made, and what they measured.

    A trial is a batch of a formula version, with the lots and weights that went into it.
    """
