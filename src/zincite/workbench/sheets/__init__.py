"""Sheets as laboratories keep them: formulas and lists of materials out of workbooks and text.

A file is read whole before anything comes of it. What was understood is said in sentences; what
is ambiguous is asked for, naming the cell. Nothing here writes to a notebook.
"""

from __future__ import annotations

from zincite.workbench.sheets.answers import Answers, LayoutMapping, answers_of
from zincite.workbench.sheets.leftovers import learnt, refuse_unnamed
from zincite.workbench.sheets.material_plan import MaterialPlan, understand_materials
from zincite.workbench.sheets.plan import FormulaPlan, understand_formulas

__all__ = [
    "Answers",
    "FormulaPlan",
    "LayoutMapping",
    "MaterialPlan",
    "answers_of",
    "learnt",
    "refuse_unnamed",
    "understand_formulas",
    "understand_materials",
]
