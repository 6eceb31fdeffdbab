"""Formulas with a process that the batch record's tests weigh and fill in."""

from __future__ import annotations

from zincite.formula.formula import Formula
from zincite.formula.reading import parse_formula

__all__ = ["LOTION", "PROCESS", "lotion"]

LOTION = """
[formula]
code = "B-1"
name = "Test lotion"
emulsion = "{emulsion}"
{head}

[[phase]]
name = "W"
kind = "water"
temperature_C = 45
  [[phase.ingredient]]
  material = "water"
  percent = "rest"
  [[phase.ingredient]]
  material = "glycerin"
  percent = 4

[[phase]]
name = "P"
kind = "pigment"
  [[phase.ingredient]]
  material = "zinc-oxide-120-stearate"
  percent = 20
  [[phase.ingredient]]
  material = "caprylic-capric-triglyceride"
  percent = 20

[[phase]]
name = "O"
kind = "oil"
temperature_C = 45
  [[phase.ingredient]]
  material = "squalane"
  percent = 5
  [[phase.ingredient]]
  material = "polyglyceryl-3-diisostearate"
  percent = 3

[[phase]]
name = "C"
kind = "cool-down"
  [[phase.ingredient]]
  material = "tocopherol"
  percent = 0.2
"""

PROCESS = """
[process]
batch_kg = 2

[[process.step]]
device = "dissolver"
phases = ["P"]
minutes = 20
tip_speed_m_s = 20

[[process.step]]
device = "bead-mill"
passes = 3

[[process.step]]
device = "anchor"
phases = ["O"]
temperature_C = 45

[[process.step]]
device = "rotor-stator"
phases = ["W"]
minutes = 5
speed_rpm = 6000
diameter_m = 0.05
note = 'Slowly, over 10 min; see "C:\\\\notes"'

[[process.step]]
device = "anchor"
phases = ["C"]
temperature_C = 30
"""


def lotion(process: str = PROCESS, *, emulsion: str = "water-in-oil", head: str = "") -> Formula:
    """Return the lotion with a process table."""
    return parse_formula(LOTION.format(emulsion=emulsion, head=head) + process)
