"""`zincite making points`: liquids ranked by wet point and flow point."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.making._dispersion import confidence, decimal
from zincite.interfaces.cli.making.common import ends

if TYPE_CHECKING:
    from zincite.evaluation.making.dispersion.points import PointsResult
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="points")
@click.argument("file", metavar="FILE")
@confidence
@decimal
@ends
def command(file: str, confidence: float, decimal: str | None) -> MakingReport[PointsResult]:
    """Rank liquids by the gap of flow point and wet point; the smallest disperses best.

    FILE has columns of liquid, wet point and flow point in g per 100 g of pigment (or in g beside
    the pigment weighed), one row a measurement. Replicates are further rows.
    """
    from zincite.workbench.making.dispersion import points

    return points(file, confidence=confidence, decimal=decimal)
