"""`zincite assay spf`, `uva-pf` and `water`: tests on people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.assay.common import EXIT, ends, formula

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = ["spf", "uva_pf", "water"]

_file = click.argument("file", metavar="FILE")


def _references(given: tuple[str, ...]) -> dict[str, float]:
    from zincite.errors import InputError

    found: dict[str, float] = {}
    for text in given:
        name, sign, number = text.partition("=")
        try:
            found[name.strip()] = float(number)
        except ValueError:
            sign = ""
        if not sign:
            raise InputError(f"--reference is {text!r}, expected a name and an SPF such as P5=30.2")
    return found


@click.command(epilog=EXIT)
@_file
@click.option(
    "--reference",
    "references",
    multiple=True,
    metavar="NAME=SPF",
    help="Mean SPF of a reference sunscreen of the same test, such as P5=30.2; may be repeated.",
)
@click.option(
    "--planned-spf",
    type=float,
    metavar="SPF",
    help="SPF that the dose ladders were planned for (the mean found).",
)
@click.option(
    "--label-spf",
    type=float,
    metavar="SPF",
    help="SPF wanted on the label, for the chance that a panel reaches it (that of the brief).",
)
@click.option(
    "--market",
    default="eu",
    show_default=True,
    metavar="MARKET",
    help="Market whose classes say which tested SPF that label needs.",
)
@formula
@ends
def spf(
    file: str,
    references: tuple[str, ...],
    planned_spf: float | None,
    label_spf: float | None,
    market: str,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """SPF on people, ISO 24444: mean, interval, validity, label class of each market.

    FILE has a row a subject with columns subject, med_unprotected, med_protected, and optionally
    ita_deg and excluded (the reason); or the dose ladders, a row a spot: subject, skin
    (unprotected or protected), dose, response (yes or no).
    """
    from zincite.workbench.assay.panels import spf as evaluate

    return evaluate(
        file,
        label_spf=label_spf,
        market=market,
        references=_references(references),
        expected_spf=planned_spf,
        decimal=decimal,
        expected=expected,
    )


@click.command("uva-pf", epilog=EXIT)
@_file
@click.option("--label-spf", type=float, metavar="SPF", help="SPF on the label, for the ratio.")
@formula
@ends
def uva_pf(
    file: str,
    label_spf: float | None,
    decimal: str | None,
    expected: Expected | None,
) -> AssayReport[Any, Any]:
    """UVA-PF on people, ISO 24442: mean, interval, validity, PA grade.

    FILE has columns subject, mppdd_unprotected, mppdd_protected, or dose ladders as for spf.
    """
    from zincite.workbench.assay.panels import uva_pf as evaluate

    return evaluate(
        file,
        label_spf=label_spf,
        decimal=decimal,
        expected=expected,
    )


@click.command(epilog=EXIT)
@_file
@click.option(
    "--minutes",
    type=click.Choice(["40", "80"]),
    required=True,
    help="Total immersion, min.",
)
@click.option(
    "--reference-p2",
    type=float,
    metavar="SPF",
    help="Mean static SPF of reference sunscreen P2 in the same test.",
)
@ends
def water(
    file: str,
    minutes: str,
    reference_p2: float | None,
    decimal: str | None,
) -> AssayReport[Any, Any]:
    """Water resistance, ISO 16217 and 18861: retained SPF and its lower limit.

    FILE has columns subject, spf_static, spf_wet; or subject, med_unprotected, med_static, med_wet.
    """
    from zincite.workbench.assay.panels import water as evaluate

    return evaluate(
        file,
        immersion_min=float(minutes),
        reference_p2_static_spf=reference_p2,
        decimal=decimal,
    )
