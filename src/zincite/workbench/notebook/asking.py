"""Questions to the notebook, each one act that opens it, reads and closes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from zincite.errors import NotebookError
from zincite.notebook.locating import locate
from zincite.notebook.questions.accuracy import Accuracy, accuracy
from zincite.notebook.questions.best import BestResults, best
from zincite.notebook.questions.changes import Changes, changes
from zincite.notebook.questions.touched import Touched, touched
from zincite.notebook.questions.tried import Tried, tried
from zincite.notebook.questions.uses import LotUse, MaterialUse
from zincite.notebook.questions.where_used import MOST, where_lot_used, where_material_used
from zincite.notebook.searching import Search, search
from zincite.workbench.notebook.opening import Where, opened

__all__ = [
    "AccuracyReport",
    "Best",
    "WhereUsed",
    "best_so_far",
    "find_words",
    "how_accurate",
    "what_changed",
    "what_is_touched",
    "what_was_tried",
    "where_used",
]


@dataclass(frozen=True, slots=True)
class WhereUsed:
    """Where something is used that may be a lot, a material, or by chance both.

    Attributes
    ----------
    asked : str
    lot : LotUse or None
    material : MaterialUse or None
    """

    asked: str
    lot: LotUse | None
    material: MaterialUse | None

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "asked": self.asked,
            "lot": None if self.lot is None else self.lot.to_dict(),
            "material": None if self.material is None else self.material.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class Best:
    """The best results so far of some projects.

    Attributes
    ----------
    projects : tuple of BestResults
    """

    projects: tuple[BestResults, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {"projects": [one.to_dict() for one in self.projects]}


@dataclass(frozen=True, slots=True)
class AccuracyReport:
    """Predicted against measured, and the state of the notebook that says so.

    Attributes
    ----------
    found : Accuracy
    notebook : str
        File or database.
    events : int
        In its history.
    head : str
        Hash of the last event.
    """

    found: Accuracy
    notebook: str
    events: int
    head: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        place = {"notebook": self.notebook, "events": self.events, "head_hash": self.head}
        return {**self.found.to_dict(), **place}


def what_changed(where: Where, first: str, second: str) -> Changes:
    """Return what differs between two versions or trials; see `changes`."""
    with opened(where) as notebook, notebook.read() as connection:
        return changes(connection, first, second)


def where_used(where: Where, code: str, *, at_most: int = MOST) -> WhereUsed:
    """Return where a lot or a material is used.

    Parameters
    ----------
    where : str, Path or Notebook
    code : str
        Code of a lot or key of a material.
    at_most : int
        Trials and versions listed.

    Raises
    ------
    NotebookError
        If it is neither.
    """
    asked = code.strip()
    with opened(where) as notebook, notebook.read() as connection:
        try:
            lot = where_lot_used(connection, asked, at_most=at_most)
        except NotebookError:
            lot = None
        try:
            material = where_material_used(connection, asked, at_most=at_most)
        except NotebookError:
            material = None
    if lot is None and material is None:
        raise NotebookError(
            f"{asked[:60]!r} is neither a lot nor a material, expected the code of a lot or the id "
            "of a material card"
        )
    return WhereUsed(asked, lot, material)


def what_was_tried(where: Where, material: str, *, at_most: int = MOST) -> Tried:
    """Return what has been tried with a material; see `tried`."""
    with opened(where) as notebook, notebook.read() as connection:
        return tried(connection, material.strip(), at_most=at_most)


def what_is_touched(where: Where, *, coating: str = "", material: str = "") -> Touched:
    """Return which formulas a supplier's change would touch; see `touched`."""
    with opened(where) as notebook, notebook.read() as connection:
        return touched(connection, coating=coating, material=material)


def best_so_far(where: Where, project: str = "") -> Best:
    """Return the best results of a project, or of each that has a brief; see `best`."""
    with opened(where) as notebook, notebook.read() as connection:
        return Best(best(connection, project.strip()))


def how_accurate(where: Where, *, quantity: str = "", project: str = "") -> AccuracyReport:
    """Return predicted against measured over time; see `accuracy`.

    Parameters
    ----------
    where : str, Path or Notebook
    quantity : str
        Key such as "spf".
    project : str
        Code.
    """
    with opened(where) as notebook:
        events, head = notebook.head()
        with notebook.read() as connection:
            id = locate(connection, "project", project.strip()) if project.strip() else ""
            found = accuracy(connection, quantity=quantity.strip(), project=id)
        return AccuracyReport(found, notebook.name, events, head)


def find_words(where: Where, text: str, *, limit: int = 30) -> Search:
    """Return what fits a text; see `search`."""
    with opened(where) as notebook, notebook.read() as connection:
        return search(connection, text, limit=limit)
