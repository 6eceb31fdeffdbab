"""`zincite making process`: heat, melting points and window of a formula's process."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.process.process_plan import ProcessPlan
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="process")
@formula_file
@click.option(
    "--hot",
    type=float,
    metavar="C",
    help="Of the hot way that it is held against; 78 when left out.",
)
@click.option("--warm", type=float, metavar="C", help="Of the warm way likewise; 50 when left out.")
@cards
@ends
def command(
    formula: str, hot: float | None, warm: float | None, cards: str | None
) -> MakingReport[ProcessPlan]:
    """Judge the process: what each way of heating costs, what melts, what lies in its window.

    Heat per kg as written stands against hot, warm, hot-cold and cold making, with the waxes that
    would stay solid. Steps of [process] are shown with energy and temperature.
    """
    from zincite.workbench.making.process import process

    return process(formula, hot_C=hot, warm_C=warm, cards=cards)
