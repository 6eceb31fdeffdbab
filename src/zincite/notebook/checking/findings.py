"""What checking found so far, and how far it came."""

from __future__ import annotations

import json
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Row
from sqlalchemy.exc import SQLAlchemyError

from zincite.notebook.engines import is_damage, said

__all__ = ["Fault", "Findings", "Progress", "body_of", "rows_of"]

Progress = Callable[[int, int], None]
"""Gets how many rows were checked, and of how many."""

_BATCH = 1000
_LONGEST = 120


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as the chain says.

    Attributes
    ----------
    seq : int or None
        Event, None where no event speaks of it.
    where, found : str
        What it concerns and what is wrong with it.
    """

    seq: int | None
    where: str
    found: str

    @property
    def sentence(self) -> str:
        """The fault in one sentence."""
        at = "" if self.seq is None else f"event {self.seq}, "
        return f"{at}{self.where}: {self.found}"


class Findings:
    """Collects faults.

    Attributes
    ----------
    faults : list of Fault
    bad : set of int
        Events that are not as they were written: what they say proves nothing.
    """

    def __init__(self, at_most: int, total: int, progress: Progress | None) -> None:
        self.faults: list[Fault] = []
        self.bad: set[int] = set()
        self._at_most, self._total, self._progress = at_most, total, progress
        self._done = 0

    @property
    def full(self) -> bool:
        """Whether no more faults are taken."""
        return len(self.faults) >= self._at_most

    def add(self, seq: object, where: str, found: str) -> None:
        """Take a fault; `seq` is a number unless somebody made it something else."""
        number = seq if isinstance(seq, int) else None
        if not self.full:
            self.faults.append(Fault(number, _shown(where), _shown(found)))

    def step(self) -> None:
        """Count one more row as checked."""
        self._done += 1
        if self._progress is not None and self._done % _BATCH == 0:
            self._progress(min(self._done, self._total), self._total)

    def finish(self) -> None:
        """Say that all is checked."""
        if self._progress is not None:
            self._progress(self._total, self._total)

    @contextmanager
    def stage(self, what: str) -> Iterator[None]:
        """Turn a broken file into a fault, and go on with what else can be read."""
        try:
            yield
        except SQLAlchemyError as error:
            if not is_damage(error):
                raise
            self.add(None, what, f"cannot be read, the file is damaged: {said(error)}")


def _shown(text: str) -> str:
    """Return a text that any output can print, whatever somebody put into the database."""
    short = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    return "".join(c if c.isprintable() else "?" for c in short)


def rows_of(connection: Connection, query: sa.Select[Any]) -> Generator[Row[Any]]:
    """Give the rows of a query without holding all of them."""
    with connection.execute(query, execution_options={"yield_per": _BATCH}) as found:
        yield from found


def body_of(text: object) -> dict[str, Any]:
    """Return what an event's body says; nothing where it cannot be read."""
    try:
        found = json.loads(text) if isinstance(text, str) else None
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}
