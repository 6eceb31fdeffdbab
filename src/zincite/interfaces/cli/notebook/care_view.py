"""How a terminal tells whether a notebook holds, and where its copy lies."""

from __future__ import annotations

from collections.abc import Callable

from zincite.interfaces.cli.terminal import Screen, verdict
from zincite.workbench.notebook.care import Checked, Copied

__all__ = ["show_checked", "show_copied"]


def show_checked(screen: Screen, made: Checked) -> None:
    """Print whether the history holds, the first bad event first."""
    found = made.found
    screen.title(made.notebook, f"{found.events:,} event{'' if found.events == 1 else 's'}")
    if found.holds:
        screen.line(verdict("passes", "holds"))
        screen.line("Every event, row and kept file is as it was written.")
        if made.head:
            screen.line(f"The printed head {made.head[:16]} is in its history.")
    else:
        screen.line(verdict("fails", "does not hold"))
        screen.items(fault.sentence for fault in found.faults)
        if not found.complete:
            screen.line("There may be more.")
        screen.line()
        screen.line(
            "Keep this notebook as it is, and restore the last backup that holds under a new name: "
            "`zincite notebook restore`."
        )
    if made.read_only:
        screen.line(f"Open for reading only: {made.read_only}.")
    if found.head:
        screen.line()
        screen.line(f"notebook head {found.head} (event {found.events})", style="dim")


def show_copied(title: str) -> Callable[[Screen, Copied], None]:
    """Return what prints a copy that was verified."""

    def view(screen: Screen, made: Copied) -> None:
        screen.title(title, f"{made.events:,} event{'' if made.events == 1 else 's'}")
        screen.pairs((("file", f"{made.target}  ({_size(made.bytes)})"), ("of", made.source)))
        screen.line("Verified after writing: every event, row and kept file is as it was written.")
        screen.line()
        head = (
            f"{made.head_hash} (event {made.events})" if made.head_hash else "none (no event yet)"
        )
        screen.line(f"notebook head {head}", style="dim")

    return view


def _size(count: int) -> str:
    size, unit = float(count), "bytes"
    for larger in ("kB", "MB", "GB"):
        if size < 1000:
            break
        size, unit = size / 1000, larger
    return f"{size:,.0f} {unit}" if unit == "bytes" else f"{size:,.1f} {unit}"
