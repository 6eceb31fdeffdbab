"""Acts about anything in the notebook: decide, comment, attach a file, withdraw."""

from __future__ import annotations

from pathlib import Path

from zincite.notebook.attachments import add_attachment
from zincite.notebook.comments import add_comment
from zincite.notebook.decisions import add_decision
from zincite.notebook.withdrawing import withdraw as withdraw_noun
from zincite.workbench.notebook.files import read_kept
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

__all__ = ["attach", "comment", "decide", "withdraw"]


def decide(where: Where, noun: str, code: str, verdict: str, *, reason: str, who: str) -> Entered:
    """Enter a decision; see `add_decision`."""
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_decision(writer, noun, code, verdict, reason)
        return entered(notebook, "decision", id)


def comment(where: Where, noun: str, code: str, text: str, *, who: str) -> Entered:
    """Enter a comment; see `add_comment`."""
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_comment(writer, noun, code, text)
        return entered(notebook, "comment", id)


def attach(where: Where, noun: str, code: str, path: str | Path, *, who: str) -> Entered:
    """Keep a file byte for byte; see `add_attachment`.

    Raises
    ------
    InputError
        If the file cannot be read.
    """
    kept = read_kept(path)
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_attachment(writer, noun, code, kept.name, kept.data)
        return entered(notebook, "attachment", id)


def withdraw(
    where: Where, noun: str, code: str, *, reason: str, who: str, revision: int | None = None
) -> Entered:
    """Mark a thing as withdrawn; see `zincite.notebook.withdrawing.withdraw`."""
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = withdraw_noun(writer, noun, code, reason, revision=revision)
        return entered(notebook, noun, id)
