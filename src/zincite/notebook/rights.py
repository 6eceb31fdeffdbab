"""Who may do what: one table, asked by the writer before every event of a notebook with accounts.

A notebook without accounts is a personal one: everybody who can open it may do everything under
the name they give. Reading is not guarded: who can read the file can read all of it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotAllowedError
from zincite.notebook.login import Login
from zincite.notebook.schema import NOUNS, account, credential, event, session

__all__ = ["PASSWORD_CHANGED", "RIGHTS", "ROLES", "Guard", "guard", "token_hash"]

ROLES = ("read", "bench", "lead")
"""Roles, each with the rights of those before it."""

_ALL, _BENCH, _LEAD = ROLES, ROLES[1:], ROLES[2:]

RIGHTS: Mapping[str, tuple[str, ...]] = {
    "own password": _ALL,
    "material": _BENCH,
    "lot": _BENCH,
    "brief": _BENCH,
    "formula": _BENCH,
    "prediction": _BENCH,
    "trial": _BENCH,
    "result": _BENCH,
    "comment": _BENCH,
    "attachment": _BENCH,
    "kept file": _BENCH,
    "mapping": _BENCH,
    "decision": _BENCH,
    "decision to release": _LEAD,
    "decision to drop": _LEAD,
    "withdrawal of another's": _LEAD,
    "project": _LEAD,
    "signature": _LEAD,
    "account": _LEAD,
}
"""Act -> the roles that may do it. A noun stands for adding, changing and withdrawing one."""

PASSWORD_CHANGED = "password changed"
"""Kind of change that everybody may make to the own account."""

_FINAL = {"release": "decision to release", "drop": "decision to drop"}

Guard = Callable[[str, str, str, Mapping[str, Any]], None]
"""Gets kind, noun, subject and the row to be written; raises NotAllowedError."""


def token_hash(token: str) -> str:
    """Return what is stored of a session's token: its SHA-256."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def guard(connection: Connection, who: str, at: str) -> Guard | None:
    """Return what every event of a transaction must pass, None in a personal notebook.

    Parameters
    ----------
    connection : Connection
        In a transaction that holds the write lock, so that roles cannot change meanwhile.
    who : str
        A `Login` where the notebook has accounts.
    at : str
        The time now, as events carry it.

    Raises
    ------
    NotAllowedError
        If the notebook has accounts and `who` is not logged in to an active one.
    """
    if connection.execute(sa.select(account.c.id).limit(1)).first() is None:
        return None
    if connection.execute(sa.select(credential.c.account_id).limit(1)).first() is None:
        return _only_a_leads_password(connection, who)
    if not isinstance(who, Login):
        raise NotAllowedError(
            f"{who}: this notebook has accounts and nobody is logged in, expected a login: "
            "`zincite notebook login`"
        )
    found = connection.execute(
        sa.select(account.c.id, account.c.name, account.c.role)
        .join(session, session.c.account_id == account.c.id)
        .where(
            session.c.token_hash == token_hash(who.token),
            session.c.expires_at > at,
            account.c.active == 1,
            account.c.name == str(who),
        )
    ).first()
    if found is None:
        raise NotAllowedError(
            f"{who}: the session has ended, expected a new login: `zincite notebook login`"
        )
    return _AccountGuard(connection, found.id, found.name, found.role)


def _only_a_leads_password(connection: Connection, who: str) -> Guard:
    """Return the guard of a notebook restored from an archive: nobody has a password yet."""

    def allowed(kind: str, noun: str, subject: str, row: Mapping[str, Any]) -> None:
        if (
            kind != f"account {PASSWORD_CHANGED}"
            or _changed(connection, noun, subject, row)
            or (row["role"], row["active"]) != ("lead", 1)
        ):
            raise NotAllowedError(
                f"{who}: no account of this notebook has a password yet, expected that of a lead "
                "first: `zincite notebook account password NAME`"
            )

    return allowed


class _AccountGuard:
    """Holds one account against the table, event by event."""

    def __init__(self, connection: Connection, id: str, name: str, role: str) -> None:
        self._connection, self._id, self._name, self._role = connection, id, name, role

    def __call__(self, kind: str, noun: str, subject: str, row: Mapping[str, Any]) -> None:
        if kind == "account withdrawn":
            raise NotAllowedError(
                f"{self._name} may not withdraw an account, expected to deactivate it"
            )
        for act in self._acts(kind, noun, subject, row):
            if self._role not in RIGHTS[act]:
                raise NotAllowedError(
                    f"{self._name} (role {self._role}) may not {_in_words(kind, noun, act)}, "
                    f"expected the role {' or '.join(RIGHTS[act])}"
                )

    def _acts(self, kind: str, noun: str, subject: str, row: Mapping[str, Any]) -> list[str]:
        if kind == f"account {PASSWORD_CHANGED}" and subject == self._id:
            return ["account" if _changed(self._connection, noun, subject, row) else "own password"]
        acts = [noun]
        if noun == "decision":
            verdicts = {row["verdict"], _before(self._connection, noun, subject).get("verdict")}
            acts += [act for verdict, act in _FINAL.items() if verdict in verdicts]
        if kind == f"{noun} withdrawn" and _author(self._connection, noun, subject) != self._name:
            acts.append("withdrawal of another's")
        return acts


def _in_words(kind: str, noun: str, act: str) -> str:
    """Return what somebody wants to do, such as "add a trial"."""
    if act == "withdrawal of another's":
        return f"withdraw the {noun} of somebody else"
    verb = {"added": "add", "withdrawn": "withdraw"}.get(kind.rpartition(" ")[2], "change")
    return f"{verb} {'an' if act[0] in 'aeiou' else 'a'} {act}"


def _before(connection: Connection, noun: str, subject: str) -> Mapping[str, Any]:
    table = NOUNS[noun].table
    row = connection.execute(table.select().where(table.c.id == subject)).mappings().first()
    return {} if row is None else {str(key): value for key, value in row.items()}


def _changed(connection: Connection, noun: str, subject: str, row: Mapping[str, Any]) -> bool:
    """Return whether anything but the revision changes."""
    before = _before(connection, noun, subject)
    same = {"revision", "event_seq"}
    return {k: v for k, v in before.items() if k not in same} != {
        k: v for k, v in row.items() if k not in same
    }


def _author(connection: Connection, noun: str, subject: str) -> str:
    found = connection.execute(
        sa.select(event.c.who)
        .where(event.c.noun == noun, event.c.subject == subject)
        .order_by(event.c.seq)
        .limit(1)
    ).scalar()
    return str(found or "")
