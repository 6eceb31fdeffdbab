"""`zincite making fit`: rates and limits of devices from own size analyses."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making.common import ends

if TYPE_CHECKING:
    from zincite.evaluation.making.stress.size_file import SizeFit
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="fit")
@click.argument("file", metavar="FILE.csv")
@click.option("-o", "--output", metavar="FIT.json", help="File to keep the fit in.")
@click.option("--decimal", type=click.Choice([".", ","]), help="Decimal sign, where not clear.")
@ends
def command(file: str, output: str | None, decimal: str | None) -> MakingReport[SizeFit]:
    """Fit how fast and how far a device frees pigment to own size analyses.

    Columns: device, energy_J_mL (or minutes, power_W and volume_mL), aggregate_fraction, and where
    known standard_error, median_nm and tip_speed_m_s. Give the kept fit to `making deagglomeration
    --fit` and to `predict --process-fit`.
    """
    from zincite.workbench.making.deagglomeration import fit

    return fit(file, target=output, decimal=decimal)
