"""zincite: a formulation workbench for mineral sunscreens.

>>> from zincite import load_formula, predict  # doctest: +SKIP
>>> predict(load_formula("formula.toml")).spf  # doctest: +SKIP
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from zincite.formula.reading import load_formula
    from zincite.notebook.store import open_notebook
    from zincite.workbench.formulas import check, compare, predict, tint

__all__ = ["__version__", "check", "compare", "load_formula", "open_notebook", "predict", "tint"]

__version__ = "0.1.0"

_HOMES = {
    "load_formula": "zincite.formula.reading",
    "open_notebook": "zincite.notebook.store",
    "predict": "zincite.workbench.formulas",
    "check": "zincite.workbench.formulas",
    "compare": "zincite.workbench.formulas",
    "tint": "zincite.workbench.formulas",
}


def __getattr__(name: str) -> Any:
    """Import public functions when they are first used: start-up stays short."""
    if name not in _HOMES:
        raise AttributeError(f"module 'zincite' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
