"""`zincite assay colour` and `contrast`: white cast and hiding power."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.assay.common import EXIT, ends, formula

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = ["colour", "contrast"]

_file = click.argument("file", metavar="FILE")


@click.command(epilog=EXIT)
@_file
@click.option(
    "--surface",
    type=click.Choice(["skin", "card"]),
    default="skin",
    show_default=True,
    help="What was measured.",
)
@click.option(
    "--max-delta-e00", type=float, metavar="DE00", help="Largest CIEDE2000 difference accepted."
)
@click.option("--max-delta-l", type=float, metavar="DL", help="Largest rise of L* accepted.")
@formula
@ends
def colour(
    file: str,
    surface: str,
    max_delta_e00: float | None,
    max_delta_l: float | None,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """White cast measured: dL*, dE00 and dITA of skin or a card before and after the film.

    FILE has L*, a*, b* with a column of conditions (before, after), or both side by side; columns
    subject and site pair them. Without a limit the brief of --formula gives it.
    """
    from zincite.workbench.assay.appearance import colour as evaluate

    return evaluate(
        file,
        surface=surface,
        max_delta_e00=max_delta_e00,
        max_delta_l=max_delta_l,
        decimal=decimal,
        expected=expected,
    )


@click.command(epilog=EXIT)
@_file
@click.option("--scale", type=click.Choice(["Y", "L*"]), help="Scale, where the file cannot tell.")
@formula
@ends
def contrast(
    file: str,
    scale: str | None,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """Contrast ratio of a film over black and white cards.

    FILE has a row a card with readings over black and over white, in Y or L* (a* and b* beside
    them are passed over).
    """
    from zincite.workbench.assay.appearance import contrast as evaluate

    return evaluate(file, scale=scale, decimal=decimal, expected=expected)
