"""`zincite making bench`: surfaces, dispersant demand, CPVC, thickness of the mill base."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making._dispersion import bet, gamma
from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.dispersion.bench_result import DispersionBench
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="bench")
@formula_file
@bet
@gamma
@cards
@ends
def command(
    formula: str, bet: dict[str, float], gamma: float | None, cards: str | None
) -> MakingReport[DispersionBench]:
    """Prepare the dispersion bench: surface, dispersant, how full mill base and film are.

    The dispersant that covers the powders stands against what the formula holds. A ladder on
    your own powder (`zincite making ladder`) decides.
    """
    from zincite.workbench.making.dispersion import bench

    return bench(formula, bet_m2_g=bet, gamma_mg_m2=gamma, cards=cards)
