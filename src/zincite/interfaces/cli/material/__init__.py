"""`zincite material`: cards and lots of the laboratory's own materials.

A command is loaded when it is called: module `interfaces/cli/material/<name>.py` holds `command`.
"""

from __future__ import annotations

import click

from zincite.interfaces.cli.groups import LazyGroup

__all__ = ["material"]

_COMMANDS: tuple[str, ...] = ("add", "list", "show", "lot", "lots")
"""In the order of the work."""


@click.group(cls=LazyGroup, package=__name__, names=_COMMANDS)
def material() -> None:
    """Enter and show the laboratory's materials and their lots in the notebook.

    `zincite materials` shows the cards that ship with zincite; these are the laboratory's own.
    """
