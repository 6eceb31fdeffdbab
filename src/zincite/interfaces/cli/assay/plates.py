"""`zincite assay uva`, `photostability` and `broad-spectrum`: tests on plates."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, cast

import click

from zincite.interfaces.cli.assay.common import EXIT, Command, ends, formula, quantity

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = ["broad_spectrum", "photostability", "uva"]

_before = click.option(
    "--before", required=True, metavar="FILE", help="Spectra before irradiation."
)
_after = click.option(
    "--after",
    metavar="FILE",
    help="The same spots after irradiation; not needed where one file names both states.",
)


def _average(usual: str) -> Callable[[Command], Command]:
    return click.option(
        "--average",
        type=click.Choice(["absorbance", "transmittance"]),
        default=usual,
        show_default=True,
        help="Mean of what over the spots of a plate.",
    )


@click.command(epilog=EXIT)
@_before
@_after
@click.option(
    "--label-spf", type=float, required=True, metavar="SPF", help="SPF of the label, above 1."
)
@click.option(
    "--edition",
    type=click.Choice(["2021", "2012"]),
    default="2021",
    show_default=True,
    help="Edition of ISO 24443.",
)
@click.option(
    "--in-vivo-spf",
    type=float,
    metavar="SPF",
    help="Static SPF on people that C scales to (the label SPF).",
)
@click.option(
    "--reference-uva-pf",
    type=float,
    metavar="UVA_PF",
    help="UVA-PF of reference sunscreen S2 in the same run.",
)
@click.option(
    "--plates",
    "plate_kind",
    type=click.Choice(["moulded", "sandblasted", "high roughness", "low roughness"]),
    help="Kind of plates, with --amount.",
)
@click.option("--amount", type=float, metavar="MG_CM2", help="Amount applied, mg/cm2.")
@_average("absorbance")
@quantity
@formula
@ends
def uva(
    before: str,
    after: str | None,
    label_spf: float,
    edition: str,
    in_vivo_spf: float | None,
    reference_uva_pf: float | None,
    plate_kind: str | None,
    amount: float | None,
    average: str,
    quantity: str | None,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """UVA protection in vitro, ISO 24443: C, UVA-PF, critical wavelength, UVA/UVB.

    Spectra of plates and spots, wavelengths down or across, absorbance or transmittance. Without
    spectra after irradiation the dose is worked out and the test stays incomplete (status 1).
    """
    from zincite.workbench.assay.plates import uva as evaluate

    return evaluate(
        before,
        label_spf=label_spf,
        after=after,
        edition=cast(Any, edition),
        average=cast(Any, average),
        in_vivo_spf=in_vivo_spf,
        reference_uva_pf=reference_uva_pf,
        plate_kind=cast(Any, plate_kind),
        amount_mg_cm2=amount,
        quantity=quantity,
        decimal=decimal,
        expected=expected,
    )


@click.command(epilog=EXIT)
@_before
@_after
@click.option("--limit", type=float, metavar="PERCENT", help="Largest loss that is accepted, %.")
@click.option(
    "--scale-to-spf", type=float, metavar="SPF", help="Scale each plate to this SPF first (C = 1)."
)
@_average("absorbance")
@quantity
@ends
def photostability(
    before: str,
    after: str | None,
    limit: float | None,
    scale_to_spf: float | None,
    average: str,
    quantity: str | None,
    decimal: str | None,
) -> AssayReport[Any, Any]:
    """Photostability in vitro: what irradiation leaves of SPF, UVA-PF and absorbance.

    Common practice; no standard gives a limit, so --limit is yours.
    """
    from zincite.workbench.assay.plates import photostability as evaluate

    return evaluate(
        before,
        after,
        scale_to_spf=scale_to_spf,
        limit_percent=limit,
        average=cast(Any, average),
        quantity=quantity,
        decimal=decimal,
    )


@click.command("broad-spectrum", epilog=EXIT)
@click.argument("file", metavar="FILE")
@click.option(
    "--preirradiated/--not-preirradiated",
    default=None,
    help="Whether the plates got the fixed dose before they were read.",
)
@_average("transmittance")
@quantity
@formula
@ends
def broad_spectrum(
    file: str,
    preirradiated: bool | None,
    average: str,
    quantity: str | None,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """Broad spectrum in the United States: mean critical wavelength of plates."""
    from zincite.workbench.assay.plates import broad_spectrum as evaluate

    return evaluate(
        file,
        preirradiated=preirradiated,
        average=cast(Any, average),
        quantity=quantity,
        decimal=decimal,
        expected=expected,
    )
