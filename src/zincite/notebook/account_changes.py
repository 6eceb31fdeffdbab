"""What a lead does with accounts: adding, roles, passwords, closing and opening again.

Hashes of passwords stand outside the chain and outside archives; the events only say that a
password was changed and hold a seal of the hash, by which verifying finds a planted one.
"""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy.engine import Connection

from zincite.errors import InputError, NotAllowedError
from zincite.notebook.accounts import Account, accounts, find_account
from zincite.notebook.chain import seal
from zincite.notebook.login import Login
from zincite.notebook.passwords import check_password, hashed
from zincite.notebook.rights import PASSWORD_CHANGED, ROLES
from zincite.notebook.schema import credential, session
from zincite.notebook.sessions import confirm
from zincite.notebook.store import Notebook
from zincite.notebook.writer import Writer

__all__ = ["activate", "add_account", "change_password", "change_role", "deactivate"]

_NAME = re.compile(r"[a-z0-9][a-z0-9._@-]{0,63}")


def add_account(
    notebook: Notebook, who: str, name: str, *, full_name: str, role: str, password: str
) -> Account:
    """Add an account; the first one, which must be a lead's, makes the notebook a team's.

    Raises
    ------
    InputError
        If name, role or password cannot be taken, or the name is in use.
    NotAllowedError
        If `who` is not the login of a lead.
    """
    name, full_name = name.strip().lower(), " ".join(full_name.split())
    _check_name(name, full_name)
    _check_role(role)
    check_password(password, name)
    password_hash = hashed(password)
    with notebook.write(who) as writer:
        there = {one.name for one in accounts(writer.connection)}
        if not there and role != "lead":
            raise InputError(
                f"account {name}: the first account has the role {role}, expected lead: somebody "
                "must be able to add the others"
            )
        if name in there:
            raise InputError(f"account {name} is there already, expected a new name")
        row = {"name": name, "full_name": full_name, "role": role, "active": 1}
        subject = writer.add("account", row, also={"credential": seal(password_hash)})
        _set_credential(writer.connection, subject, password_hash)
        return find_account(writer.connection, name)


def change_role(
    notebook: Notebook, who: str, name: str, role: str, *, revision: int | None = None
) -> Account:
    """Give an account another role.

    Parameters
    ----------
    notebook : Notebook
    who : str
        Login of a lead.
    name : str
    role : str
    revision : int, optional
        As the caller saw the account; the present one where left out.

    Raises
    ------
    InputError
        If it has the role already, or is the last active lead.
    ConflictError
        If somebody changed the account meanwhile.
    """
    _check_role(role)
    with notebook.write(who) as writer:
        found = find_account(writer.connection, name)
        if found.role == role and revision in (None, found.revision):
            raise InputError(f"account {found.name} has the role {role} already")
        if role != "lead":
            _keep_a_lead(writer.connection, found)
        _change(writer, found, {"role": role}, revision, kind="role changed")
        return find_account(writer.connection, name)


def deactivate(
    notebook: Notebook, who: str, name: str, reason: str, *, revision: int | None = None
) -> Account:
    """Close an account: its password and sessions end, what it wrote and signed stays.

    Raises
    ------
    InputError
        If no reason is given, it is inactive already, or is the last active lead.
    ConflictError
        If somebody changed the account meanwhile.
    """
    if not reason.strip():
        raise InputError(f"account {name}: no reason given, expected why it is deactivated")
    with notebook.write(who) as writer:
        found = find_account(writer.connection, name)
        if not found.active and revision in (None, found.revision):
            raise InputError(f"account {found.name} is inactive already, expected an active one")
        _keep_a_lead(writer.connection, found)
        _change(writer, found, {"active": 0}, revision, kind="deactivated", reason=reason)
        writer.connection.execute(credential.delete().where(credential.c.account_id == found.id))
        _end_sessions(writer.connection, found)
        return find_account(writer.connection, name)


def activate(notebook: Notebook, who: str, name: str, password: str) -> Account:
    """Open a closed account again, with a new password.

    Raises
    ------
    InputError
        If it is active, or the password cannot be taken.
    """
    check_password(password, name.strip().lower())
    password_hash = hashed(password)
    with notebook.write(who) as writer:
        found = find_account(writer.connection, name)
        if found.active:
            raise InputError(f"account {found.name} is active already, expected an inactive one")
        _change(writer, found, {"active": 1}, None, kind="activated", password_hash=password_hash)
        return find_account(writer.connection, name)


def change_password(
    notebook: Notebook, who: str, name: str, password: str, *, own_password: str = ""
) -> Account:
    """Give an account a new password and end its sessions.

    Parameters
    ----------
    notebook : Notebook
    who : str
        Login of the account itself or of a lead.
    name : str
    password : str
    own_password : str
        The present password of `who`. Not needed while no account has a password, as after an
        archive was restored: then any user of the notebook may set that of a lead.

    Raises
    ------
    InputError
        If the password cannot be taken, or the account is inactive.
    NotAllowedError
        If `own_password` is wrong, or the account is another's and `who` is no lead.
    """
    check_password(password, name.strip().lower())
    password_hash = hashed(password)
    with notebook.read() as connection:
        proven = any(one.has_password for one in accounts(connection))
    if proven and isinstance(who, Login):
        confirm(notebook, who, own_password)
    with notebook.write(who) as writer:
        found = find_account(writer.connection, name)
        if not found.active:
            raise InputError(
                f"account {found.name} is inactive, expected an active one: "
                "`zincite notebook account activate`"
            )
        _change(writer, found, {}, None, kind=PASSWORD_CHANGED, password_hash=password_hash)
        _end_sessions(writer.connection, found)
        return find_account(writer.connection, name)


def _change(
    writer: Writer,
    found: Account,
    changes: dict[str, Any],
    revision: int | None,
    *,
    kind: str,
    reason: str = "",
    password_hash: str = "",
) -> None:
    seen = found.revision if revision is None else revision
    also = {"credential": seal(password_hash)} if password_hash else {}
    writer.change("account", found.id, changes, revision=seen, kind=kind, reason=reason, also=also)
    if password_hash:
        _set_credential(writer.connection, found.id, password_hash)


def _set_credential(connection: Connection, subject: str, password_hash: str) -> None:
    connection.execute(credential.delete().where(credential.c.account_id == subject))
    connection.execute(credential.insert().values(account_id=subject, password_hash=password_hash))


def _end_sessions(connection: Connection, found: Account) -> None:
    connection.execute(session.delete().where(session.c.account_id == found.id))


def _keep_a_lead(connection: Connection, found: Account) -> None:
    if found.role != "lead" or not found.active:
        return
    others = [
        one
        for one in accounts(connection)
        if one.role == "lead" and one.active and one.has_password and one.id != found.id
    ]
    if not others:
        raise NotAllowedError(
            f"account {found.name} is the last active lead, expected another lead with a password "
            "first"
        )


def _check_name(name: str, full_name: str) -> None:
    if not _NAME.fullmatch(name):
        raise InputError(
            f"account name {name!r}, expected 1 to 64 of the letters a to z, digits and . _ - @, "
            "beginning with a letter or digit"
        )
    if not full_name:
        raise InputError(f"account {name}: no full name, expected one as signatures shall show it")


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise InputError(f"role {role!r}, expected one of {', '.join(ROLES)}")
