"""Taking care of the notebook: is it whole, where is its copy, what does a document print of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.errors import DamagedError
from zincite.notebook.backing_up import Copied, back_up, restore_backup
from zincite.notebook.verifying import Fault, Verification, head_digits, verify
from zincite.workbench.notebook.opening import Where, opened

__all__ = ["Checked", "Copied", "Head", "backup", "head_of", "restore", "verify_notebook"]

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Head:
    """Where the history of a notebook ended when a document was made.

    Attributes
    ----------
    notebook : str
    events : int
    hash : str
        Of the last event, "" in an empty notebook.
    """

    notebook: str
    events: int
    hash: str

    @property
    def line(self) -> str:
        """What a document prints, to be compared by `zincite notebook verify --head`."""
        if not self.hash:
            return "notebook head none (no event yet)"
        return f"notebook head {self.hash[:16]} (event {self.events})"

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {"notebook": self.notebook, "events": self.events, "head_hash": self.hash}


def head_of(where: Where) -> Head:
    """Return number and hash of the last event.

    Raises
    ------
    NotebookError
        If there is no notebook.
    """
    with opened(where) as notebook:
        return Head(notebook.name, *notebook.head())


@dataclass(frozen=True, slots=True)
class Checked:
    """What verifying a notebook found.

    Attributes
    ----------
    notebook : str
    found : Verification
    head : str
        The printed head hash it was compared with, "" where none was given.
    read_only : str
        Why it is open for reading only, "" where it can be written.
    """

    notebook: str
    found: Verification
    head: str
    read_only: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "notebook": self.notebook,
            **self.found.to_dict(),
            "compared_with": self.head,
            "read_only": self.read_only,
        }


def verify_notebook(where: Where, *, head: str = "", progress: Progress | None = None) -> Checked:
    """Check every event, row and kept file of a notebook against its chain.

    Parameters
    ----------
    where : str, Path or Notebook
    head : str
        Head hash as a document prints it: the chain must still hold that event.
    progress : callable, optional
        Gets rows checked and all rows.

    Raises
    ------
    NotebookError
        If there is no notebook.
    InputError
        If `head` is no hash.
    """
    wanted = head_digits(head) if head else ""
    try:
        with opened(where) as notebook:
            found = verify(notebook, head=wanted, progress=progress)
            return Checked(notebook.name, found, wanted, notebook.read_only)
    except DamagedError as error:
        said = str(error).removeprefix(f"{where} ").partition(", expected ")[0]
        fault = Fault(None, "the file", said)
        return Checked(str(where), Verification(0, "", (fault,), complete=False), wanted, "")


def backup(
    where: Where, target: str | Path, *, replace: bool = False, progress: Progress | None = None
) -> Copied:
    """Copy a notebook's file while others may write it, and verify the copy.

    Raises
    ------
    NotebookError
        If there is no notebook, it is a server's, or the copy does not hold.
    InputError
        If the target cannot be written, or is there.
    """
    with opened(where) as notebook:
        return back_up(notebook, target, replace=replace, progress=progress)


def restore(source: str | Path, target: str | Path, *, progress: Progress | None = None) -> Copied:
    """Make a notebook of a backup, and verify it; nothing that is there is replaced.

    Raises
    ------
    NotebookError
        If there is no backup, or it does not hold.
    InputError
        If the target cannot be written, or is there.
    """
    return restore_backup(source, target, progress=progress)
