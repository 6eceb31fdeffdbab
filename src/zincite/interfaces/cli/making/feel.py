"""`zincite making feel`: the spreading cascade and the free oil."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.emulsions.feel import FeelOutlook
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="feel")
@formula_file
@cards
@ends
def command(formula: str, cards: str | None) -> MakingReport[FeelOutlook]:
    """Show indicators of feel: how the oils spread, how much oil the powders leave free.

    Indicators, not a panel: they say which way a change will go.
    """
    from zincite.workbench.making.emulsion import feel

    return feel(formula, cards=cards)
