"""A chart on two axes: units on both, lines labelled at their end, nothing to decode."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from zincite.interfaces.documents import svg
from zincite.interfaces.documents.scales import LinearScale, LogScale, Scale, spread, tick_text

__all__ = ["Chart", "Label"]

Array = NDArray[np.float64]

_LEFT, _TOP, _BOTTOM = 50.0, 26.0, 44.0
_LINE_HEIGHT = 13.0
_SMALL = 11.0


@dataclass(frozen=True, slots=True)
class Label:
    """A name beside the end of a line, with the place it belongs to."""

    y: float
    content: str
    fill: str
    x: float


@dataclass(slots=True)
class Chart:
    """A chart that is drawn step by step.

    Attributes
    ----------
    x_range, y_range : tuple of float
        Values at the ends of the axes.
    x_log, y_log : bool
        Whether an axis is logarithmic.
    label_room : float
        Width kept at the right for the names of the lines.
    width, height : float
        Of the drawing ground.
    top : float
        Room above the plot.
    """

    x_range: tuple[float, float]
    y_range: tuple[float, float]
    x_log: bool = False
    y_log: bool = False
    label_room: float = 96.0
    width: float = 430.0
    height: float = 300.0
    top: float = _TOP
    parts: list[str] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    @property
    def left(self) -> float:
        """Left edge of the plot."""
        return _LEFT

    @property
    def right(self) -> float:
        """Right edge of the plot."""
        return self.width - self.label_room

    @property
    def bottom(self) -> float:
        """Lower edge of the plot."""
        return self.height - _BOTTOM

    @property
    def x(self) -> Scale:
        """Scale of the horizontal axis."""
        kind = LogScale if self.x_log else LinearScale
        return kind(*self.x_range, self.left, self.right)

    @property
    def y(self) -> Scale:
        """Scale of the vertical axis."""
        kind = LogScale if self.y_log else LinearScale
        return kind(*self.y_range, self.bottom, self.top)

    def x_axis(self, title: str, ticks: Sequence[float] | None = None) -> None:
        """Draw the horizontal axis with its title and unit."""
        scale = self.x
        self.parts.append(
            svg.line(self.left, self.bottom, self.right, self.bottom, stroke=svg.MUTED)
        )
        taken = -math.inf
        for value in scale.ticks(6) if ticks is None else ticks:
            place, shown = scale(value), tick_text(value)
            self.parts.append(
                svg.line(place, self.bottom, place, self.bottom + 4, stroke=svg.MUTED)
            )
            half = svg.text_width(shown, _SMALL) / 2
            if place - half < taken + 3:
                continue
            taken = place + half
            self.parts.append(
                svg.text(
                    place, self.bottom + 16, shown, anchor="middle", size=_SMALL, fill=svg.MUTED
                )
            )
        self.parts.append(
            svg.text(
                (self.left + self.right) / 2, self.bottom + 35, title, anchor="middle", fill=svg.INK
            )
        )

    def y_axis(
        self, title: str, ticks: Sequence[float] | None = None, shown: Sequence[str] | None = None
    ) -> None:
        """Draw the vertical axis: faint lines across, the title with its unit above."""
        scale = self.y
        values = scale.ticks(5) if ticks is None else list(ticks)
        words = [tick_text(v) for v in values] if shown is None else list(shown)
        for value, word in zip(values, words, strict=True):
            place = scale(value)
            self.parts.append(svg.line(self.left, place, self.right, place, stroke=svg.GRID))
            self.parts.append(
                svg.text(self.left - 6, place + 4, word, anchor="end", size=_SMALL, fill=svg.MUTED)
            )
        self.parts.append(svg.text(4, 13, title))

    def region(self, low: float, high: float, name: str, *, fill: str = svg.TINT) -> None:
        """Tint a range of the horizontal axis and name it at its top."""
        left, right = self.x(low), self.x(high)
        self.parts.append(svg.rect(left, self.top, right - left, self.bottom - self.top, fill=fill))
        if name:
            self.parts.append(
                svg.text(
                    (left + right) / 2,
                    self.top + 12,
                    name,
                    anchor="middle",
                    size=_SMALL,
                    fill=svg.MUTED,
                )
            )

    def band(
        self, x: Array, low: Array, high: Array, *, fill: str = svg.INK, opacity: float = 0.14
    ) -> None:
        """Fill between two lines: an interval."""
        upper = self._places(x, high)
        lower = self._places(x, low)
        if upper and lower:
            self.parts.append(svg.area([*upper, *lower[::-1]], fill=fill, opacity=opacity))

    def line(
        self,
        x: Array,
        y: Array,
        name: str = "",
        *,
        stroke: str = svg.INK,
        dash: str = "",
        width: float = 1.8,
    ) -> None:
        """Draw a line; with a name it is labelled where it ends."""
        points = self._places(x, y)
        if not points:
            return
        self.parts.append(svg.polyline(points, stroke=stroke, dash=dash, width=width))
        if name:
            self.labels.append(Label(points[-1][1], name, stroke, points[-1][0]))

    def mark_x(
        self,
        value: float,
        name: str,
        *,
        stroke: str = svg.MUTED,
        dash: str = "4 3",
        y: float | None = None,
        side: str = "start",
    ) -> None:
        """Draw a line upright at a value and write beside it what it is."""
        place = self.x(value)
        self.parts.append(svg.line(place, self.top, place, self.bottom, stroke=stroke, dash=dash))
        shift = 5.0 if side == "start" else -5.0
        for number, row in enumerate(name.split("\n")):
            self.parts.append(
                svg.text(
                    place + shift,
                    (self.top + 12 if y is None else y) + _LINE_HEIGHT * number,
                    row,
                    anchor=side,
                    size=_SMALL,
                    fill=stroke,
                    halo=True,
                )
            )

    def mark_y(
        self, value: float, name: str, *, stroke: str = svg.MUTED, dash: str = "4 3"
    ) -> None:
        """Draw a level line across and name it at its end."""
        place = self.y(value)
        self.parts.append(svg.line(self.left, place, self.right, place, stroke=stroke, dash=dash))
        if name:
            self.labels.append(Label(place, name, stroke, self.right))

    def add(self, *markup: str) -> None:
        """Add what is drawn elsewhere."""
        self.parts.extend(markup)

    def picture(self, *, title: str, description: str, key: str) -> str:
        """Return the chart as SVG."""
        return svg.picture(
            [*self.parts, *self._end_labels()],
            width=self.width,
            height=self.height,
            title=title,
            description=description,
            key=key,
        )

    def _places(self, x: Array, y: Array) -> list[tuple[float, float]]:
        across, up = self.x, self.y
        return [
            (across(float(a)), up(float(b)))
            for a, b in zip(x, y, strict=True)
            if math.isfinite(a) and math.isfinite(b)
        ]

    def _end_labels(self) -> Iterable[str]:
        room = self.label_room - 14
        rows = [
            [row for part in label.content.split("\n") for row in svg.wrap(part, room, _SMALL)]
            for label in self.labels
        ]
        heights = [_LINE_HEIGHT * len(r) + 2 for r in rows]
        places = spread([label.y for label in self.labels], heights, self.top - 8, self.bottom + 4)
        for label, lines, place in zip(self.labels, rows, places, strict=True):
            if abs(place - label.y) > 4 or label.x < self.right - 4:
                yield svg.line(
                    label.x + 1, label.y, self.right + 9, place, stroke=label.fill, width=0.6
                )
            first = place - _LINE_HEIGHT * (len(lines) - 1) / 2 + 4
            for number, content in enumerate(lines):
                yield svg.text(
                    self.right + 11,
                    first + _LINE_HEIGHT * number,
                    content,
                    size=_SMALL,
                    fill=label.fill,
                )
