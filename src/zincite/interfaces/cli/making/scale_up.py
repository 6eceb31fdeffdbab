"""`zincite making scale-up`: one step of the process at pilot and plant size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.errors import InputError
from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.process.scale_up import ScaleUp
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


def _target(text: str) -> tuple[float, float | None]:
    """Return batch and diameter of "200:0.15"."""
    batch, colon, diameter = text.partition(":")
    try:
        return float(batch), float(diameter) if colon else None
    except ValueError:
        raise InputError(
            f"--to {text!r} is no size, expected KG or KG:DIAMETER_M such as 200 or 200:0.15"
        ) from None


@click.command(name="scale-up")
@formula_file
@click.option(
    "--rule",
    type=click.Choice(["tip-speed", "energy", "turnovers"]),
    required=True,
    help="What is kept: tip speed, energy density or turnovers.",
)
@click.option(
    "--keep",
    type=click.Choice(["tip-speed", "minutes"]),
    default="tip-speed",
    show_default=True,
    help="What energy or turnovers keep beside: then the other, time or speed, gives way.",
)
@click.option("--to", "sizes", multiple=True, required=True, metavar="KG[:DIAMETER_M]",
              help="Batch and rotor of a larger size; may be given again. A similar rotor where "
              "no diameter is given.")  # fmt: skip
@click.option(
    "--step",
    type=int,
    metavar="N",
    help="Step of [process], from 1; else the one with most energy.",
)
@click.option(
    "--from", "lab_kg", type=float, metavar="KG", help="Laboratory batch; else the file's."
)
@click.option("--max-tip-speed", type=float, metavar="M_S", help="Of the large machine, m/s.")
@click.option("--max-rpm", type=float, metavar="RPM", help="Of the large machine, 1/min.")
@click.option("--max-power", type=float, metavar="KW", help="Of the large machine, kW.")
@cards
@ends
def command(
    formula: str,
    rule: str,
    keep: str,
    sizes: tuple[str, ...],
    step: int | None,
    lab_kg: float | None,
    max_tip_speed: float | None,
    max_rpm: float | None,
    max_power: float | None,
    cards: str | None,
) -> MakingReport[ScaleUp]:
    """Carry one step from laboratory to pilot and plant, and show what cannot be kept equal.

    The formula's [process] is the laboratory's. Where a larger machine cannot do what the rule
    asks, the nearest that it can is shown with the reason.
    """
    from zincite.evaluation.making.process.scale_rules import Limits
    from zincite.workbench.making.process import scale

    return scale(
        formula,
        [_target(size) for size in sizes],
        rule=rule,
        keep=keep,
        step=step,
        lab_kg=lab_kg,
        limits=Limits(max_tip_speed, max_rpm, max_power),
        cards=cards,
    )
