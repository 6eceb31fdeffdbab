"""`zincite trial value`: a plain reading of a trial."""

from __future__ import annotations

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

__all__ = ["command"]


@click.command("value", context_settings={"ignore_unknown_options": True})
@click.argument("code", metavar="CODE")
@click.argument("quantity", metavar="QUANTITY")
@click.argument("value", metavar="VALUE")
@click.argument("unit", metavar="[UNIT]", default="")
@click.option("--measured-on", default="", metavar="DATE", help="Such as 2027-01-31 (today).")
@click.option("--method", default="", metavar="TEXT", help="How it was measured.")
@notebook
@who
@as_json
def command(
    code: str,
    quantity: str,
    value: str,
    unit: str,
    measured_on: str,
    method: str,
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Keep a plain reading: viscosity, density, pH, droplet size, or any other quantity.

    Such as `zincite trial value T-001 viscosity 12.5 "Pa s"`; known quantities are kept in one
    unit, under the name that a prediction has.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.results import enter_value

    try:
        number = float(value)
    except ValueError:
        raise InputError(f"{quantity} is {value[:40]!r}, expected a number such as 12.5") from None
    made = enter_value(
        notebook, code, quantity, number, unit, who=who, measured_on=measured_on, method=method
    )
    show(made, show_entered, as_json=as_json)
