"""`zincite material add`: enter cards of the laboratory's own materials."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("add")
@click.argument("cards", metavar="CARD.toml")
@click.option(
    "--reason", default="", metavar="TEXT", help="What changed; needed from version 2 of a card on."
)
@notebook
@who
@as_json
def command(cards: str, reason: str, notebook: str, who: str, as_json: bool) -> None:
    """Enter the cards of a file or folder, each as a new version of its key.

    Formulas bring their own cards with them; this is for cards that no formula has yet, and for a
    supplier's change. Of several cards those that are there unchanged are passed over.
    """
    from zincite.interfaces.cli.terminal import Screen, print_json
    from zincite.workbench.notebook.materials import enter_materials

    made = enter_materials(notebook, cards, who=who, reason=reason)
    if as_json:
        print_json({"materials": [entered.to_dict() for entered in made]})
        return
    from zincite.interfaces.cli.notebook.view import show_entered, show_several

    screen = Screen()
    if len(made) == 1:
        show_entered(screen, made[0])
    else:
        show_several(screen, made)
    screen.write()
