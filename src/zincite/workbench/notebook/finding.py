"""Records of any noun by what people call them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from zincite.notebook.attachments import AttachmentRecord, get_attachment
from zincite.notebook.briefs import get_brief
from zincite.notebook.comments import CommentRecord, get_comment
from zincite.notebook.decisions import DecisionRecord, get_decision
from zincite.notebook.formulas import get_formula
from zincite.notebook.locating import name_of
from zincite.notebook.lots import get_lot
from zincite.notebook.materials import get_material
from zincite.notebook.predictions import get_prediction
from zincite.notebook.projects import get_project
from zincite.notebook.records import Record
from zincite.notebook.results import get_result
from zincite.notebook.store import Notebook
from zincite.notebook.subjects import checked_noun
from zincite.notebook.trials import get_trial
from zincite.workbench.notebook.opening import Entered

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

__all__ = ["about", "entered", "get_record"]

_GET: dict[str, Callable[[Connection, str], Record]] = {
    "project": get_project,
    "brief": get_brief,
    "material": get_material,
    "lot": get_lot,
    "formula": get_formula,
    "prediction": get_prediction,
    "trial": get_trial,
    "result": get_result,
    "decision": get_decision,
    "attachment": get_attachment,
    "comment": get_comment,
}


def get_record(connection: Connection, noun: str, code_or_id: str) -> Record:
    """Return a record of a noun.

    Raises
    ------
    InputError
        If the noun is none.
    NotebookError
        If there is no such thing.
    """
    return _GET[checked_noun(noun)](connection, code_or_id)


def entered(
    notebook: Notebook,
    noun: str,
    id: str,
    *,
    also: Sequence[tuple[str, str]] = (),
    notes: Sequence[str] = (),
) -> Entered:
    """Return what an act wrote, as the notebook has it now.

    Parameters
    ----------
    notebook : Notebook
    noun, id : str
    also : sequence of (str, str)
        Nouns and ids of what was entered with it.
    notes : sequence of str
    """
    events, head = notebook.head()
    with notebook.read() as connection:
        record = get_record(connection, noun, id)
        return Entered(
            noun,
            record,
            tuple((other, get_record(connection, other, subject)) for other, subject in also),
            tuple(notes),
            events,
            head,
            about(connection, record),
        )


def about(connection: Connection, record: Record) -> str:
    """Return what a decision, comment or attachment is about, "" of other nouns."""
    if not isinstance(record, DecisionRecord | CommentRecord | AttachmentRecord):
        return ""
    return f"{record.noun} {name_of(connection, record.noun, record.subject)}"
