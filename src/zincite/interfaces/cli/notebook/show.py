"""`zincite notebook show`: one thing with all that hangs on it."""

from __future__ import annotations

import sys

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("show")
@click.argument("code", metavar="CODE")
@click.option("--noun", default="", metavar="NOUN", help="What it is, where two share a code.")
@click.option("--toml", "as_toml", is_flag=True, help="Print a formula, brief or card as TOML.")
@click.option("--save", metavar="FILE", help="Write the kept file of a result or an attachment.")
@notebook
@as_json
def command(
    code: str, noun: str, as_toml: bool, save: str | None, notebook: str, as_json: bool
) -> None:
    """Show a thing by its code, with all that hangs on it.

    CODE is K-07 (its latest version) or K-07@2, T-001 for a trial, T-001/2 for its second result,
    K-07@2/1 for a prediction, PROJECT/1 for a brief, a lot, a material's key, or the beginning of
    an id such as comment-0f3a.
    """
    from zincite.workbench.notebook.showing import show as shown_of

    found = shown_of(notebook, code, noun=noun)
    if save is not None:
        from zincite.workbench.notebook.files import save_kept

        save_kept(notebook, found.record, save)
    if as_toml:
        text = getattr(found.record, "toml", None)
        if text is None:
            raise InputError(
                f"{found.noun} {found.record.called} is no text, expected a formula, a brief or a "
                "material for --toml"
            )
        sys.stdout.write(text)
        return
    from zincite.interfaces.cli.notebook.view import show_thing

    show(found, show_thing, as_json=as_json)
