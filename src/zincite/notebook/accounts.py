"""Accounts of a team's notebook: who they are, their role, and whether they are active.

A notebook without accounts is a personal one. The first account must be a lead's; from then on
every write needs a login. Hashes of passwords stand outside the chain and outside archives; the
events only say that a password was changed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.schema import account, credential

__all__ = ["Account", "accounts", "find_account", "is_personal"]


@dataclass(frozen=True, slots=True)
class Account:
    """Somebody who may use a team's notebook.

    Attributes
    ----------
    id : str
    name : str
        For the login, in lower case.
    full_name : str
        As signatures show it.
    role : str
        One of `ROLES`.
    active : bool
    has_password : bool
        False after an archive was restored, which never carries passwords.
    revision : int
    """

    id: str
    name: str
    full_name: str
    role: str
    active: bool
    has_password: bool
    revision: int

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "name": self.name,
            "full_name": self.full_name,
            "role": self.role,
            "active": self.active,
            "has_password": self.has_password,
            "revision": self.revision,
        }


def _select() -> sa.Select[Any]:
    return sa.select(account, credential.c.account_id.label("known")).join(
        credential, credential.c.account_id == account.c.id, isouter=True
    )


def _account(row: Any) -> Account:
    return Account(
        row.id,
        row.name,
        row.full_name,
        row.role,
        row.active == 1,
        row.known is not None,
        row.revision,
    )


def accounts(connection: Connection) -> tuple[Account, ...]:
    """Return all accounts by name, the inactive ones too."""
    return tuple(_account(row) for row in connection.execute(_select().order_by(account.c.name)))


def is_personal(connection: Connection) -> bool:
    """Return whether there is no account, so that a given name may do everything."""
    return connection.execute(sa.select(account.c.id).limit(1)).first() is None


def find_account(connection: Connection, name: str) -> Account:
    """Return an account by its name.

    Raises
    ------
    NotebookError
        If there is none.
    """
    row = connection.execute(_select().where(account.c.name == name.strip().lower())).first()
    if row is None:
        raise NotebookError(
            f"no account is named {name!r}, expected one that `zincite notebook account list` shows"
        )
    return _account(row)
