"""Options that every command of the notebook has, and how it ends."""

from __future__ import annotations

import getpass
import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.logins import kept

if TYPE_CHECKING:
    from zincite.interfaces.cli.terminal import Screen

__all__ = ["NOTEBOOK", "WHO", "Shown", "notebook", "optional_notebook", "show", "who"]

NOTEBOOK = "ZINCITE_NOTEBOOK"
WHO = "ZINCITE_WHO"
"""Environment variables with what --notebook and --who say where they are left out."""

_METAVAR = "FILE_OR_URL"


def _needed(ctx: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    del parameter
    found = value or os.environ.get(NOTEBOOK, "")
    if not found and not ctx.resilient_parsing:
        raise InputError(
            f"no notebook is named, expected --notebook {_METAVAR} or the environment variable "
            f"{NOTEBOOK}"
        )
    return found


def _name(ctx: click.Context, parameter: click.Parameter, value: str | None) -> str:
    del parameter
    where = ctx.params.get("notebook")
    login = kept(where) if where else None
    if login is not None:
        return login
    if value is not None:
        return value
    found = os.environ.get(WHO, "")
    if found:
        return found
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


notebook = click.option(
    "--notebook",
    metavar=_METAVAR,
    callback=_needed,
    is_eager=True,
    help=f"Notebook: a file or a postgresql:// URL; {NOTEBOOK} where left out.",
)
"""Gives `notebook: str`, of the option or the environment; one sentence where there is none."""

optional_notebook = click.option(
    "--notebook",
    metavar=_METAVAR,
    is_eager=True,
    help="Take the formula from this notebook: FORMULA is a code such as K-07 or K-07@2.",
)
"""Gives `notebook: str | None`, for commands that work without one as well."""

who = click.option(
    "--who",
    metavar="NAME",
    callback=_name,
    help=f"Who writes; {WHO} or the user of this computer where left out. In a notebook with "
    "accounts it is who is logged in.",
)
"""Gives `who: str`, a `Login` where somebody is logged in; `notebook` is read first."""


class Shown(Protocol):
    """A result that JSON can show."""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""


R = TypeVar("R", bound=Shown)


def show(result: R, view: Callable[[Screen, R], None], *, as_json: bool) -> None:
    """Print a result as JSON or by its view in the terminal.

    Parameters
    ----------
    result : Shown
    view : callable
        Fills a `Screen` with the result.
    as_json : bool
    """
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(result.to_dict())
        return
    screen = Screen()
    view(screen, result)
    screen.write()
