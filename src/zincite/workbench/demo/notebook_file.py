"""The file of the demo's notebook: made whole or not at all, and never over another one."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from zincite.errors import InputError, NotebookError
from zincite.notebook.projects import list_projects
from zincite.notebook.store import open_notebook
from zincite.workbench.demo.filling import acts_of, fill_notebook
from zincite.workbench.demo.story import read_story

__all__ = ["NOTEBOOK_FILE", "DemoNotebook", "check_place", "make_notebook"]

NOTEBOOK_FILE = "notebook.zincite"
_BESIDE = ("-wal", "-shm")  # what SQLite may leave beside its file


@dataclass(frozen=True, slots=True)
class DemoNotebook:
    """The demo's notebook as it was made.

    Attributes
    ----------
    path : Path
    versions, lots, trials, results, events : int
        How many it holds.
    head : str
        Hash of the last event.
    """

    path: Path
    versions: int
    lots: int
    trials: int
    results: int
    events: int
    head: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": str(self.path),
            "formula_versions": self.versions,
            "lots": self.lots,
            "trials": self.trials,
            "results": self.results,
            "events": self.events,
            "head_hash": self.head,
        }


def check_place(folder: Path, *, replace: bool) -> None:
    """Refuse to write over what the demo has not made.

    Parameters
    ----------
    folder : Path
    replace : bool
        Whether a notebook of the demo to which something was added may be replaced.

    Raises
    ------
    InputError
        If another notebook lies there, or one of the demo with entries of the user's own.
    """
    path = folder / NOTEBOOK_FILE
    if not path.exists():
        return
    try:
        with open_notebook(path) as notebook:
            events, _ = notebook.head()
            with notebook.read() as connection:
                projects = list_projects(connection)
    except NotebookError:
        projects, events = (), 0
    story = read_story()
    if story.project["note"] not in [project.note for project in projects]:
        raise InputError(f"{path}: is no notebook of the demo, expected --folder with another name")
    written = len(acts_of(story))
    if events != written and not replace:
        raise InputError(
            f"{path}: holds {events} events and the demo wrote {written}, expected --folder with "
            "another name, or --force to replace what you entered"
        )


def make_notebook(
    folder: Path, *, progress: Callable[[int, int], None] | None = None
) -> DemoNotebook:
    """Make the demo's notebook in a folder, in the place of an older one.

    Parameters
    ----------
    folder : Path
        Checked by `check_place`.
    progress : callable, optional
        Told how much is done, of how much.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    path, story = folder / NOTEBOOK_FILE, read_story()
    try:
        with tempfile.TemporaryDirectory(dir=folder, prefix="notebook-") as beside:
            made = Path(beside) / NOTEBOOK_FILE
            with open_notebook(made, create=True) as notebook:
                fill_notebook(notebook, progress=progress)
                events, head = notebook.head()
            for name in _BESIDE:
                Path(f"{path}{name}").unlink(missing_ok=True)
            os.replace(made, path)
    except OSError as error:
        raise InputError(
            f"{path}: cannot be written ({error.strerror}), expected a folder that may be written "
            "to"
        ) from None
    return DemoNotebook(
        path,
        len(story.versions),
        len(story.lots),
        len(story.trials),
        sum(len(trial.tests) for trial in story.trials),
        events,
        head,
    )
