"""Showing one thing of the notebook with all that hangs on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from zincite.errors import InputError, NotebookError
from zincite.notebook.attachments import AttachmentRecord, list_attachments
from zincite.notebook.briefs import list_briefs
from zincite.notebook.comments import CommentRecord, list_comments
from zincite.notebook.decisions import DecisionRecord, list_decisions
from zincite.notebook.formulas import FormulaRecord, list_formulas
from zincite.notebook.history import Entry, first_entry
from zincite.notebook.locating import locate, subjects_called
from zincite.notebook.lots import list_lots
from zincite.notebook.materials import MaterialRecord, list_materials
from zincite.notebook.predictions import list_predictions
from zincite.notebook.projects import ProjectRecord
from zincite.notebook.records import Record
from zincite.notebook.results import list_results
from zincite.notebook.signatures import Signature, signatures_of
from zincite.notebook.subjects import SUBJECTS
from zincite.notebook.trials import TrialRecord, list_trials
from zincite.workbench.notebook.finding import about, get_record
from zincite.workbench.notebook.opening import Where, opened

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

__all__ = ["Shown", "show"]


@dataclass(frozen=True, slots=True)
class Shown:
    """A thing with all that hangs on it.

    Attributes
    ----------
    noun : str
    record : Record
    first : Entry
        Who entered it, and when.
    related : dict of str to tuple of Record
        Such as the trials of a formula, by plural noun.
    decisions, comments, attachments, signatures : tuple
    about : str
        What a decision, comment or attachment is about, "" of others.
    """

    noun: str
    record: Record
    first: Entry
    related: dict[str, tuple[Record, ...]] = field(default_factory=dict)
    decisions: tuple[DecisionRecord, ...] = ()
    comments: tuple[CommentRecord, ...] = ()
    attachments: tuple[AttachmentRecord, ...] = ()
    signatures: tuple[Signature, ...] = ()
    about: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        said: dict[str, Sequence[Record | Signature]] = {
            "decisions": self.decisions,
            "comments": self.comments,
            "attachments": self.attachments,
            "signatures": self.signatures,
        }
        return {
            "noun": self.noun,
            self.noun: self.record.to_dict(),
            "about": self.about,
            "entered_at": self.first.at,
            "entered_by": self.first.who,
            **{key: [r.to_dict() for r in found] for key, found in self.related.items()},
            **{key: [r.to_dict() for r in found] for key, found in said.items()},
        }


def show(where: Where, code: str, *, noun: str = "") -> Shown:
    """Return a thing by its code.

    Parameters
    ----------
    where : str, Path or Notebook
    code : str
        Such as "K-07@2", "T-001", "T-001/2", a lot, a material's key or the beginning of an id.
    noun : str
        What it is; found out when left out.

    Raises
    ------
    NotebookError
        If nothing is called so, or things of several nouns are.
    """
    with opened(where) as notebook, notebook.read() as connection:
        found, id = _found(connection, code, noun)
        record = get_record(connection, found, id)
        return Shown(
            found,
            record,
            first_entry(connection, found, id),
            _related(connection, record),
            list_decisions(connection, found, id),
            list_comments(connection, found, id),
            list_attachments(connection, found, id),
            signatures_of(connection, found, id),
            about(connection, record),
        )


def _found(connection: Connection, code: str, noun: str) -> tuple[str, str]:
    if noun:
        if noun not in SUBJECTS:
            raise InputError(f"{noun[:40]!r} is no noun, expected one of {', '.join(SUBJECTS)}")
        return noun, locate(connection, noun, code)
    called = [pair for pair in subjects_called(connection, code) if pair[0] in SUBJECTS]
    if not called:
        raise NotebookError(
            f"nothing is called {code[:60]!r}, expected a code as `zincite notebook list` shows it"
        )
    if len(called) > 1:
        nouns = " and a ".join(found for found, _ in called)
        raise NotebookError(f"a {nouns} are called {code!r}, expected --noun to say which")
    return called[0]


def _related(connection: Connection, record: Record) -> dict[str, tuple[Record, ...]]:
    id = record.id
    found: dict[str, Sequence[Record]] = {}
    if isinstance(record, ProjectRecord):
        found["briefs"] = list_briefs(connection, id)
        found["formulas"] = list_formulas(connection, project=id)
    elif isinstance(record, FormulaRecord):
        versions = list_formulas(connection, code=record.code)
        found["versions"] = [other for other in versions if other.id != id]
        found["predictions"] = list_predictions(connection, id)
        found["trials"] = list_trials(connection, formula=id)
    elif isinstance(record, MaterialRecord):
        cards = list_materials(connection, record.key)
        found["versions"] = [other for other in cards if other.id != id]
        found["lots"] = list_lots(connection, record.key)
    elif isinstance(record, TrialRecord):
        found["results"] = list_results(connection, trial=id)
    return {key: tuple(records) for key, records in found.items() if records}
