"""Lists of nouns, and the history."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from zincite.errors import InputError, NotebookError
from zincite.notebook.decisions import list_decisions
from zincite.notebook.formulas import list_formulas
from zincite.notebook.history import Entry, family_of, list_entries
from zincite.notebook.locating import subjects_called
from zincite.notebook.lots import list_lots
from zincite.notebook.materials import list_materials
from zincite.notebook.naming import names_of
from zincite.notebook.projects import list_projects
from zincite.notebook.records import Record
from zincite.notebook.results import list_results
from zincite.notebook.trials import list_trials
from zincite.workbench.notebook.opening import Where, opened

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

__all__ = ["LISTED", "History", "Listing", "history", "list_nouns"]


@dataclass(frozen=True, slots=True)
class Listing:
    """Things of one noun.

    Attributes
    ----------
    noun : str
        In the plural, such as "trials".
    records : tuple of Record
    names : dict of str to str
        What decisions are about, by id.
    more : bool
        Whether there are more than were asked for.
    """

    noun: str
    records: tuple[Record, ...]
    names: dict[str, str]
    more: bool = False

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        listed = [record.to_dict() for record in self.records]
        for shown in listed:
            if shown.get("subject") in self.names:
                shown["about"] = self.names[shown["subject"]]
        return {self.noun: listed, "more": self.more}


def list_nouns(
    where: Where,
    noun: str,
    *,
    of: str = "",
    latest: bool = False,
    expired: bool = False,
    at_most: int = 1000,
) -> Listing:
    """Return the things of a noun.

    Parameters
    ----------
    where : str, Path or Notebook
    noun : str
        One of `LISTED`.
    of : str
        Only those of a project (formulas), formula (trials), trial (results) or material (lots).
    latest : bool
        Only the latest version of each formula or material.
    expired : bool
        Only lots that have expired by today.
    at_most : int
        So many of trials and results, the latest first.

    Raises
    ------
    InputError
        If the noun is none of `LISTED`.
    """
    if noun not in LISTED:
        raise InputError(f"{noun[:40]!r} cannot be listed, expected one of {', '.join(LISTED)}")
    with opened(where) as notebook, notebook.read() as connection:
        found = LISTED[noun](connection, of, latest, expired, at_most + 1)
        kept = tuple(found[:at_most]) if noun in ("trials", "results") else tuple(found)
        return Listing(noun, kept, _names(connection, kept), len(found) > len(kept))


_List = Callable[["Connection", str, bool, bool, int], Sequence[Record]]


def _lots(
    connection: Connection, of: str, latest: bool, expired: bool, at_most: int
) -> Sequence[Record]:
    del latest, at_most
    today = datetime.date.today().isoformat()
    return list_lots(connection, of, expired_on=today if expired else "")


LISTED: dict[str, _List] = {
    "formulas": lambda c, of, latest, _, __: list_formulas(c, project=of, latest=latest),
    "trials": lambda c, of, _, __, most: list_trials(c, formula=of, at_most=most),
    "results": lambda c, of, _, __, most: list_results(c, trial=of, at_most=most),
    "lots": _lots,
    "materials": lambda c, of, latest, _, __: list_materials(c, of, latest=latest),
    "projects": lambda c, _, __, ___, ____: list_projects(c),
    "decisions": lambda c, _, __, ___, ____: list_decisions(c),
}
"""Nouns that can be listed."""


def _names(connection: Connection, records: Sequence[Record]) -> dict[str, str]:
    ids: dict[str, list[str]] = {}
    for record in records:
        noun = getattr(record, "noun", None)
        if noun is not None:
            ids.setdefault(noun, []).append(record.to_dict()["subject"])
    return {
        named.id: f"{noun} {named.name}"
        for noun, of in ids.items()
        for named in names_of(connection, noun, of).values()
    }


@dataclass(frozen=True, slots=True)
class History:
    """Events in words, the latest first.

    Attributes
    ----------
    about : str
        Code asked for, "" for everything.
    entries : tuple of Entry
    events : int
        Of the whole notebook.
    head_hash : str
    """

    about: str
    entries: tuple[Entry, ...]
    events: int
    head_hash: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "about": self.about,
            "events": self.events,
            "head_hash": self.head_hash,
            "entries": [entry.to_dict() for entry in self.entries],
        }


def history(where: Where, code: str = "", *, at_most: int | None = None) -> History:
    """Return what happened, to everything or to one thing and what hangs on it.

    Parameters
    ----------
    where : str, Path or Notebook
    code : str
        As `show` takes it; of a formula or material all versions.
    at_most : int, optional
        So many of the latest.

    Raises
    ------
    NotebookError
        If nothing is called so.
    """
    with opened(where) as notebook:
        events, head = notebook.head()
        with notebook.read() as connection:
            if not code:
                found = list_entries(connection, at_most=at_most)
            else:
                called = _called(connection, code)
                about = [pair for found in called for pair in family_of(connection, *found)]
                found = list_entries(connection, about, at_most=at_most)
    return History(code, found, events, head)


def _called(connection: Connection, code: str) -> list[tuple[str, str]]:
    called = subjects_called(connection, code)
    if not called:
        raise NotebookError(
            f"nothing is called {code[:60]!r}, expected a code as `zincite notebook list` shows it"
        )
    return called
