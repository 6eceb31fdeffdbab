"""Small formula files that the command-line tests write."""

from __future__ import annotations

from pathlib import Path

__all__ = ["PLAIN", "formula_file", "with_card"]

PLAIN = """
[formula]
code = "T-1"
name = "Test lotion"
emulsion = "water-in-oil"

[[phase]]
name = "A"
kind = "oil"
  [[phase.ingredient]]
  material = "zinc-oxide-120-stearate"
  percent = {pigment}
  [[phase.ingredient]]
  material = "caprylic-capric-triglyceride"
  percent = 20
  [[phase.ingredient]]
  material = "polyglyceryl-3-diisostearate"
  percent = 3

[[phase]]
name = "B"
kind = "water"
  [[phase.ingredient]]
  material = "water"
  percent = {water}
  [[phase.ingredient]]
  material = "magnesium-sulfate"
  percent = 0.7
"""
"""A water-in-oil lotion without a brief."""

_CARD = """
[[material]]
id = "zinc-oxide-120-stearate"
inci = "Zinc Oxide"
phase = "pigment"
{properties}
  [material.grade]
  core = "zinc-oxide"
  primary_median_nm = {median}
  {grade}
"""


def formula_file(
    folder: Path,
    name: str = "lotion.toml",
    *,
    pigment: object = 20,
    water: object = '"rest"',
    more: str = "",
) -> Path:
    """Write a formula file and return its path."""
    path = folder / name
    path.write_text(PLAIN.format(pigment=pigment, water=water) + more, "utf-8")
    return path


def with_card(folder: Path, *, properties: str = "", median: object = 120, grade: str = "") -> Path:
    """Write a formula file whose pigment has its own card, and return its path."""
    card = _CARD.format(properties=properties, median=median, grade=grade)
    return formula_file(folder, more=card)
