"""`zincite notebook sign`: stand for a formula version, a result or another thing."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.asking import NEW, ask_password, password_file
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("sign")
@click.argument("noun", metavar="NOUN")
@click.argument("code", metavar="CODE")
@click.option(
    "--meaning",
    required=True,
    metavar="TEXT",
    help="What you stand for: reviewed, approved, released, or your own words.",
)
@click.option(
    "--revision", type=int, metavar="N", help="Only if the thing is still at this revision."
)
@password_file
@notebook
@who
@as_json
def command(
    noun: str,
    code: str,
    meaning: str,
    revision: int | None,
    password_file: str | None,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Sign a thing as it is now, such as `sign formula K-07@2 --meaning approved`.

    In a notebook with accounts a lead signs, with the password once more; nobody signs as
    reviewed, approved or released what they wrote themselves.
    """
    from dataclasses import replace

    from zincite.interfaces.cli.notebook.team_view import show_before, show_signed
    from zincite.interfaces.cli.terminal import Screen
    from zincite.notebook.login import Login
    from zincite.workbench.notebook.signing import before_signing, sign

    found = before_signing(notebook, noun, code)
    seen = found.seen if revision is None else replace(found.seen, revision=revision)
    password = ""
    if isinstance(who, Login) and not found.personal:
        if password_file is None and not as_json:
            screen = Screen()
            show_before(screen, found, meaning)
            screen.write()
        password = ask_password(f"Your password ({who})", password_file, NEW)
    show(sign(notebook, seen, meaning, who=who, password=password), show_signed, as_json=as_json)
