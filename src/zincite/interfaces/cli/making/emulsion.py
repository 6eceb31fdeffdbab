"""`zincite making emulsion`: phases, viscosity, drops, emulsifier, salt and settling."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="emulsion")
@formula_file
@click.option(
    "--measured-viscosity",
    type=float,
    metavar="MPAS",
    help="Of this formula at slow shear, mPa s: ties all models.",
)
@click.option("--d32-um", type=float, metavar="UM", help="Measured Sauter diameter of the drops.")
@click.option(
    "--yield-stress-pa", type=float, metavar="PA", help="Measured, such as by `assay flow`."
)
@cards
@ends
def command(
    formula: str,
    measured_viscosity: float | None,
    d32_um: float | None,
    yield_stress_pa: float | None,
    cards: str | None,
) -> MakingReport[EmulsionOutlook]:
    """Judge the emulsion: drops by volume, flow, emulsifier, salt, what settles.

    Drop size comes from --d32-um, else from the [process] step that emulsifies, else from what is
    usually aimed for.
    """
    from zincite.workbench.making.emulsion import emulsion

    return emulsion(
        formula,
        measured_viscosity_mPas=measured_viscosity,
        d32_um=d32_um,
        yield_stress_Pa=yield_stress_pa,
        cards=cards,
    )
