"""Figures as a table of many shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from zincite.interfaces.cli.notebook.record_view import measured
from zincite.interfaces.documents.numbers import unit_text
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.quantities import unit_of
from zincite.notebook.questions.readings import KEY_QUANTITIES, Reading, latest_of

__all__ = ["few_readings", "setting_words", "short_figure"]

_NARROW = 0.03  # of the value: an interval that nobody at the bench would read
_UNITS = {
    "_m_s": "m/s", "_kg_h": "kg/h", "_J_mL": "J/mL", "_rpm": "1/min", "_bar": "bar", "_W": "W",
    "_m": "m", "_kg": "kg", "_mm2_10min": "mm2 in 10 min", "_mN_m": "mN/m", "_g_100g": "g/100 g",
    "_g_L": "g/L",
}  # fmt: skip
"""Endings of settings and properties that figures do not have."""


def short_figure(value: float, low: float | None, high: float | None, unit: str) -> str:
    """Return a figure with its interval, without where it is narrower than 3 % of the value."""
    if low is not None and high is not None and high - low < _NARROW * abs(value):
        low = high = None
    return measured(value, low, high, unit)


def setting_words(key: str) -> str:
    """Return a setting of a step, or a property of a card, in words with its unit.

    Examples
    --------
    >>> setting_words("tip_speed_m_s"), setting_words("primary_median_nm")
    ('tip speed, m/s', 'primary median, nm')
    """
    known = next((end for end in sorted(_UNITS, key=len)[::-1] if key.endswith(end)), "")
    if known and not unit_of(key):
        return f"{key.removesuffix(known).replace('_', ' ')}, {_UNITS[known]}"
    unit = unit_of(key)
    return f"{quantity_words(key)}, {unit_text(unit)}" if unit else quantity_words(key)


def few_readings(readings: Sequence[Reading], most: int = 4) -> str:
    """Return the figures that a trial is known by, each once and without interval, SPF first."""
    latest = [latest_of(r for r in readings if r.quantity == key) for key in KEY_QUANTITIES]
    found = [reading for reading in latest if reading is not None]
    return _told(found[:most], len(found) - most)


def _told(shown: Iterable[Reading], more: int) -> str:
    told = [f"{quantity_words(r.quantity)} {measured(r.value, None, None, r.unit)}" for r in shown]
    return "; ".join([*told, *([f"{more} more"] if more > 0 else [])])
