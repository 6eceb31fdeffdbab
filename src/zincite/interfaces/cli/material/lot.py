"""`zincite material lot`: enter a lot with what its certificate says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import notebook, show, who
from zincite.interfaces.cli.options import as_json

if TYPE_CHECKING:
    from zincite.notebook.lots import CertificateValue

__all__ = ["command"]


@click.command("lot")
@click.argument("material", metavar="KEY")
@click.argument("code", metavar="CODE")
@click.option("--supplier", default="", metavar="NAME", help="Who delivered it.")
@click.option("--received", default="", metavar="DATE", help="Such as 2027-01-31.")
@click.option("--expires", default="", metavar="DATE", help="Its last good day.")
@click.option("--note", default="", metavar="TEXT", help="Anything else, in words.")
@click.option(
    "--value",
    "values",
    multiple=True,
    metavar="QUANTITY=VALUE",
    help='Line of the certificate, such as "loss on drying=0.3 %" or "look=conforms"; may be '
    "repeated.",
)
@notebook
@who
@as_json
def command(
    material: str,
    code: str,
    supplier: str,
    received: str,
    expires: str,
    note: str,
    values: tuple[str, ...],
    notebook: str,
    who: str,
    as_json: bool,
) -> None:
    """Enter a lot of a material, with what its certificate says.

    KEY is the id of a card in the notebook or the library, CODE what stands on the label.
    """
    from zincite.interfaces.cli.notebook.view import show_entered
    from zincite.workbench.notebook.materials import enter_lot

    made = enter_lot(
        notebook,
        code,
        material,
        who=who,
        supplier=supplier,
        received_on=received,
        expires_on=expires,
        note=note,
        values=[_value(text) for text in values],
    )
    show(made, show_entered, as_json=as_json)


def _value(text: str) -> CertificateValue:
    """Return a line of a certificate: a number with its unit, or words."""
    from zincite.notebook.lots import CertificateValue

    quantity, sign, said = text.partition("=")
    first, _, unit = said.strip().partition(" ")
    if not sign or not quantity.strip() or not first:
        raise InputError(
            f"--value is {text[:60]!r}, expected a quantity and a value such as "
            '"loss on drying=0.3 %"'
        )
    try:
        return CertificateValue(quantity.strip(), float(first), unit.strip())
    except ValueError:
        return CertificateValue(quantity.strip(), None, "", said.strip())
