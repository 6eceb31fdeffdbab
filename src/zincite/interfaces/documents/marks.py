"""Marks of the verdicts: told apart by shape and word, so colour is never needed."""

from __future__ import annotations

from html import escape

from zincite.interfaces.documents import svg

__all__ = ["verdict_icon", "verdict_mark"]


def verdict_mark(verdict: str, x: float, y: float, size: float = 14.0) -> str:
    """Return a verdict's mark centred at a place.

    Parameters
    ----------
    verdict : str
        "passes" (ring with tick), "short" (triangle), "fails" (filled square with cross),
        "needs a test" (diamond), anything else (dashed ring with question mark).
    x, y : float
        Centre.
    size : float
        Height.

    Returns
    -------
    str
        Markup.
    """
    r = size / 2
    if verdict == "passes":
        return svg.element(
            "circle", cx=x, cy=y, r=r - 0.8, fill="none", stroke=svg.INK, stroke_width=1.3
        ) + svg.polyline(
            [(x - 0.45 * r, y + 0.05 * r), (x - 0.1 * r, y + 0.4 * r), (x + 0.5 * r, y - 0.4 * r)],
            width=1.6,
        )
    if verdict == "fails":
        arm = 0.45 * r
        return (
            svg.rect(x - r, y - r, size, size, fill=svg.OCHRE, radius=2)
            + svg.line(x - arm, y - arm, x + arm, y + arm, stroke="#ffffff", width=2)
            + svg.line(x - arm, y + arm, x + arm, y - arm, stroke="#ffffff", width=2)
        )
    if verdict == "short":
        corners = [(x, y - r), (x + r, y + 0.8 * r), (x - r, y + 0.8 * r)]
        return svg.element(
            "polygon",
            points=" ".join(f"{a:.2f},{b:.2f}" for a, b in corners),
            fill=svg.PAPER,
            stroke=svg.OCHRE,
            stroke_width=1.6,
            stroke_linejoin="round",
        ) + svg.line(x, y - 0.35 * r, x, y + 0.45 * r, stroke=svg.OCHRE, width=1.8)
    if verdict == "needs a test":
        corners = [(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
        return svg.element(
            "polygon",
            points=" ".join(f"{a:.2f},{b:.2f}" for a, b in corners),
            fill=svg.TINT,
            stroke=svg.INK,
            stroke_width=1.3,
            stroke_linejoin="round",
        )
    return svg.element(
        "circle",
        cx=x,
        cy=y,
        r=r - 0.8,
        fill="none",
        stroke=svg.MUTED,
        stroke_width=1.2,
        stroke_dasharray="2.5 2",
    ) + svg.text(x, y + 0.32 * size, "?", anchor="middle", size=0.8 * size, fill=svg.MUTED)


def verdict_icon(verdict: str) -> str:
    """Return the mark as a picture of its own, to stand before the word."""
    return svg.element(
        "svg",
        svg.element("title", escape(verdict or "no verdict", quote=False)),
        verdict_mark(verdict, 8, 8),
        viewBox="0 0 16 16",
        width=16,
        height=16,
        class_="mark",
        aria_hidden="true",
        focusable="false",
    )
