"""The terminal's look: at most 100 columns, words before colours, plain text into a pipe."""

from __future__ import annotations

import io
import json
import math
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

__all__ = ["ASSUMED", "WIDTH", "Screen", "assumed", "clean", "print_json", "verdict"]

WIDTH = 100
"""Most columns of any line."""
_NARROWEST = 60
_GAP = 2
_WHOLE = 12
"""Columns this narrow hold single words and numbers, which a narrow terminal must not cut."""

ASSUMED = "dim italic"
"""Style of assumed values; the word "assumed" always stands beside them."""
_HEADING = "bold color(172)"  # iron-oxide ochre

_VERDICTS = {  # told apart by their words; the colours also differ in brightness
    "passes": "bold cyan",
    "short": "bold yellow",
    "needs a test": "bold yellow",
    "unknown": "bold magenta",
    "fails": "bold red",
}
_GLUE = "\ue000"  # stands for a blank that no line may end at; of private use, one column wide
_TYPED = str.maketrans({"\u2212": "-", "\u202f": _GLUE, "\u00a0": _GLUE})
_BLANK = str.maketrans({_GLUE: " "})
"""A terminal's text is searched and pasted: signs and blanks as a keyboard makes them."""
_ASCII = str.maketrans({"\u2013": "-", "\u2026": "...", "\u00b0": " deg", "\u00b5": "u"})

Cell = str | Text


def clean(text: str) -> str:
    """Return text from a file without control characters that would steer a terminal."""
    shown = "".join(c if c.isprintable() or c.isspace() else "?" for c in text)
    return shown.translate(_TYPED)


def assumed(text: str) -> Text:
    """Return text in the look of assumed values."""
    return Text(clean(text), style=ASSUMED)


def verdict(word: str, shown: str = "") -> Text:
    """Return a verdict in its colour, as `shown` where it is printed otherwise."""
    return Text(shown or word, style=_VERDICTS.get(word, ""))


def _unicode_output() -> bool:
    return (getattr(sys.stdout, "encoding", None) or "ascii").lower().replace("-", "") == "utf8"


def _shown(cell: Cell) -> Text:
    return Text(clean(cell)) if isinstance(cell, str) else cell


def _fitted(widths: Sequence[int], room: int) -> list[int]:
    """Return widths that fit: columns of words and numbers stay whole, the wide ones shrink."""
    excess = sum(widths) + _GAP * (len(widths) - 1) - room
    wide = sum(width for width in widths if width > _WHOLE)
    if excess <= 0 or wide <= 0:
        return list(widths)
    share = max(wide - excess, 0) / wide
    return [max(int(width * share), _WHOLE) if width > _WHOLE else width for width in widths]


class Screen:
    """Collects what a command prints and writes it at the end.

    A terminal gets its own width up to `WIDTH` and colours unless NO_COLOR is set; anything else
    gets plain text of `WIDTH` columns. An output that is not UTF-8 gets ASCII.
    """

    def __init__(self) -> None:
        terminal = sys.stdout.isatty()
        columns = shutil.get_terminal_size((WIDTH, 24)).columns if terminal else WIDTH
        self._buffer = io.StringIO()
        self._console = Console(
            file=self._buffer,
            width=max(min(columns, WIDTH), _NARROWEST),
            force_terminal=terminal,
            color_system="auto" if terminal else None,
            legacy_windows=False,
            highlight=False,
            markup=False,
            emoji=False,
        )

    def title(self, left: str, right: str = "") -> None:
        """Print the first line: what this is about, and a word on the right."""
        grid = Table.grid(expand=True, padding=(0, 2, 0, 0), pad_edge=False)
        grid.add_column(ratio=1)
        grid.add_column(justify="right")
        grid.add_row(Text(clean(left), style="bold"), Text(clean(right)))
        self._console.print(grid)

    def heading(self, text: str, unit: str = "") -> None:
        """Print the heading of a section."""
        line = Text("\n")
        line.append(text, style=_HEADING)
        if unit:
            line.append(f"  {unit}", style="dim")
        self._console.print(line)

    def line(self, text: Cell = "", *, indent: int = 0, style: str = "") -> None:
        """Print a paragraph, wrapped under its indent."""
        shown = Text(clean(text), style=style) if isinstance(text, str) else text
        self._console.print(Padding(shown, (0, 0, 0, indent)))

    def items(self, texts: Iterable[Cell], *, mark: str = "-") -> None:
        """Print one paragraph an item, hanging behind a mark."""
        grid = Table.grid(padding=(0, 1, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column()
        for text in texts:
            grid.add_row(mark, _shown(text))
        self._console.print(grid)

    def pairs(self, rows: Iterable[tuple[Cell, Cell]]) -> None:
        """Print names with what is said about them; the names stay whole."""
        grid = Table.grid(padding=(0, 2, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column()
        for name, text in rows:
            grid.add_row(_shown(name), _shown(text))
        self._console.print(grid)

    def table(
        self,
        columns: Sequence[tuple[str, str]],
        rows: Iterable[Sequence[Cell]],
        *,
        widths: Sequence[int] = (),
        header: bool = True,
    ) -> None:
        """Print a table.

        Parameters
        ----------
        columns : sequence of (str, str)
            Heading and "left" or "right"; a unit stands in the heading.
        rows : iterable of sequences of str or Text
            Long cells wrap.
        widths : sequence of int, optional
            Of all columns, with `_GAP` between them up to `WIDTH`; wide ones give way in a narrow
            terminal. Each column takes what it needs where they are left out.
        header : bool
            Whether the headings are printed.
        """
        table = Table(
            box=None,
            padding=(0, 2, 0, 0),
            pad_edge=False,
            header_style="dim",
            show_header=header,
        )
        fitted: Sequence[int | None] = _fitted(widths, self._console.width)
        fitted = fitted or [None] * len(columns)
        for (name, side), width in zip(columns, fitted, strict=True):
            table.add_column(
                name,
                justify="right" if side == "right" else "left",
                width=width,
                overflow="fold",
            )
        for row in rows:
            table.add_row(*(_shown(cell) for cell in row))
        self._console.print(table)

    def write(self) -> None:
        """Write everything to stdout, without blanks at the ends of lines."""
        text = self._buffer.getvalue().translate(_TYPED).translate(_BLANK)
        text = "\n".join(line.rstrip() for line in text.split("\n"))
        if not _unicode_output():
            encoding = getattr(sys.stdout, "encoding", None) or "ascii"
            text = (
                text.replace("\u00b0C", "degC")
                .translate(_ASCII)
                .encode(encoding, "replace")
                .decode(encoding)
            )
        sys.stdout.write(text)


def _plain(value: Any) -> Any:
    """Return a value as JSON can hold it: a number that is none becomes null."""
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    return value.item() if hasattr(value, "item") else value


def print_json(value: object) -> None:
    """Print a result as JSON on stdout; NaN and infinity become null."""
    text = json.dumps(_plain(value), indent=2, allow_nan=False, ensure_ascii=not _unicode_output())
    sys.stdout.write(text + "\n")
