"""Scales from quantities to places on paper, their ticks, and labels that keep apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

__all__ = [
    "LinearScale",
    "LogScale",
    "Scale",
    "log_ticks",
    "nice_ticks",
    "spread",
    "tick_text",
]

_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class LinearScale:
    """Even steps: `low` lies at `start`, `high` at `end`."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of a value, kept within the scale."""
        span = self.high - self.low
        share = 0.5 if span == 0 else (value - self.low) / span
        return self.start + min(max(share, 0.0), 1.0) * (self.end - self.start)

    def ticks(self, count: int) -> list[float]:
        """Return about `count` round values within the scale."""
        return nice_ticks(self.low, self.high, count)


@dataclass(frozen=True, slots=True)
class LogScale:
    """Equal ratios take equal lengths; both ends above 0."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of a value, kept within the scale."""
        span = math.log(self.high / self.low)
        inside = min(max(value, self.low), self.high)
        share = 0.5 if span == 0 else math.log(inside / self.low) / span
        return self.start + share * (self.end - self.start)

    def ticks(self, count: int) -> list[float]:
        """Return round values within the scale."""
        return log_ticks(self.low, self.high, count)


Scale = LinearScale | LogScale
"""From a quantity to a place."""


def nice_ticks(low: float, high: float, count: int = 5) -> list[float]:
    """Return about `count` evenly spaced round numbers within a range.

    Parameters
    ----------
    low, high : float
        Range, low <= high.
    count : int
        Wanted number.

    Examples
    --------
    >>> nice_ticks(0, 1.1, 5)
    [0.0, 0.25, 0.5, 0.75, 1.0]
    """
    if not (math.isfinite(low) and math.isfinite(high)) or high <= low:
        return [low] if math.isfinite(low) else []
    rough = (high - low) / max(count, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = power * next(nice for nice in _NICE if nice * power >= rough * 0.999)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    # rounding by the step keeps 0.30000000000000004 away from print
    places = max(0, 2 - math.floor(math.log10(step)))
    return [round(number * step, places) + 0.0 for number in range(first, last + 1)]


def log_ticks(low: float, high: float, count: int = 5) -> list[float]:
    """Return round numbers within a range for a logarithmic scale.

    Powers of ten; with 2 and 5 between where those alone would be few, thinned where they are many.

    Examples
    --------
    >>> log_ticks(0.01, 100)
    [0.01, 0.1, 1.0, 10.0, 100.0]
    """
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    for steps in ((1.0,), (1.0, 3.0), (1.0, 2.0, 5.0)):
        found = [
            step * 10.0**power
            for power in range(first, last + 1)
            for step in steps
            if low * 0.999 <= step * 10.0**power <= high * 1.001
        ]
        if len(found) >= min(4, count):
            break
    if len(found) < 2:  # less than a step wide: even steps do
        return nice_ticks(low, high, count)
    stride = math.ceil(len(found) / (count + 2))
    return found[::stride]


def tick_text(value: float) -> str:
    """Return a tick as printed, without needless digits."""
    if value == 0:
        return "0"
    if abs(value) >= 10_000:
        return f"{value:,.0f}".replace(",", "\u202f")
    return f"{value:.6g}".replace("-", "\u2212")


def spread(
    places: Sequence[float], gap: float | Sequence[float], low: float, high: float
) -> list[float]:
    """Return places moved as little as needed so that labels keep apart.

    Parameters
    ----------
    places : sequence of float
        Wanted places, in any order.
    gap : float or sequence of float
        Room each label takes, centred on its place.
    low, high : float
        The labels stay between; where they do not fit, the lower end gives way.

    Returns
    -------
    list of float
        In the order given.

    Examples
    --------
    >>> spread([10, 11, 40], 6, 0, 50)
    [7.5, 13.5, 40.0]
    """
    rooms = [float(gap)] * len(places) if isinstance(gap, int | float) else [float(g) for g in gap]
    order = sorted(range(len(places)), key=lambda i: places[i])
    blocks: list[tuple[float, float, list[int]]] = []  # wanted start, length, members
    for index in order:
        start, length, members = places[index] - rooms[index] / 2, rooms[index], [index]
        while blocks and blocks[-1][0] + blocks[-1][1] > start + 1e-9:
            before = blocks.pop()
            # blocks that touch settle where their members are moved least on average
            total = len(before[2]) + len(members)
            wanted = before[0] * len(before[2]) + (start - before[1]) * len(members)
            start, length, members = wanted / total, before[1] + length, before[2] + members
            start = min(max(start, low), max(high - length, low))
        start = min(max(start, low), max(high - length, low))
        blocks.append((start, length, members))
    result = [0.0] * len(places)
    for start, _, members in _settled(blocks, low, high):
        at = start
        for index in members:
            result[index] = at + rooms[index] / 2
            at += rooms[index]
    return result


def _settled(
    blocks: list[tuple[float, float, list[int]]], low: float, high: float
) -> list[tuple[float, float, list[int]]]:
    """Return the blocks pushed back within the ends, from the far end on."""
    kept: list[tuple[float, float, list[int]]] = []
    limit = high
    for start, length, members in reversed(blocks):
        moved = max(min(start, limit - length), low)
        kept.append((moved, length, members))
        limit = moved
    return kept[::-1]
