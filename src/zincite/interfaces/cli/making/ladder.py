"""`zincite making ladder`: the dispersant at which a mill base is thinnest."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making._dispersion import confidence, decimal
from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards

if TYPE_CHECKING:
    from zincite.evaluation.making.dispersion.ladder_result import LadderResult
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="ladder")
@click.argument("file", metavar="FILE")
@click.option("--formula", metavar="FORMULA.toml", help="Product to translate the answer to.")
@confidence
@decimal
@cards
@ends
def command(
    file: str, formula: str | None, confidence: float, decimal: str | None, cards: str | None
) -> MakingReport[LadderResult]:
    """Find the viscosity minimum of a dispersant ladder, with its interval.

    FILE has columns of dispersant (% of the pigment) and viscosity with its unit, one row a
    sample; a column of solids is checked to be constant. Replicates are further rows.
    """
    from zincite.workbench.making.dispersion import ladder

    return ladder(file, formula=formula, confidence=confidence, decimal=decimal, cards=cards)
