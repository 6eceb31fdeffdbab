"""`zincite making deagglomeration`: aggregates after the process, and what a change of it does."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.making.common import ends
from zincite.interfaces.cli.options import cards, formula_file

if TYPE_CHECKING:
    from zincite.evaluation.making.stress.process_cases import Deagglomeration
    from zincite.evaluation.making.stress.process_change import ProcessChange
    from zincite.workbench.making.report import MakingReport

__all__ = ["command"]


@click.command(name="deagglomeration")
@formula_file
@click.option("--minutes-more", type=float, metavar="M", help="More minutes on a step (or less).")
@click.option(
    "--step", type=int, metavar="N", help="Which step is changed; the one that frees most."
)
@click.option("--device", metavar="NAME", help="Another device: of --step, else one step more.")
@click.option("--passes", type=float, metavar="N", help="Passes through that device.")
@click.option("--minutes", type=float, metavar="M", help="Minutes on that device.")
@click.option("--tip-speed", type=float, metavar="M_S", help="Of that device, m/s.")
@click.option("--pressure", type=float, metavar="BAR", help="Of a high-pressure homogeniser, bar.")
@click.option("--fit", "fitted", metavar="FIT.json", help="Devices that `making fit` fitted.")
@click.option("--no-optics", is_flag=True, help="Leave out SPF and whiteness.")
@cards
@ends
def command(
    formula: str, fitted: str | None, no_optics: bool, cards: str | None, **asked: Any
) -> MakingReport[Deagglomeration]:
    """Say how much pigment stays in aggregates, and what a change does to SPF and whiteness.

    Without a change asked for it looks at five minutes or one pass more and at two mills.
    The formula needs process steps ([process] with [[process.step]]).
    """
    from zincite.workbench.making.deagglomeration import deagglomeration

    return deagglomeration(
        formula, _change(**asked), fitted=fitted, optics=not no_optics, cards=cards
    )


def _change(
    minutes_more: float | None = None,
    step: int | None = None,
    device: str | None = None,
    passes: float | None = None,
    minutes: float | None = None,
    tip_speed: float | None = None,
    pressure: float | None = None,
) -> ProcessChange | None:
    from zincite.evaluation.making.stress.process_change import ProcessChange

    settings = {"passes": passes, "minutes": minutes, "tip_speed_m_s": tip_speed,
                "pressure_bar": pressure}  # fmt: skip
    given = {key: value for key, value in settings.items() if value is not None}
    if device is not None and minutes_more is None:
        return ProcessChange.of_device(device, step, **given)
    if minutes_more is None and step is None and not given:
        return None
    return ProcessChange(minutes_more, step, device or "", given)
