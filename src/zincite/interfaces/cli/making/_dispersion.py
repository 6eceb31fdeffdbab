"""Options that the dispersion commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from zincite.errors import InputError

__all__ = ["bet", "confidence", "decimal", "gamma"]


def _surfaces(
    ctx: click.Context, param: click.Parameter, given: tuple[str, ...]
) -> dict[str, float]:
    """Return the measured surfaces by material."""
    del ctx, param
    found: dict[str, float] = {}
    for text in given:
        name, sign, value = text.partition("=")
        try:
            number = float(value)
        except ValueError:
            number = float("nan")
        if not (name and sign and number == number):
            raise InputError(f"--bet says {text!r}, expected MATERIAL=M2_G such as my-oxide=12.5")
        if name in found:
            raise InputError(f"--bet names {name!r} twice, expected each powder once")
        found[name] = number
    return found


Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]

bet: Decorator = click.option(
    "--bet",
    multiple=True,
    metavar="MATERIAL=M2_G",
    callback=_surfaces,
    help="Measured BET surface of a powder, m2/g; may be repeated.",
)
gamma: Decorator = click.option(
    "--gamma", type=float, metavar="MG_M2", help="Dispersant held on the surface, mg/m2 (1 to 2)."
)
confidence: Decorator = click.option(
    "--confidence",
    type=click.FloatRange(0.5, 0.999),
    default=0.95,
    show_default=True,
    help="Of the intervals.",
)
decimal: Decorator = click.option(
    "--decimal",
    type=click.Choice([".", ","]),
    help="Decimal sign of the file, where it cannot tell.",
)
