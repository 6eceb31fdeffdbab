"""A group of commands whose help shows each command's first sentence whole."""

from __future__ import annotations

from importlib import import_module
from keyword import iskeyword
from typing import Any

import click

__all__ = ["CommandGroup", "LazyGroup"]


class CommandGroup(click.Group):
    """A group; click's own help would cut the sentences of its commands short."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands, long sentences wrapped."""
        rows = []
        for name in self.list_commands(ctx):
            command = self.get_command(ctx, name)
            if command is not None and not command.hidden:
                rows.append((name, _first_sentence(command.help or "")))
        if rows:
            with formatter.section("Commands"):
                formatter.write_dl(rows)


def _first_sentence(text: str) -> str:
    paragraph = " ".join(text.strip().split("\n\n")[0].split())
    end = paragraph.find(". ")
    return paragraph if end < 0 else paragraph[: end + 1]


class LazyGroup(CommandGroup):
    """A group whose commands are loaded when they are called.

    Module `<package>.<name>` holds a command as `command`; a hyphen in the name is an underscore
    in the module's, and a name that Python keeps for itself, such as "import", ends in one.

    Attributes
    ----------
    package : str
        Where the modules lie.
    names : tuple of str
        Names of the commands, in the order in which help shows them.
    """

    def __init__(self, *given: Any, package: str, names: tuple[str, ...], **extra: Any) -> None:
        super().__init__(*given, **extra)
        self.package = package
        self.names = names

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the work."""
        del ctx
        return list(self.names)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Load a command, None where the group has none of that name."""
        del ctx
        if cmd_name not in self.names:
            return None
        module = cmd_name.replace("-", "_") + "_" * iskeyword(cmd_name)
        found: click.Command = import_module(f"{self.package}.{module}").command
        return found
