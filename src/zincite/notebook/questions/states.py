"""Where formula versions stand: current or not, open, dropped or released; and who entered what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.records import rows_of
from zincite.notebook.schema import decision, event, formula

__all__ = [
    "DROPPED",
    "OPEN",
    "RELEASED",
    "Origin",
    "State",
    "current_ids",
    "origins_of",
    "states_of",
]

OPEN, RELEASED, DROPPED = "open", "released", "dropped"
_STATES = {"release": RELEASED, "drop": DROPPED}


@dataclass(frozen=True, slots=True)
class State:
    """What was decided last.

    Attributes
    ----------
    state : str
        "open", "dropped" or "released".
    verdict, reason : str
        Of the last decision that stands, "" without one.
    """

    state: str = OPEN
    verdict: str = ""
    reason: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Origin:
    """When and by whom a thing was entered.

    Attributes
    ----------
    on : str
        Day, UTC.
    at : str
        Time, ISO 8601, UTC.
    who : str
    """

    on: str
    at: str
    who: str


def states_of(connection: Connection, formula_ids: Iterable[str]) -> dict[str, State]:
    """Return the states of formula versions by id; without a decision a version is open."""
    ids = list(dict.fromkeys(formula_ids))
    question = sa.select(decision.c.subject, decision.c.verdict, decision.c.reason).where(
        decision.c.noun == "formula", decision.c.withdrawn == ""
    )
    found = {id: State() for id in ids}
    rows = rows_of(connection, question.order_by(decision.c.event_seq), decision.c.subject, ids)
    for row in rows:  # the last one counts
        state = _STATES.get(row["verdict"], OPEN)
        found[row["subject"]] = State(state, row["verdict"], row["reason"])
    return found


def current_ids(connection: Connection, codes: Iterable[str]) -> set[str]:
    """Return the ids of the versions of formulas that count today.

    Parameters
    ----------
    connection : Connection
    codes : iterable of str
        Of formulas.

    Returns
    -------
    set of str
        Of each code the latest that is released and the latest that is not dropped; where all are
        dropped, the latest. Withdrawn versions do not count.
    """
    f = formula.c
    question = sa.select(f.id, f.code, f.number).where(f.withdrawn == "").order_by(f.number)
    rows = rows_of(connection, question, f.code, codes)
    states = states_of(connection, [row["id"] for row in rows])
    latest, released, kept = {}, {}, {}
    for row in rows:  # a later version takes the place of an earlier one
        state = states[row["id"]].state
        latest[row["code"]] = row["id"]
        if state == RELEASED:
            released[row["code"]] = row["id"]
        if state != DROPPED:
            kept[row["code"]] = row["id"]
    only_dropped = {id for code, id in latest.items() if code not in kept}
    return {*released.values(), *kept.values(), *only_dropped}


def origins_of(connection: Connection, noun: str, ids: Iterable[str]) -> dict[str, Origin]:
    """Return when and by whom things were entered, by id."""
    first = (
        sa.select(event.c.subject, sa.func.min(event.c.seq).label("seq"))
        .where(event.c.noun == noun)
        .group_by(event.c.subject)
    )
    firsts = rows_of(connection, first, event.c.subject, ids)
    seqs = {row["seq"]: row["subject"] for row in firsts}
    question = sa.select(event.c.seq, event.c.at, event.c.who)
    rows = rows_of(connection, question, event.c.seq, seqs)
    return {seqs[row["seq"]]: Origin(row["at"][:10], row["at"], row["who"]) for row in rows}
