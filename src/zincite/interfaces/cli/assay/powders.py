"""`zincite assay screening`, `size` and `flow`: grades, particle sizes, flow curves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.assay.common import EXIT, ends, formula

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = ["flow", "screening", "size"]

_file = click.argument("file", metavar="FILE")


@click.command(epilog=EXIT)
@_file
@click.option("--control", metavar="NAME", help="Grade that the others are held against.")
@click.option(
    "--larger-is-better/--smaller-is-better",
    "larger_is_better",
    default=True,
    show_default=True,
    help="Which way is better.",
)
@click.option("--quantity", metavar="TEXT", help="What was measured (header of the values).")
@click.option(
    "--confidence",
    type=float,
    default=0.95,
    show_default=True,
    help="Of all intervals together, between 0 and 1.",
)
@ends
def screening(
    file: str,
    control: str | None,
    larger_is_better: bool,
    quantity: str | None,
    confidence: float,
    decimal: str | None,
) -> AssayReport[Any, Any]:
    """Compare grades: which differ, which is likely the best, with assumptions checked.

    FILE has columns grade and value, and block where days or batches matter; or a column for each
    grade (a first column named block, day or batch is the block).
    """
    from zincite.workbench.assay.powders import screening as evaluate

    return evaluate(
        file,
        control=control,
        larger_is_better=larger_is_better,
        quantity=quantity,
        confidence=confidence,
        decimal=decimal,
    )


@click.command(epilog=EXIT)
@_file
@click.option(
    "--constituent",
    is_flag=True,
    help="Constituent particles were sized, as by electron microscopy, not lumps of them.",
)
@click.option("--core", metavar="CORE", help="Such as zinc-oxide, for the surface per gram.")
@click.option("--cut", type=float, metavar="NM", help="Everything above counts as aggregate, nm.")
@click.option(
    "--weighting",
    type=click.Choice(["number", "volume", "intensity"]),
    help="What the shares are of, where the file cannot tell.",
)
@click.option("--unit", type=click.Choice(["nm", "um"]), help="Unit of the diameters, likewise.")
@click.option("--material", default="", metavar="ID", help="Grade, for the lines to paste.")
@click.option(
    "--formula",
    metavar="FORMULA.toml",
    help="Formula whose dispersion was sized, for the lines to paste.",
)
@ends
def size(
    file: str,
    constituent: bool,
    core: str | None,
    cut: float | None,
    weighting: str | None,
    unit: str | None,
    material: str,
    formula: str | None,
    decimal: str | None,
) -> AssayReport[Any, Any]:
    """Particle sizes: percentiles, surface, nano decision, aggregates, lines for a card.

    FILE has a column of diameters and one of shares or a cumulative curve.
    """
    from zincite.workbench.assay.powders import size as evaluate

    return evaluate(
        file,
        constituent=constituent,
        core=core,
        cut_nm=cut,
        weighting=weighting,
        unit=unit,
        material=material,
        formula=formula,
        decimal=decimal,
    )


@click.command(epilog=EXIT)
@_file
@click.option(
    "--at",
    "rates",
    type=float,
    multiple=True,
    metavar="PER_S",
    help="Shear rate to report the viscosity at, 1/s; may be repeated (1, 10, 100).",
)
@formula
@ends
def flow(
    file: str,
    rates: tuple[float, ...],
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """Flow curve: viscosity at shear rates, power law, yield stress where the data show one.

    FILE has columns of shear rate and of viscosity or stress, with their units.
    """
    from zincite.workbench.assay.powders import flow as evaluate

    return evaluate(file, rates_1_s=rates, decimal=decimal, expected=expected)
