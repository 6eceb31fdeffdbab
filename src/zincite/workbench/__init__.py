"""One function per act of the chemist: the layer that all interfaces call."""

from __future__ import annotations

from zincite.workbench.formulas import check, compare, open_formula, predict, tint

__all__ = ["check", "compare", "open_formula", "predict", "tint"]
