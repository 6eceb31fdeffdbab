"""Arguments and options that several commands share."""

from __future__ import annotations

from typing import Any

import click

from zincite.errors import InputError

__all__ = ["as_json", "cards", "formula_file", "model", "write_text"]

formula_file = click.argument("formula", metavar="FORMULA.toml")
as_json = click.option(
    "--json", "as_json", is_flag=True, help="Print the result as JSON on stdout."
)
cards = click.option(
    "--cards",
    metavar="FILE_OR_FOLDER",
    help="Material cards used before the library's.",
)

model = click.option(
    "--model",
    metavar="LAB.json",
    help="Predict with what `zincite learn` learnt from a laboratory's own results.",
)


def write_text(path: str, text: str, *, what: str, replace: bool = True) -> None:
    """Write a text file in UTF-8.

    Parameters
    ----------
    path : str
        As the user gave it.
    text : str
    what : str
        What is written, for messages.
    replace : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    InputError
        If it cannot be written, or is there and may not be replaced.
    """
    mode: Any = "w" if replace else "x"
    try:
        with open(path, mode, encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(
            f"{path}: is there already, expected a new name for {what}, or --force to replace it"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            f"{path}: {what} cannot be written ({reason}), expected a file name in a folder "
            "that exists and may be written to"
        ) from None
