"""A small vocabulary for drawing: elements, text, and a picture with title and description."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from html import escape

__all__ = [
    "DASHES",
    "FAINT",
    "FONT",
    "GRID",
    "INK",
    "MUTED",
    "OCHRE",
    "PAPER",
    "TINT",
    "area",
    "as_file",
    "circle",
    "element",
    "hatch",
    "line",
    "picture",
    "polyline",
    "rect",
    "text",
    "text_width",
    "wrap",
]

INK = "#231f1b"
MUTED = "#665d53"
FAINT = "#a79c8d"
GRID = "#e4dac9"
PAPER = "#fbf7ef"
TINT = "#f1e8d8"
OCHRE = "#9a4a10"
"""The accent: a burnt ochre, dark enough for text on paper (contrast above 6)."""

DASHES = ("", "7 3", "2 3", "9 3 2 3")
"""Strokes that keep lines apart without colour."""

FONT = "'Avenir Next','Segoe UI','Helvetica Neue',Arial,'Liberation Sans',sans-serif"

_SIZE = 12.0
_NARROW = frozenset("fijlrt.,:;'()[]|!I ")
_WIDE = frozenset("mwMWOQCGDHNU%@")


def _shown(value: object) -> str:
    if isinstance(value, float):
        if not math.isfinite(value):
            return "0"  # a place that is no number must not break the picture
        return f"{value:.2f}".rstrip("0").rstrip(".")
    return str(value)


def element(name: str, *children: str, **attributes: object) -> str:
    """Return an element; children are markup already, attribute values are escaped here.

    Parameters
    ----------
    name : str
    *children : str
        Markup.
    **attributes
        An underscore stands for a hyphen, a trailing one is dropped; None leaves it out.
    """
    parts = [
        f' {key.rstrip("_").replace("_", "-")}="{escape(_shown(value), quote=True)}"'
        for key, value in attributes.items()
        if value is not None
    ]
    inner = "".join(children)
    head = f"<{name}{''.join(parts)}"
    return f"{head}>{inner}</{name}>" if inner else f"{head}/>"


def text(
    x: float,
    y: float,
    content: str,
    *,
    size: float = _SIZE,
    anchor: str = "start",
    fill: str = INK,
    weight: str | None = None,
    halo: bool = False,
    style: str | None = None,
) -> str:
    """Return text; its content is escaped here. A halo keeps it readable over lines."""
    return element(
        "text",
        escape(content, quote=False),
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        fill=fill,
        font_weight=weight,
        font_style=style,
        stroke=PAPER if halo else None,
        stroke_width=3 if halo else None,
        stroke_linejoin="round" if halo else None,
        paint_order="stroke" if halo else None,
    )


def text_width(content: str, size: float = _SIZE) -> float:
    """Return about the width of text in the report's sans-serif font, a little on the wide side."""
    units = sum(0.33 if c in _NARROW else 0.82 if c in _WIDE else 0.57 for c in content)
    return units * size


def wrap(content: str, width: float, size: float = _SIZE) -> list[str]:
    """Return text broken into lines at spaces, hyphens and slashes so that each fits a width."""
    lines: list[str] = []
    # a no-break space is part of its word
    for word in re.findall(r"[^ \n\t\-/]+[\-/]?|[\-/]", content):
        joint = "" if lines and lines[-1].endswith(("-", "/")) else " "
        if lines and text_width(lines[-1] + joint + word, size) <= width:
            lines[-1] += joint + word
        else:
            lines.append(word)
    return lines or [""]


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    *,
    stroke: str = INK,
    width: float = 1.0,
    dash: str = "",
) -> str:
    """Return a straight line."""
    return element(
        "line",
        x1=x1,
        y1=y1,
        x2=x2,
        y2=y2,
        stroke=stroke,
        stroke_width=width,
        stroke_dasharray=dash or None,
    )


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{_shown(float(x))},{_shown(float(y))}" for x, y in points)


def polyline(
    points: Sequence[tuple[float, float]], *, stroke: str = INK, width: float = 1.8, dash: str = ""
) -> str:
    """Return a line through points."""
    return element(
        "polyline",
        points=_points(points),
        fill="none",
        stroke=stroke,
        stroke_width=width,
        stroke_dasharray=dash or None,
        stroke_linejoin="round",
    )


def area(points: Sequence[tuple[float, float]], *, fill: str, opacity: float = 1.0) -> str:
    """Return a filled shape without outline."""
    return element(
        "polygon",
        points=_points(points),
        fill=fill,
        fill_opacity=None if opacity == 1.0 else opacity,
    )


def rect(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: str = "none",
    stroke: str | None = None,
    opacity: float | None = None,
    dash: str = "",
    radius: float | None = None,
) -> str:
    """Return a rectangle; a negative size counts as 0."""
    return element(
        "rect",
        x=x,
        y=y,
        width=max(width, 0.0),
        height=max(height, 0.0),
        rx=radius,
        fill=fill,
        fill_opacity=opacity,
        stroke=stroke,
        stroke_dasharray=dash or None,
    )


def circle(x: float, y: float, radius: float, *, fill: str = INK, stroke: str | None = None) -> str:
    """Return a disc."""
    return element("circle", cx=x, cy=y, r=radius, fill=fill, stroke=stroke)


def hatch(x: float, y: float, width: float, height: float, *, stroke: str = FAINT) -> str:
    """Return slanted strokes within a rectangle: the mark of what is not allowed."""
    strokes: list[str] = []
    at = -height
    while at < width:
        left, right = max(at, 0.0), min(at + height, width)
        if right - left > 0.5:
            strokes.append(
                line(
                    x + left,
                    y + height - (left - at),
                    x + right,
                    y + height - (right - at),
                    stroke=stroke,
                    width=0.6,
                )
            )
        at += 5.0
    return "".join(strokes)


def picture(
    parts: Iterable[str],
    *,
    width: float,
    height: float,
    title: str,
    description: str,
    key: str,
    role: str = "img",
) -> str:
    """Return a whole picture with a title and a description for those who cannot see it.

    Parameters
    ----------
    parts : iterable of str
        Markup.
    width, height : float
        Of the drawing ground; on the page the picture takes the width it is given.
    title, description : str
    key : str
        Makes the ids unique within a page.
    """
    name = re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-") or "figure"
    return element(
        "svg",
        element("title", escape(title, quote=False), id=f"{name}-title"),
        element("desc", escape(description, quote=False), id=f"{name}-desc"),
        *parts,
        viewBox=f"0 0 {_shown(float(width))} {_shown(float(height))}",
        role=role,
        aria_labelledby=f"{name}-title {name}-desc",
        font_family=FONT,
        font_size=_SIZE,
    )


def as_file(svg: str) -> str:
    """Return a picture as the content of an SVG file of its own."""
    return svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
