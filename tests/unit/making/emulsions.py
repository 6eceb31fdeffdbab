"""Formulas that the tests of emulsion and feel write: phases of (material, percent)."""

from __future__ import annotations

from pathlib import Path

__all__ = ["formula_text", "write_formula"]

Part = tuple[str, float | str]


def formula_text(
    emulsion: str, oil: tuple[Part, ...], water: tuple[Part, ...] = (), more: str = ""
) -> str:
    text = f'[formula]\ncode = "T"\nname = "Test"\nemulsion = "{emulsion}"\n'
    for name, kind, parts in (("A", "oil", oil), ("B", "water", water)):
        text += f'[[phase]]\nname = "{name}"\nkind = "{kind}"\n' if parts else ""
        for material, percent in parts:
            shown = f'"{percent}"' if isinstance(percent, str) else percent
            text += f'  [[phase.ingredient]]\n  material = "{material}"\n  percent = {shown}\n'
    return text + more


def write_formula(
    folder: Path,
    emulsion: str,
    oil: tuple[Part, ...],
    water: tuple[Part, ...] = (),
    more: str = "",
) -> Path:
    path = folder / "formula.toml"
    path.write_text(formula_text(emulsion, oil, water, more), "utf-8")
    return path
