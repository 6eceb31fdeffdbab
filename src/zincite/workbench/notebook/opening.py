"""Opening the notebook for one act, and what every act that enters something gives back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.notebook.records import Record
from zincite.notebook.store import Notebook, open_notebook

__all__ = ["Created", "Entered", "Where", "create_notebook", "opened"]

Where = str | Path | Notebook
"""A file, a URL, or a notebook that is open already and stays so."""


@contextmanager
def opened(where: Where) -> Iterator[Notebook]:
    """Give the notebook, closed again at the end unless it came open.

    Raises
    ------
    NotebookError
        If there is none.
    """
    if isinstance(where, Notebook):
        yield where
        return
    with open_notebook(where) as notebook:
        yield notebook


@dataclass(frozen=True, slots=True)
class Created:
    """A notebook that is ready to be written.

    Attributes
    ----------
    name : str
    kind : str
        "SQLite" or "PostgreSQL".
    events : int
        0 in a new one.
    """

    name: str
    kind: str
    events: int

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {"notebook": self.name, "kind": self.kind, "events": self.events}


def create_notebook(where: str | Path) -> Created:
    """Make a notebook where there is none, or bring one that is there to the present layout.

    Parameters
    ----------
    where : str or Path
        A file in a folder that is there, or the URL of a database that is there.

    Raises
    ------
    NotebookError
        If it cannot be made, or something else lies there.
    """
    with open_notebook(where, create=True) as notebook:
        kind = "SQLite" if notebook.is_sqlite else "PostgreSQL"
        return Created(notebook.name, kind, notebook.head()[0])


@dataclass(frozen=True, slots=True)
class Entered:
    """What an act wrote.

    Attributes
    ----------
    noun : str
    record : Record
    also : tuple of (str, Record)
        What was entered with it.
    notes : tuple of str
        What the chemist has to see, such as an expired lot.
    events : int
    head_hash : str
        Number and hash of the last event: what a printed document carries.
    about : str
        What a decision, comment or attachment is about, such as "formula K-07@2"; "" of others.
    """

    noun: str
    record: Record
    also: tuple[tuple[str, Record], ...]
    notes: tuple[str, ...]
    events: int
    head_hash: str
    about: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "noun": self.noun,
            self.noun: self.record.to_dict(),
            "about": self.about,
            "also": [{"noun": noun, noun: record.to_dict()} for noun, record in self.also],
            "notes": list(self.notes),
            "events": self.events,
            "head_hash": self.head_hash,
        }
