"""A small invented laboratory in a notebook: three versions, five trials, and what came of them."""

from __future__ import annotations

from zincite.formula.brief import Brief
from zincite.formula.formula import Formula
from zincite.formula.reading import parse_formula
from zincite.notebook.briefs import add_brief
from zincite.notebook.decisions import add_decision
from zincite.notebook.formulas import add_formula
from zincite.notebook.lots import add_lot
from zincite.notebook.materials import add_material
from zincite.notebook.predictions import add_prediction
from zincite.notebook.projects import add_project
from zincite.notebook.quantities import MeasuredValue
from zincite.notebook.results import add_result
from zincite.notebook.store import Notebook
from zincite.notebook.trial_parts import TrialWeight
from zincite.notebook.trials import add_trial
from zincite.notebook.withdrawing import withdraw
from zincite.notebook.writer import Writer

__all__ = ["GRADE", "fill_laboratory", "made"]

GRADE = "trial-zinc-oxide"
DISPERSION = "trial-dispersion"
_TOML = """
[formula]
code = "{code}"
name = "Crème fluide"
emulsion = "water-in-oil"
[[phase]]
name = "A"
kind = "pigment"
  [[phase.ingredient]]
  material = "{pigment}"
  percent = {pigment_percent}
  [[phase.ingredient]]
  material = "caprylic-capric-triglyceride"
  percent = {oil}
[[phase]]
name = "B"
kind = "water"
temperature_C = {heat}
  [[phase.ingredient]]
  material = "water"
  percent = "rest"
[process]
  [[process.step]]
  device = "{device}"
  phases = ["A"]
  minutes = {minutes}
  [[process.step]]
  device = "rotor-stator"
  phases = ["B"]
  minutes = 5
[[material]]
id = "trial-zinc-oxide"
inci = "Zinc Oxide (and) Stearic Acid"
phase = "pigment"
  [material.grade]
  core = "zinc-oxide"
  primary_median_nm = {size}
    [[material.grade.coating]]
    inci = "{coating}"
    mass_percent = 3
[[material]]
id = "trial-dispersion"
inci = "Caprylic/Capric Triglyceride (and) Zinc Oxide (and) Stearic Acid"
phase = "pigment"
composition = [
  {{ material = "trial-zinc-oxide", percent = 60 }},
  {{ material = "caprylic-capric-triglyceride", percent = 40 }},
]
"""


def made(code: str = "K-07", **given: object) -> Formula:
    """Return a formula of the laboratory, with what is given put otherwise."""
    plain = {
        "pigment": GRADE, "pigment_percent": 18, "oil": 30, "heat": 45, "device": "dissolver",
        "minutes": 20, "size": 100, "coating": "Stearic Acid",
    }  # fmt: skip
    return parse_formula(_TOML.format(code=code, **{**plain, **given}))


def predicted(spf: tuple[float, float, float]) -> dict[str, object]:
    """Return a prediction as the notebook keeps it."""
    median, low, high = spf
    return {
        "model": "shipped",
        "currency": "EUR",
        "spf": {"median": median, "low": low, "high": high},
        "cost_per_kg": {"value": 8.0},
        "natural_origin_percent": {"value": 97.0},
    }


def _spf(writer: Writer, trial: str, value: float, on: str, **more: object) -> None:
    figure = MeasuredValue("spf", value, value - 3, value + 3)
    add_result(writer, trial, "spf", values=[figure], measured_on=on, method="ISO 24444:2019",
               **more)  # type: ignore[arg-type]  # fmt: skip


def _formulas(writer: Writer) -> None:
    add_formula(writer, made(), "", "P")
    second = made(pigment_percent=20, size=70, device="bead-mill", minutes=30)
    add_formula(writer, second, "", "P", "finer grade, milled")
    add_formula(writer, made(pigment=DISPERSION, pigment_percent=30, oil=20), "", "P", "bought")
    add_formula(writer, made("K-08", coating="Silica", size=250), "", "P")
    add_prediction(writer, "K-07@1", predicted((25.0, 20.0, 31.0)), "2026-02-01")
    add_prediction(writer, "K-07@2", predicted((32.0, 26.0, 40.0)), "2026-03-01")
    add_prediction(writer, "K-07@2", predicted((35.0, 30.0, 41.0)), "2026-06-01")
    add_prediction(writer, "K-07@3", predicted((31.0, 27.0, 36.0)), "2026-05-02")


def _trials(writer: Writer) -> None:
    add_lot(writer, "ZN-1", GRADE, supplier="Supplier C", expires_on="2027-01-31")
    add_lot(writer, "ZN-2", GRADE, supplier="Supplier C")
    for code, formula, on, lots in (
        ("T-001", "K-07@1", "2026-02-10", ("ZN-1",)),
        ("T-002", "K-07@1", "2026-02-20", ("ZN-1", "ZN-2")),
        ("T-003", "K-07@2", "2026-03-10", ("ZN-2",)),
        ("T-004", "K-07@3", "2026-05-01", ()),
        ("T-005", "K-08@1", "2026-05-20", ("ZN-2",)),
    ):
        weights = [TrialWeight("A", GRADE, lot, 90.0, 90.0 + n) for n, lot in enumerate(lots)]
        weights.append(TrialWeight("B", "water", "", 520.0, 520.5))
        add_trial(writer, formula, made_on=on, made_by="A. Example", code=code, batch_kg=1.0,
                  weights=weights, process=f"as {code}", note="smooth; 'grüne' Körner")  # fmt: skip


def fill_laboratory(notebook: Notebook) -> None:
    """Fill an empty notebook."""
    card = made().materials[GRADE]
    with notebook.write("A. Example") as writer:
        add_project(writer, "P", "Fluid for outdoor work")
        add_brief(writer, "P", Brief(name="Fluid", label_spf=30, cost_max_per_kg=9.0,
                                     viscosity_min_mPas=3000, pigment_max_percent=19))  # fmt: skip
        add_material(writer, card)
        add_material(writer, made().materials[GRADE].__class__(
            id=DISPERSION, inci="Zinc Oxide (and) Caprylic/Capric Triglyceride", phase="pigment",
            composition=made(pigment=DISPERSION).materials[DISPERSION].composition,
        ))  # fmt: skip
        _formulas(writer)
        _trials(writer)
        _spf(writer, "T-001", 22.0, "2026-02-25")
        _spf(writer, "T-002", 24.0, "2026-03-05")
        _spf(writer, "T-003", 45.0, "2026-03-25")
        _spf(writer, "T-004", 33.0, "2026-05-15")
        _spf(writer, "T-004", 90.0, "2026-05-16", valid=False)
        _spf(writer, "T-005", 12.0, "2026-06-01")
        _spf(writer, "T-005", 99.0, "2026-06-02")
        withdraw(writer, "result", "T-005/2", "wrong sample")
        thick = [MeasuredValue("viscosity_mPas", 4000.0, unit="mPa s")]
        add_result(writer, "T-003", "viscosity", values=thick, measured_on="2026-03-11")
        add_decision(writer, "formula", "K-07@1", "fix", "too low")
        add_decision(writer, "formula", "K-08@1", "drop", "white on dark skin")
        add_decision(writer, "trial", "T-003", "go on", "high SPF")
        withdraw(writer, "lot", "ZN-1", "recalled")
