"""`zincite making mill-base`: the most powder that a device takes, and 100 g of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making._dispersion import bet, gamma
from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.dispersion.mill_base_design import MillBaseDesign
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="mill-base")
@formula_file
@click.option(
    "--device",
    required=True,
    metavar="NAME",
    help="dissolver, rotor-stator, rotor-stator-in-line, three-roll-mill, bead-mill or "
    "high-pressure.",
)
@click.option("--solids", type=float, metavar="PERCENT", help="Powder by mass of the mill base.")
@click.option("--oil-viscosity", type=float, metavar="MPAS", help="Of the oil while it is milled.")
@click.option("--dispersant", type=float, metavar="PERCENT", help="Dispersant, % of the pigment.")
@bet
@gamma
@cards
@ends
def command(
    formula: str,
    device: str,
    solids: float | None,
    oil_viscosity: float | None,
    dispersant: float | None,
    bet: dict[str, float],
    gamma: float | None,
    cards: str | None,
) -> MakingReport[MillBaseDesign]:
    """Design the mill base: the most solids that a device can take, and a recipe of 100 g.

    Limits are the oil absorption of the powder (CPVC) and the viscosities that the device works
    at. Solids above the CPVC are refused with the reason.
    """
    from zincite.workbench.making.dispersion import mill_base

    return mill_base(
        formula,
        device,
        solids_percent=solids,
        oil_viscosity_mPas=oil_viscosity,
        dispersant_percent=dispersant,
        bet_m2_g=bet,
        gamma_mg_m2=gamma,
        cards=cards,
    )
