"""`zincite making ions`: zinc and aluminium in the water phase, chelators, acids, preservatives."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards

if TYPE_CHECKING:
    from zincite.evaluation.making.water.ions_result import IonsResult
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="ions")
@click.argument("formula", metavar="[FORMULA.toml]", required=False)
@click.option("--ph", type=float, metavar="PH", help="Of the water phase, 4 to 13.")
@click.option(
    "--ionic-strength",
    metavar="MOL_L|auto",
    help="For activities (Davies); auto with a formula, 0 without.",
)
@click.option(
    "--exposed", type=float, metavar="SHARE", help="Bare share of the pigment surface, 0 to 1."
)
@cards
@ends
def command(
    formula: str | None,
    ph: float | None,
    ionic_strength: str | None,
    exposed: float | None,
    cards: str | None,
) -> MakingReport[IonsResult]:
    """Work out dissolved zinc and aluminium, and what they do to the water phase.

    With a formula: its pH over zinc oxide, which metal takes the chelator, acids that the oxide
    eats, soaps, phosphates, anionics, and whether the preservatives work. Without: plain water.
    """
    from zincite.workbench.making.ions import ions

    return ions(formula, ph=ph, ionic_strength=ionic_strength, exposed=exposed, cards=cards)
