"""Acts on projects: begin one, give it a brief."""

from __future__ import annotations

from pathlib import Path

from zincite.formula.reading import load_brief
from zincite.notebook.briefs import add_brief
from zincite.notebook.projects import add_project
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

__all__ = ["enter_brief", "enter_project"]


def enter_project(where: Where, code: str, *, who: str, name: str = "", note: str = "") -> Entered:
    """Enter a project; see `add_project`."""
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_project(writer, code, name, note)
        return entered(notebook, "project", id)


def enter_brief(
    where: Where, project: str, path: str | Path, *, who: str, reason: str = ""
) -> Entered:
    """Enter the brief of a file for a project; see `add_brief`.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    brief = load_brief(path)
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_brief(writer, project, brief, reason)
        return entered(notebook, "brief", id)
