"""How a terminal tells what was taken out of a notebook, or put back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from zincite.interfaces.cli.terminal import Screen
from zincite.workbench.notebook.taking_out import Archived, Exported, Unarchived

__all__ = ["show_archived", "show_exported", "show_unarchived"]


def show_archived(screen: Screen, made: Archived) -> None:
    """Print what the archive holds, and what not."""
    said = made.manifest
    screen.title("Archive is written", _events(said.events))
    screen.pairs(
        (
            ("file", f"{made.path}  ({_size(made.bytes)})"),
            ("holds", _counted(said.nouns)),
            ("kept files", f"{said.files}  ({_size(said.files_bytes)})"),
            ("left out", _listed(made.left_out)),
        )
    )
    screen.line()
    screen.line("Restore it into an empty notebook with `zincite notebook restore-archive`.")
    _head(screen, said.head_hash)


def show_unarchived(screen: Screen, made: Unarchived) -> None:
    """Print what was restored, and what is left to do."""
    said = made.manifest
    screen.title("Notebook is restored", _events(said.events))
    screen.pairs(
        (
            ("notebook", made.notebook),
            ("from", f"{made.archive}, written by {said.software}"),
            ("holds", _counted(said.nouns)),
            ("kept files", f"{said.files}  ({_size(said.files_bytes)})"),
        )
    )
    if made.accounts:
        screen.heading("Still to do")
        screen.items(
            (
                f"an archive holds no passwords: {_needed(made.accounts)}, a lead's first, with "
                "`zincite notebook account password NAME`",
            )
        )
    _head(screen, said.head_hash)


def show_exported(screen: Screen, made: Exported) -> None:
    """Print which tables were written and what the file could not hold."""
    screen.title("Export is written", _events(made.events))
    screen.pairs(
        (("file", made.path), ("of", f"project {made.project}" if made.project else "everything"))
    )
    screen.line()
    screen.table(
        (("table", "left"), ("rows", "right")),
        [(name, f"{count:,}") for name, count in made.tables.items()],
    )
    if made.notes:
        screen.heading("Look at this")
        screen.items(made.notes)
    _head(screen, made.head_hash)


def _head(screen: Screen, head_hash: str) -> None:
    screen.line()
    screen.line(f"head {head_hash or '(no event yet)'}", style="dim")


def _events(count: int) -> str:
    return f"{count:,} event{'' if count == 1 else 's'}"


def _needed(accounts: int) -> str:
    if accounts == 1:
        return "1 account needs a new password"
    return f"{accounts:,} accounts need new passwords"


def _counted(nouns: Mapping[str, int]) -> str:
    found = [
        f"{count:,} {noun}{'' if count == 1 else 's'}" for noun, count in nouns.items() if count
    ]
    return _listed(found) if found else "nothing yet"


def _listed(texts: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(texts[:-1]), *texts[-1:])))


def _size(count: int) -> str:
    """Return a number of bytes in a unit that is read at a glance."""
    size, unit = float(count), "bytes"
    for larger in ("kB", "MB", "GB"):
        if size < 1000:
            break
        size, unit = size / 1000, larger
    return f"{size:,.0f} {unit}" if unit == "bytes" else f"{size:,.1f} {unit}"
