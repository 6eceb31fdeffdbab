"""Asking for passwords: hidden and twice on a terminal, or from a file; never an argument."""

from __future__ import annotations

import sys

import click

from zincite.errors import InputError

__all__ = ["ask_password", "own_password_file", "password_file"]

OWN, NEW = "--own-password-file", "--password-file"

own_password_file = click.option(
    OWN, metavar="FILE", help="Take your own password from the first line of FILE; - for the input."
)
password_file = click.option(
    NEW, metavar="FILE", help="Take the password from the first line of FILE; - for the input."
)


def ask_password(label: str, path: str | None, option: str, *, new: bool = False) -> str:
    """Return a password.

    Parameters
    ----------
    label : str
        What is asked for on a terminal.
    path : str or None
        File that holds it, "-" for a line of the input; None asks for it.
    option : str
        Option that names the file, for messages.
    new : bool
        Whether it is typed twice.

    Raises
    ------
    InputError
        If there is no terminal to ask on, or the file cannot be read or is empty.
    """
    if path is None:
        if not sys.stdin.isatty():
            raise InputError(
                f"{label}: there is no terminal to ask on, expected {option} FILE or {option} -"
            )
        return str(click.prompt(label, hide_input=True, confirmation_prompt=new, err=True))
    if path == "-":
        line, name = sys.stdin.readline(), "the input"
    else:
        line, name = _first_line(path, option), path
    found = line.removesuffix("\n").removesuffix("\r")
    if not found:
        raise InputError(f"{name}: {option} finds no password, expected one in its first line")
    return found


def _first_line(path: str, option: str) -> str:
    try:
        with open(path, encoding="utf-8") as file:
            return file.readline()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not UTF-8 text"
        raise InputError(
            f"{path}: {option} cannot read it ({reason}), expected a text file with the password "
            "in its first line"
        ) from None
