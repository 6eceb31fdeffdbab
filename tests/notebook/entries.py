"""Things to enter: an invented formula with a blend, and shortcuts that give their names back."""

from __future__ import annotations

from zincite.formula.formula import Formula
from zincite.formula.reading import parse_formula
from zincite.notebook.formulas import add_formula, get_formula
from zincite.notebook.projects import add_project
from zincite.notebook.store import Notebook
from zincite.notebook.trials import add_trial, get_trial

WHO = "A. Example"

CREAM = """\
# typed by hand
[formula]
code = "K-07"
name = "Invented cream"
emulsion = "water-in-oil"
note = "invented"
[[phase]]
name = "A"
kind = "oil"
temperature_C = 50
  [[phase.ingredient]]
  material = "own-dispersion"
  percent = {zinc}
  [[phase.ingredient]]
  material = "titanium-dioxide-35-silica-dimethicone"
  percent = 2
  [[phase.ingredient]]
  material = "coco-caprylate"
  percent = 20
  [[phase.ingredient]]
  material = "polyglyceryl-3-diisostearate"
  percent = 3
[[phase]]
name = "B"
kind = "water"
  [[phase.ingredient]]
  material = "water"
  percent = "rest"
  [[phase.ingredient]]
  material = "magnesium-sulfate"
  percent = 0.7
[[process.step]]
device = "rotor-stator"
phases = ["A", "B"]
tip_speed_m_s = 15
minutes = 5
[prices]
currency = "EUR"
"own-dispersion" = 17.5
[brief]
name = "Invented brief"
label_spf = 30
markets = ["eu"]
[[material]]
id = "own-dispersion"
inci = "Zinc Oxide (and) Coco-Caprylate (and) Triethoxycaprylylsilane"
phase = "oil"
composition = [
  {{ material = "own-zinc-oxide", percent = 60 }},
  {{ material = "coco-caprylate", percent = 40 }},
]
[[material]]
id = "own-zinc-oxide"
inci = "Zinc Oxide (and) Triethoxycaprylylsilane"
phase = "pigment"
  [material.grade]
  core = "zinc-oxide"
  primary_median_nm = 90
    [[material.grade.coating]]
    inci = "Triethoxycaprylylsilane"
    mass_percent = 2.5
"""


def cream_text(zinc: float = 30) -> str:
    return CREAM.format(zinc=zinc)


def cream(zinc: float = 30) -> Formula:
    return parse_formula(cream_text(zinc))


def enter_project(notebook: Notebook, code: str = "FLUID") -> str:
    with notebook.write(WHO) as writer:
        return add_project(writer, code)


def enter_cream(notebook: Notebook, zinc: float = 30, reason: str = "") -> str:
    with notebook.write(WHO) as writer:
        id = add_formula(writer, cream(zinc), cream_text(zinc), "FLUID", reason)
        return get_formula(writer.connection, id).called


def enter_trial(notebook: Notebook, formula: str = "K-07", code: str = "") -> str:
    with notebook.write(WHO) as writer:
        id = add_trial(writer, formula, made_on="2026-03-02", made_by="B. Example", code=code)
        return get_trial(writer.connection, id).code
