"""Taking the notebook out and back: its archive, its restoring, its tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from zincite.notebook.archiving import Archived, archive_notebook
from zincite.notebook.exporting import Exported, export_notebook
from zincite.notebook.unarchiving import Unarchived, restore_archive
from zincite.workbench.notebook.opening import Where, opened

__all__ = ["Archived", "Exported", "Unarchived", "archive", "export", "restore_archive"]

Progress = Callable[[int, int], None]


def archive(
    where: Where,
    path: str | Path,
    *,
    replace: bool = False,
    progress: Progress | None = None,
) -> Archived:
    """Write the whole notebook but passwords and sessions into one .zip file.

    Parameters
    ----------
    where : str, Path or Notebook
    path : str or Path
    replace : bool
        Whether a file that is there may be replaced.
    progress : callable, optional
        Gets steps done and all steps.

    Raises
    ------
    NotebookError
        If there is none, or it is damaged.
    InputError
        If the file cannot be written.
    """
    with opened(where) as notebook:
        return archive_notebook(notebook, path, replace=replace, progress=progress)


def export(
    where: Where,
    path: str | Path,
    *,
    tables: Sequence[str] = (),
    project: str = "",
    replace: bool = False,
    progress: Progress | None = None,
) -> Exported:
    """Write tables of the notebook as a workbook, a JSON document or delimited text.

    Parameters
    ----------
    where : str, Path or Notebook
    path : str or Path
        Its ending says what is written; a folder gets one file of delimited text a table.
    tables : sequence of str
        Nouns such as "trial" or tables such as "trial_weights", all where left out.
    project : str
        Code of a project, all where left out.
    replace : bool
        Whether files that are there may be replaced.
    progress : callable, optional
        Gets rows written of a table and all of its rows.

    Raises
    ------
    NotebookError
        If there is no notebook or no such project.
    InputError
        If the ending or a table is unknown, or the file cannot be written.
    """

    def told(name: str, done: int, whole: int) -> None:
        del name
        if progress is not None:
            progress(done, whole)

    with opened(where) as notebook:
        return export_notebook(
            notebook, path, tables=tables, project=project, replace=replace, progress=told
        )
