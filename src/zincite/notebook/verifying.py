"""Checking a notebook against its chain: every event, every row, every kept file."""

from __future__ import annotations

import re
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError
from zincite.notebook.checking.chain import check_chain, check_head
from zincite.notebook.checking.file import check_file_pages, check_search_index
from zincite.notebook.checking.findings import Fault, Findings, Progress
from zincite.notebook.checking.kept import check_blobs, check_credentials, check_words
from zincite.notebook.checking.rows import check_parts, check_rows
from zincite.notebook.engines import any_text
from zincite.notebook.schema import NOUNS, blob, credential, event
from zincite.notebook.store import Notebook

__all__ = ["Fault", "Progress", "Verification", "head_digits", "verify"]

_PRINTED = re.compile(r"(?:notebook\s+head\s+)?([0-9a-f]{8,64})(?:\s+\(event \d+\))?\.?")


@dataclass(frozen=True, slots=True)
class Verification:
    """What checking found.

    Attributes
    ----------
    events : int
    head : str
        Hash of the last event, "" in an empty notebook.
    faults : tuple of Fault
        Bad events first, in their order; then what the rows and files show.
    complete : bool
        Whether these are all faults.
    """

    events: int
    head: str
    faults: tuple[Fault, ...]
    complete: bool = True

    @property
    def holds(self) -> bool:
        """Whether nothing was found."""
        return not self.faults

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "holds": self.holds,
            "events": self.events,
            "head_hash": self.head,
            "faults": [
                {"event": f.seq, "where": f.where, "found": f.found, "sentence": f.sentence}
                for f in self.faults
            ],
            "faults_complete": self.complete,
        }


def head_digits(text: str) -> str:
    """Return the digits of a head hash as documents print it.

    Raises
    ------
    InputError
        If it holds no hash of 8 to 64 hexadecimal digits.

    Examples
    --------
    >>> head_digits("notebook head 9F3A11C2D4E5F607 (event 214)")
    '9f3a11c2d4e5f607'
    """
    found = _PRINTED.fullmatch(" ".join(text.lower().split()))
    if found is None:
        raise InputError(
            f"head hash {text[:80]!r}, expected 8 to 64 of the digits 0 to 9 and a to f, as a "
            "document prints it"
        )
    return found.group(1)


def verify(
    notebook: Notebook,
    *,
    head: str = "",
    at_most: int = 20,
    progress: Progress | None = None,
) -> Verification:
    """Check the chain, the rows against it, and the kept files against their hashes.

    Sessions and counts of failed logins come and go and are not checked; neither is that a
    password is gone, as it is after an archive was restored.

    Parameters
    ----------
    notebook : Notebook
    head : str
        A head hash printed on an earlier document, or its beginning of 8 digits or more: the
        event must still be there, or the chain was cut.
    at_most : int
        Stop after so many faults.
    progress : callable, optional
        Gets rows checked and all rows, every thousand of them.

    Returns
    -------
    Verification

    Raises
    ------
    InputError
        If `head` is no hash.
    """
    wanted = head_digits(head) if head else ""
    with notebook.read() as connection, any_text(connection):
        findings = Findings(at_most, _rows_to_check(connection), progress)
        if wanted:
            with findings.stage("the chain"):
                check_head(connection, wanted, findings)
        count, last = 0, ""
        with findings.stage("the chain"):
            count, last = check_chain(connection, findings)
        bad_events = len(findings.faults)
        _check_what_it_holds(connection, findings)
        if notebook.is_sqlite and not findings.full:
            with findings.stage("the file"):
                check_file_pages(connection, findings)
    if notebook.is_sqlite and not notebook.read_only and not findings.full:
        with notebook.transaction() as connection, findings.stage("the index of the search"):
            check_search_index(connection, findings)
    findings.finish()
    bad, others = findings.faults[:bad_events], findings.faults[bad_events:]
    return Verification(count, last, (*_in_order(bad), *_in_order(others)), not findings.full)


def _in_order(faults: list[Fault]) -> list[Fault]:
    return sorted(faults, key=lambda fault: (fault.seq is None, fault.seq or 0))


def _check_what_it_holds(connection: Connection, findings: Findings) -> None:
    for noun in NOUNS.values():
        if not findings.full:
            with findings.stage(noun.table.name):
                check_rows(connection, noun, findings)
        for part in noun.parts:
            if not findings.full:
                with findings.stage(part.name):
                    check_parts(connection, noun, part, findings)
    for what, check in (
        ("kept files", check_blobs),
        ("words of the search", check_words),
        ("passwords", check_credentials),
    ):
        if not findings.full:
            with findings.stage(what):
                check(connection, findings)


def _rows_to_check(connection: Connection) -> int:
    tables = [t for noun in NOUNS.values() for t in (noun.table, *noun.parts)]
    # events are gone through twice: for the chain and for the words of the search
    counts = [
        sa.select(sa.func.count()).select_from(table).scalar_subquery()
        for table in (event, event, blob, credential, *tables)
    ]
    row = connection.execute(sa.select(*counts)).one()
    return sum(int(number) for number in row)
