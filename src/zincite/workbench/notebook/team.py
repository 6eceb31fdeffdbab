"""Acts of a team: accounts, logging in and out, and saying who is who."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from zincite.notebook import account_changes as changes
from zincite.notebook import sessions
from zincite.notebook.accounts import Account, accounts, is_personal
from zincite.notebook.login import Login
from zincite.notebook.sessions import Session
from zincite.notebook.store import Notebook
from zincite.workbench.notebook.opening import Where, opened

__all__ = [
    "AccountList",
    "ChangedAccount",
    "LoggedIn",
    "WhoAmI",
    "activate_account",
    "add_account",
    "change_password",
    "change_role",
    "deactivate_account",
    "list_accounts",
    "log_in",
    "log_out",
    "who_am_i",
]


@dataclass(frozen=True, slots=True)
class AccountList:
    """All accounts of a notebook.

    Attributes
    ----------
    notebook : str
    accounts : tuple of Account
        None in a personal notebook.
    """

    notebook: str
    accounts: tuple[Account, ...]

    @property
    def personal(self) -> bool:
        """Whether there is none, so that every given name may write everything."""
        return not self.accounts

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "notebook": self.notebook,
            "personal": self.personal,
            "accounts": [one.to_dict() for one in self.accounts],
        }


@dataclass(frozen=True, slots=True)
class ChangedAccount:
    """An account after an act on it.

    Attributes
    ----------
    account : Account
    first : bool
        Whether it is the notebook's only one, which made it a team's.
    events : int
    head_hash : str
        Number and hash of the last event.
    """

    account: Account
    first: bool
    events: int
    head_hash: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "account": self.account.to_dict(),
            "first": self.first,
            "events": self.events,
            "head_hash": self.head_hash,
        }


@dataclass(frozen=True, slots=True)
class LoggedIn:
    """A session that began.

    Attributes
    ----------
    notebook : str
    session : Session
        Its token is secret and in no output.
    """

    notebook: str
    session: Session

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "notebook": self.notebook,
            "account": self.session.account.to_dict(),
            "expires_at": self.session.expires_at,
        }


@dataclass(frozen=True, slots=True)
class WhoAmI:
    """Under which name one writes.

    Attributes
    ----------
    notebook : str
    who : str
        "" where a login is needed and missing.
    personal : bool
        Whether the notebook has no accounts: then nobody checks the name.
    account : Account or None
    expires_at : str
        When the session ends, "" without one.
    """

    notebook: str
    who: str
    personal: bool
    account: Account | None
    expires_at: str

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "notebook": self.notebook,
            "who": self.who,
            "personal": self.personal,
            "account": None if self.account is None else self.account.to_dict(),
            "expires_at": self.expires_at,
        }


def list_accounts(where: Where) -> AccountList:
    """Return all accounts, the inactive ones too."""
    with opened(where) as notebook, notebook.read() as connection:
        return AccountList(notebook.name, accounts(connection))


def add_account(
    where: Where, name: str, *, full_name: str, role: str, password: str, who: str
) -> ChangedAccount:
    """Add an account; see `zincite.notebook.account_changes.add_account`."""
    with opened(where) as notebook:
        made = changes.add_account(
            notebook, who, name, full_name=full_name, role=role, password=password
        )
        return _changed(notebook, made)


def change_role(
    where: Where, name: str, role: str, *, who: str, revision: int | None = None
) -> ChangedAccount:
    """Give an account another role; see `zincite.notebook.account_changes.change_role`."""
    with opened(where) as notebook:
        return _changed(notebook, changes.change_role(notebook, who, name, role, revision=revision))


def deactivate_account(
    where: Where, name: str, *, reason: str, who: str, revision: int | None = None
) -> ChangedAccount:
    """Close an account; see `zincite.notebook.account_changes.deactivate`."""
    with opened(where) as notebook:
        return _changed(
            notebook, changes.deactivate(notebook, who, name, reason, revision=revision)
        )


def activate_account(where: Where, name: str, *, password: str, who: str) -> ChangedAccount:
    """Open a closed account again; see `zincite.notebook.account_changes.activate`."""
    with opened(where) as notebook:
        return _changed(notebook, changes.activate(notebook, who, name, password))


def change_password(
    where: Where, name: str, *, password: str, own_password: str, who: str
) -> ChangedAccount:
    """Give an account a new password; see `zincite.notebook.account_changes.change_password`."""
    with opened(where) as notebook:
        made = changes.change_password(notebook, who, name, password, own_password=own_password)
        return _changed(notebook, made)


def log_in(where: Where, name: str, password: str) -> LoggedIn:
    """Begin a session; see `zincite.notebook.sessions.login`."""
    with opened(where) as notebook:
        return LoggedIn(notebook.name, sessions.login(notebook, name, password))


def log_out(where: Where, who: str) -> bool:
    """End the session of a login; return whether there was one."""
    if not isinstance(who, Login):
        return False
    with opened(where) as notebook:
        return sessions.logout(notebook, who.token)


def who_am_i(where: Where, *, who: str) -> WhoAmI:
    """Return under which name one writes, and how that is known."""
    with opened(where) as notebook:
        with notebook.read() as connection:
            personal = is_personal(connection)
        if personal:
            return WhoAmI(notebook.name, str(who), True, None, "")
        found = sessions.account_of(notebook, who.token) if isinstance(who, Login) else None
        if found is None or found[0].name != who:
            return WhoAmI(notebook.name, "", False, None, "")
        return WhoAmI(notebook.name, found[0].name, False, *found)


def _changed(notebook: Notebook, account: Account) -> ChangedAccount:
    events, head = notebook.head()
    with notebook.read() as connection:
        first = len(accounts(connection)) == 1
    return ChangedAccount(account, first, events, head)
