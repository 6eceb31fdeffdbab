"""`zincite making`: dispersion, ions, emulsion, process and scale, before and beside the bench.

A command is loaded when it is called: module `interfaces/cli/making/<name>.py` holds `command`.
"""

from __future__ import annotations

from importlib import import_module

import click

from zincite.interfaces.cli.groups import CommandGroup

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


class _Lazy(CommandGroup):
    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        found: click.Command = import_module(f"{__name__}.{cmd_name.replace('-', '_')}").command
        return found


@click.group(cls=_Lazy)
def making() -> None:
    """Carry the bench decisions from wetting agent to plant card.

    Each command answers one question with its grounds: the relations used, what is assumed, what
    limits it. --html FILE writes one page with pictures.
    """
