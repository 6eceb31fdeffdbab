"""How far a long command is, on a terminal; elsewhere nothing stands beside its result."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial

from zincite.interfaces.cli.progress import Progress

__all__ = ["telling"]


@contextmanager
def telling(phase: str) -> Iterator[Callable[[int, int], None] | None]:
    """Give what shows steps done and all steps, None where nobody watches.

    Parameters
    ----------
    phase : str
        What is done, such as "archiving".
    """
    if not sys.stderr.isatty():
        yield None
        return
    with Progress() as shown:
        yield partial(shown.tell, phase)
