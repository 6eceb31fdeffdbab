"""How a terminal shows what a search found."""

from __future__ import annotations

from rich.text import Text

from zincite.interfaces.cli.terminal import Screen, clean
from zincite.notebook.searching import Found, Search

__all__ = ["show_search"]


def show_search(screen: Screen, found: Search) -> None:
    """Print what was found, one a row, its words marked."""
    count = len(found.found)
    if not found.terms:
        screen.line("Nothing to look for: the text holds no letter and no digit.")
        return
    things = "1 thing" if count == 1 else f"{count} things"
    screen.title(f"{things} found", "the best first" if count > 1 else "")
    if count:
        screen.table(
            (("what", "left"), ("name", "left"), ("", "left"), ("where it stands", "left")),
            ([one.noun, one.name, _beside(one), _snippet(one)] for one in found.found),
        )
    if found.more:
        screen.line("There are more: say one word more, or --at-most.", style="dim")
    if not count:
        screen.line("All words must occur; fewer words find more.", style="dim")


def _beside(one: Found) -> Text:
    if one.withdrawn:
        return Text("withdrawn", style="bold red")
    return Text(one.on)


def _snippet(one: Found) -> Text:
    text = Text(clean(one.snippet))
    for start, end in one.marks:
        text.stylize("bold", start, end)
    return text
