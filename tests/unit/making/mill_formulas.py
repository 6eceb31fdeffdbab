"""Formulas that the tests of dispersion write."""

from __future__ import annotations

from pathlib import Path

import zincite.data
from zincite.formula.formula import Formula
from zincite.formula.reading import parse_formula

__all__ = ["FLUID", "made"]

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"


def made(*phases: tuple[str, tuple[tuple[str, object], ...]], emulsion: str = "water-in-oil",
         more: str = "") -> Formula:  # fmt: skip
    """Return a formula from phases of (kind, ((material, percent), ...))."""
    text = f'[formula]\ncode = "T"\nname = "Test"\nemulsion = "{emulsion}"\n'
    for number, (kind, parts) in enumerate(phases):
        text += f'[[phase]]\nname = "{"ABCD"[number]}"\nkind = "{kind}"\n'
        for material, percent in parts:
            shown = f'"{percent}"' if isinstance(percent, str) else percent
            text += f'[[phase.ingredient]]\nmaterial = "{material}"\npercent = {shown}\n'
    return parse_formula(text + more)
