"""Names as they are written in pictures and lines."""

from __future__ import annotations

import re

__all__ = ["short_change", "short_name", "verdict_word"]

_SHORT = (
    (re.compile(r"^zinc-oxide\b"), "ZnO"),
    (re.compile(r"^titanium-dioxide\b"), "TiO2"),
    (re.compile(r"^ci-(\d{5})\b"), r"CI \1"),
)


def short_name(material: str) -> str:
    """Return a card's id as a chemist would say it in a chart.

    Examples
    --------
    >>> short_name("zinc-oxide-120-stearate"), short_name("ci-77492-silane")
    ('ZnO 120 stearate', 'CI 77492 silane')
    """
    for pattern, word in _SHORT:
        material = pattern.sub(word, material)
    return material.replace("-", " ")


def short_change(change: str, material: str) -> str:
    """Return a lever's change with its material's short name."""
    return change.replace(material, short_name(material)) if material else change


def verdict_word(verdict: str) -> str:
    """Return a verdict as printed, "no brief" where there is none."""
    return verdict or "no brief"
