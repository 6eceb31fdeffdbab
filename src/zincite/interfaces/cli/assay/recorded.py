"""`zincite assay double-plate` and `hybrid`: recorded as the laboratory reported them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.assay.common import EXIT, Command, ends, formula

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = ["double_plate", "hybrid"]


def _reported(command: Command) -> Command:
    """Add the file and what the laboratory said of it, named as the records take them."""
    for option in (
        click.option("--report", default="", metavar="TEXT", help="Number of the report."),
        click.option("--laboratory", default="", metavar="TEXT", help="Who reported it."),
        click.option(
            "--product-form",
            type=click.Choice(["emulsion", "alcoholic", "powder", "stick"]),
            help="Form of the product, held against the scope of the standard.",
        ),
        click.option(
            "--laboratory-valid/--laboratory-not-valid",
            "laboratory_valid",
            default=None,
            help="What the laboratory said of its own test; without it the record is not valid.",
        ),
        click.argument("file", metavar="FILE"),
    ):
        command = option(command)
    return command


@click.command("double-plate", epilog=EXIT)
@_reported
@formula
@ends
def double_plate(
    file: str, decimal: str | None, expected: Expected | None, **reported: Any
) -> AssayReport[Any, Any]:
    """Double-plate SPF, ISO 23675, recorded as reported and never computed.

    FILE has a column spf, a row a plate pair; or one row with spf_mean, spf_sd and n.
    """
    from zincite.workbench.assay.recorded import double_plate as record

    return record(file, decimal=decimal, expected=expected, **reported)


@click.command(epilog=EXIT)
@_reported
@formula
@ends
def hybrid(
    file: str, decimal: str | None, expected: Expected | None, **reported: Any
) -> AssayReport[Any, Any]:
    """Hybrid diffuse reflectance, ISO 23698, recorded as reported and never computed.

    FILE has columns subject and any of spf, uva_pf, critical_wavelength_nm; or one row with their
    means, such as spf_mean and spf_sd, and n.
    """
    from zincite.workbench.assay.recorded import hybrid as record

    return record(file, decimal=decimal, expected=expected, **reported)
