"""`zincite making`: dispersion, ions, emulsion, process and scale, before and beside the bench.

A command is loaded when it is called: module `interfaces/cli/making/<name>.py` holds `command`.
"""

from __future__ import annotations

import click

from zincite.interfaces.cli.groups import LazyGroup

__all__ = ["making"]

_COMMANDS: tuple[str, ...] = (
    "bench",
    "ladder",
    "points",
    "mill-base",
    "deagglomeration",
    "fit",
    "ions",
    "emulsion",
    "feel",
    "process",
    "scale-up",
)
"""In the order of the work."""


@click.group(cls=LazyGroup, package=__name__, names=_COMMANDS)
def making() -> None:
    """Carry the bench decisions from wetting agent to plant card.

    Each command answers one question with its grounds: the relations used, what is assumed, what
    limits it. --html FILE writes one page with pictures.
    """
