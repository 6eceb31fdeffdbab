"""`zincite assay double-plate` and `hybrid`: recorded as the laboratory reported them."""

from __future__ import annotations

import click

from zincite.interfaces.cli.assay.common import (
    EXIT,
    Command,
    ends,
    expected_from,
    finish,
    formula,
)

__all__ = ["double_plate", "hybrid"]


def _options(command: Command) -> Command:
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
@_options
@formula
@ends
@click.pass_context
def double_plate(
    ctx: click.Context,
    file: str,
    laboratory_valid: bool | None,
    product_form: str | None,
    laboratory: str,
    report: str,
    decimal: str | None,
    formula: str | None,
    cards: str | None,
    model: str | None,
    as_json: bool,
    html: str | None,
) -> None:
    """Double-plate SPF, ISO 23675, recorded as reported and never computed.

    FILE has a column spf, a row a plate pair; or one row with spf_mean, spf_sd and n.
    """
    from zincite.workbench.assay.recorded import double_plate as record

    found = record(
        file,
        laboratory_valid=laboratory_valid,
        product_form=product_form,
        laboratory=laboratory,
        report=report,
        decimal=decimal,
        expected=expected_from(formula, cards, model),
    )
    finish(ctx, found, as_json, html)


@click.command(epilog=EXIT)
@_options
@formula
@ends
@click.pass_context
def hybrid(
    ctx: click.Context,
    file: str,
    laboratory_valid: bool | None,
    product_form: str | None,
    laboratory: str,
    report: str,
    decimal: str | None,
    formula: str | None,
    cards: str | None,
    model: str | None,
    as_json: bool,
    html: str | None,
) -> None:
    """Hybrid diffuse reflectance, ISO 23698, recorded as reported and never computed.

    FILE has columns subject and any of spf, uva_pf, critical_wavelength_nm; or one row with their
    means, such as spf_mean and spf_sd, and n.
    """
    from zincite.workbench.assay.recorded import hybrid as record

    found = record(
        file,
        laboratory_valid=laboratory_valid,
        product_form=product_form,
        laboratory=laboratory,
        report=report,
        decimal=decimal,
        expected=expected_from(formula, cards, model),
    )
    finish(ctx, found, as_json, html)
