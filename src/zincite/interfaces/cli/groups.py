"""A group of commands whose help shows each command's first sentence whole."""

from __future__ import annotations

import click

__all__ = ["CommandGroup"]


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
