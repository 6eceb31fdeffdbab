"""`zincite notebook touched`: formulas that a supplier's change would touch."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import notebook, show
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("touched")
@click.option("--coating", default="", metavar="TEXT", help="Part of a coating's INCI name.")
@click.option("--material", default="", metavar="ID", help="A material, also inside blends.")
@notebook
@as_json
def command(coating: str, material: str, notebook: str, as_json: bool) -> None:
    """Tell which current formulas a supplier's change of coating or material would touch.

    Open formulas come first, then released and dropped ones. With both options both must fit.
    """
    from zincite.interfaces.cli.notebook.uses_view import show_touched
    from zincite.workbench.notebook.asking import what_is_touched

    found = what_is_touched(notebook, coating=coating, material=material)
    show(found, show_touched, as_json=as_json)
