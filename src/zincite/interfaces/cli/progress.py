"""What a long command is doing, on stderr."""

from __future__ import annotations

import sys
from typing import Self

__all__ = ["Progress"]

_WIDTH = 60


class Progress:
    """One line that renews itself on a terminal; a line for each phase anywhere else.

    Parameters
    ----------
    counted : str
        How steps are told.
    """

    def __init__(self, counted: str = "{done} of {whole}") -> None:
        self._live = sys.stderr.isatty()
        self._phase = ""
        self._counted = counted

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._live:
            sys.stderr.write("\r" + " " * _WIDTH + "\r")

    def tell(self, phase: str, done: int, whole: int) -> None:
        """Show the phase and how far it is."""
        if self._live:
            share = f": {self._counted.format(done=done, whole=whole)}" if whole > 1 else ""
            sys.stderr.write(f"\r{phase}{share}".ljust(_WIDTH))
            sys.stderr.flush()
        elif phase != self._phase:
            sys.stderr.write(f"{phase}\n")
        self._phase = phase
