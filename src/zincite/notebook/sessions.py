"""Logging in: sessions, and the wait after wrong passwords.

Of a session's token only the SHA-256 is stored, so that nobody who reads the database can use
one. Every attempt is counted before its password is looked at, in the database: many processes
at once get no more attempts than one.
"""

from __future__ import annotations

import datetime
import hashlib
import math
import secrets
from dataclasses import dataclass, field

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotAllowedError
from zincite.notebook.accounts import Account, accounts, find_account, is_personal
from zincite.notebook.chain import seal
from zincite.notebook.login import Login
from zincite.notebook.passwords import hashed, is_outdated, matches
from zincite.notebook.rights import PASSWORD_CHANGED, token_hash
from zincite.notebook.schema import account, credential, login_attempt, session
from zincite.notebook.store import Notebook
from zincite.notebook.writer import Writer, now

__all__ = ["HOURS", "Session", "account_of", "confirm", "login", "logout"]

HOURS = 12
"""A session ends after so many hours."""
_FREE = 5  # wrong passwords before the first wait
_FIRST_WAIT_S, _LONGEST_WAIT_S = 30, 900
_FORGOTTEN_S = 86400


@dataclass(frozen=True, slots=True)
class Session:
    """A login that lasts.

    Attributes
    ----------
    account : Account
    token : str
        Secret; whoever has it is taken for the account.
    expires_at : str
        ISO 8601, UTC.
    """

    account: Account
    token: str = field(repr=False)
    expires_at: str

    @property
    def who(self) -> Login:
        """What stands for a name in everything that writes."""
        return Login(self.account.name, self.token)


def login(notebook: Notebook, name: str, password: str) -> Session:
    """Begin a session.

    Raises
    ------
    NotAllowedError
        If the notebook has no accounts, name or password is wrong, the account is inactive, or
        too many attempts failed shortly before.
    ReadOnlyError
        If the notebook cannot be written: a session is kept in it.
    """
    proof = _proof(notebook, name.strip().lower(), password)
    token, ends = secrets.token_urlsafe(32), _from_now(HOURS * 3600)
    with notebook.transaction() as connection:
        found = _accept(connection, proof)
        connection.execute(session.delete().where(session.c.expires_at <= now()))
        connection.execute(
            session.insert().values(
                token_hash=token_hash(token), account_id=found.id, expires_at=ends
            )
        )
        _renew(connection, Login(found.name, token), found, proof)
    return Session(found, token, ends)


def logout(notebook: Notebook, token: str) -> bool:
    """End a session; return whether it was one."""
    with notebook.transaction() as connection:
        gone = connection.execute(session.delete().where(session.c.token_hash == token_hash(token)))
    return bool(gone.rowcount)


def account_of(notebook: Notebook, token: str) -> tuple[Account, str] | None:
    """Return whose session a token is and when it ends, None where it is none any more."""
    with notebook.read() as connection:
        row = connection.execute(
            sa.select(account.c.name, session.c.expires_at)
            .join(session, session.c.account_id == account.c.id)
            .where(
                session.c.token_hash == token_hash(token),
                session.c.expires_at > now(),
                account.c.active == 1,
            )
        ).first()
        return None if row is None else (find_account(connection, row.name), row.expires_at)


def confirm(notebook: Notebook, who: Login, password: str) -> None:
    """Ask once more for the password of who is logged in, as before a signature.

    Raises
    ------
    NotAllowedError
        If it is wrong, or too many attempts failed shortly before.
    """
    proof = _proof(notebook, str(who), password)
    with notebook.transaction() as connection:
        _renew(connection, who, _accept(connection, proof), proof)


@dataclass(frozen=True, slots=True)
class _Proof:
    """A password that matched.

    Attributes
    ----------
    name : str
    known : str
        The stored hash.
    renewed : str
        A hash to store in its place, "" while it is up to date.
    """

    name: str
    known: str
    renewed: str


def _proof(notebook: Notebook, name: str, password: str) -> _Proof:
    """Count the attempt, then compare the password."""
    with notebook.transaction() as connection:
        _check_team(notebook, connection)
        _count(connection, name)
        known = _hash_of(connection, name)
    # outside the transaction: a hash takes long on purpose, and other writers would wait for it
    if not matches(password, known) or known is None:
        raise NotAllowedError(f"{name}: name or password is wrong, expected those of an account")
    return _Proof(name, known, hashed(password) if is_outdated(known) else "")


def _accept(connection: Connection, proof: _Proof) -> Account:
    """Return the account if the password is still the same; forget the failed attempts."""
    if _hash_of(connection, proof.name) != proof.known:
        raise NotAllowedError(f"{proof.name}: the password was changed just now, expected the new")
    found = find_account(connection, proof.name)
    connection.execute(login_attempt.delete().where(_attempts_of(proof.name)))
    return found


def _renew(connection: Connection, who: Login, found: Account, proof: _Proof) -> None:
    """Store a hash of today's strength in place of an outdated one of the same password."""
    if not proof.renewed:
        return
    Writer(connection, who).change(
        "account",
        found.id,
        {},
        revision=found.revision,
        kind=PASSWORD_CHANGED,
        reason="hashed anew, the same password",
        also={"credential": seal(proof.renewed)},
    )
    connection.execute(
        credential.update()
        .where(credential.c.account_id == found.id)
        .values(password_hash=proof.renewed)
    )


def _check_team(notebook: Notebook, connection: Connection) -> None:
    if is_personal(connection):
        raise NotAllowedError(
            f"{notebook.name} has no accounts, expected a team's notebook: `zincite notebook "
            "account add` makes the first account"
        )
    if not any(one.has_password for one in accounts(connection)):
        raise NotAllowedError(
            f"{notebook.name}: no account has a password yet, expected that of a lead first: "
            "`zincite notebook account password NAME`"
        )


def _hash_of(connection: Connection, name: str) -> str | None:
    found = connection.execute(
        sa.select(credential.c.password_hash)
        .join(account, account.c.id == credential.c.account_id)
        .where(account.c.name == name, account.c.active == 1)
    ).scalar()
    return None if found is None else str(found)


def _count(connection: Connection, name: str) -> None:
    """Count an attempt, or refuse it while the wait after failed ones lasts."""
    connection.execute(
        login_attempt.delete().where(login_attempt.c.last_at <= _from_now(-_FORGOTTEN_S))
    )
    row = connection.execute(login_attempt.select().where(_attempts_of(name))).first()
    failures = 0 if row is None else int(row.failures)
    if row is not None and failures >= _FREE:
        wait_s = min(_FIRST_WAIT_S * 2.0 ** min(failures - _FREE, 10), _LONGEST_WAIT_S)
        left_s = wait_s - _seconds_since(row.last_at)
        if left_s > 0:
            raise NotAllowedError(
                f"{name}: {failures} attempts with a wrong password, expected the next one in "
                f"{math.ceil(left_s)} s"
            )
    connection.execute(login_attempt.delete().where(_attempts_of(name)))
    connection.execute(
        login_attempt.insert().values(name_hash=_hidden(name), failures=failures + 1, last_at=now())
    )


def _attempts_of(name: str) -> sa.ColumnElement[bool]:
    return login_attempt.c.name_hash == _hidden(name)


def _hidden(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()


def _from_now(seconds: float) -> str:
    at = datetime.datetime.now(datetime.UTC) + datetime.timedelta(seconds=seconds)
    return at.isoformat(timespec="microseconds")


def _seconds_since(at: str) -> float:
    # abs: after the clock was set back, a time ahead must not lock for ever
    gone = datetime.datetime.now(datetime.UTC) - datetime.datetime.fromisoformat(at)
    return abs(gone.total_seconds())
