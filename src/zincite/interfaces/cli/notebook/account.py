"""`zincite notebook account`: who may use a team's notebook, and in which role."""

from __future__ import annotations

import click

from zincite.interfaces.cli.groups import CommandGroup
from zincite.interfaces.cli.notebook.asking import (
    NEW,
    OWN,
    ask_password,
    own_password_file,
    password_file,
)
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]

_ROLES = ("read", "bench", "lead")
_name = click.argument("name", metavar="NAME")
_revision = click.option(
    "--revision",
    type=int,
    metavar="N",
    help="Only if the account is as `list` showed it: at this revision.",
)


@click.group("account", cls=CommandGroup)
def command() -> None:
    """Add, list and change the accounts of a team.

    A notebook without accounts is a personal one: whoever can open it may do everything under
    the name they give. The first account must be a lead's; from then on everybody who writes
    logs in.
    """


@command.command("add")
@_name
@click.option("--full-name", required=True, metavar="TEXT", help="As signatures show it.")
@click.option(
    "--role",
    required=True,
    type=click.Choice(_ROLES),
    help="read: nothing but reading; bench: the work of the bench; lead: everything.",
)
@password_file
@notebook
@who
@as_json
def add(
    name: str,
    full_name: str,
    role: str,
    password_file: str | None,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Add an account; its password is asked for twice, at least 12 characters."""
    from zincite.interfaces.cli.notebook.team_view import show_changed
    from zincite.workbench.notebook.team import add_account

    password = ask_password(f"Password of {name}", password_file, NEW, new=True)
    made = add_account(notebook, name, full_name=full_name, role=role, password=password, who=who)
    show(made, show_changed, as_json=as_json)


@command.command("list")
@notebook
@as_json
def list_(notebook: str, as_json: bool) -> None:
    """List all accounts, the inactive ones too."""
    from zincite.interfaces.cli.notebook.team_view import show_accounts
    from zincite.workbench.notebook.team import list_accounts

    show(list_accounts(notebook), show_accounts, as_json=as_json)


@command.command("role")
@_name
@click.argument("role", type=click.Choice(_ROLES))
@_revision
@notebook
@who
@as_json
def role(
    name: str, role: str, revision: int | None, notebook: str, who: str, as_json: bool
) -> None:
    """Give an account another role; the last active lead stays one."""
    from zincite.interfaces.cli.notebook.team_view import show_changed
    from zincite.workbench.notebook.team import change_role

    made = change_role(notebook, name, role, who=who, revision=revision)
    show(made, show_changed, as_json=as_json)


@command.command("password")
@_name
@own_password_file
@password_file
@notebook
@who
@as_json
def password(
    name: str,
    own_password_file: str | None,
    password_file: str | None,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Give an account a new password and end its sessions.

    Your own, or as a lead that of anybody. In a notebook restored from an archive, where no
    account has a password yet, that of a lead is set without a login.
    """
    from zincite.interfaces.cli.notebook.team_view import show_new_password
    from zincite.notebook.login import Login
    from zincite.workbench.notebook.team import change_password

    own = ""
    if isinstance(who, Login):
        own = ask_password(f"Your own password ({who})", own_password_file, OWN)
    new = ask_password(f"New password of {name}", password_file, NEW, new=True)
    made = change_password(notebook, name, password=new, own_password=own, who=who)
    show(made, show_new_password, as_json=as_json)


@command.command("deactivate")
@_name
@click.option("--reason", required=True, metavar="TEXT", help="Why, such as who left.")
@_revision
@notebook
@who
@as_json
def deactivate(
    name: str, reason: str, revision: int | None, notebook: str, who: str, as_json: bool
) -> None:
    """Close an account: what it wrote and signed stays; the last active lead cannot be closed."""
    from zincite.interfaces.cli.notebook.team_view import show_changed
    from zincite.workbench.notebook.team import deactivate_account

    made = deactivate_account(notebook, name, reason=reason, who=who, revision=revision)
    show(made, show_changed, as_json=as_json)


@command.command("activate")
@_name
@password_file
@notebook
@who
@as_json
def activate(name: str, password_file: str | None, notebook: str, who: str, as_json: bool) -> None:
    """Open a closed account again, with a new password."""
    from zincite.interfaces.cli.notebook.team_view import show_changed
    from zincite.workbench.notebook.team import activate_account

    new = ask_password(f"New password of {name}", password_file, NEW, new=True)
    show(activate_account(notebook, name, password=new, who=who), show_changed, as_json=as_json)
