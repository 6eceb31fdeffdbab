"""The batch record: all that one batch needs on paper, from weighing to release."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from zincite.errors import OutOfRangeError
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.batch.record_holds import (
    ASSAY_PERCENT,
    DENSITY_G_ML,
    GRIND_HEGMAN,
    GRIND_UM,
    VISCOSITY_PERCENT,
    Hold,
    References,
    holds_of,
)
from zincite.evaluation.making.batch.record_review import RecordReview
from zincite.evaluation.making.batch.record_steps import (
    SPEED_WINDOW_PERCENT,
    TEMPERATURE_WINDOW_C,
    RecordStep,
    phases_in_order,
    record_steps,
)
from zincite.evaluation.making.batch.weighing_list import (
    TOLERANCE_PERCENT,
    UV_FILTER_TOLERANCE_PERCENT,
    WeighingList,
    weighing_list,
)
from zincite.formula.formula import Formula

__all__ = ["CLEARANCE", "CONTENT_GROUND", "SAMPLES", "BatchRecord", "WeighingRules", "batch_record"]

CONTENT_GROUND = (
    "Content follows what ISO 22716 asks of a batch record, from memory; check it against your "
    "own quality system."
)

CLEARANCE = (
    "No product, label or paper of the batch before in room and vessel",
    "Vessel, lines and tools clean and dry; cleaning label within its date",
    "Balances checked today with their test weight",
    "Materials released, their lots within their expiry date",
    "Extraction runs; respiratory protection for powders at hand",
    "This record is the current version and complete",
)
"""What is ticked before work begins; common practice, content of ISO 22716 from memory."""

SAMPLES = (
    "Bulk for in-process tests, from top and bottom of the vessel",
    "Bulk for assay and microbiology, in sterile jars",
    "Retained sample, at least twice what a full analysis takes",
)
"""Samples to draw; common practice, content of ISO 22716 from memory."""


@dataclass(frozen=True, slots=True)
class WeighingRules:
    """How weights are rounded and judged.

    Attributes
    ----------
    balance_g : str or None
        Step of the one balance for everything; None takes usual balances. [g]
    tolerance_percent, uv_filter_tolerance_percent : float
        [%]
    """

    balance_g: str | None = None
    tolerance_percent: float = TOLERANCE_PERCENT
    uv_filter_tolerance_percent: float = UV_FILTER_TOLERANCE_PERCENT


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """A batch record, empty or with its review.

    Attributes
    ----------
    batch_number : str
        "" is to be written in.
    weighing : WeighingList
    steps : tuple of RecordStep
    holds : tuple of Hold
    basis : Basis
    review : RecordReview or None
        What a filled record shows, None where none was given.
    """

    batch_number: str
    weighing: WeighingList
    steps: tuple[RecordStep, ...]
    holds: tuple[Hold, ...]
    basis: Basis
    review: RecordReview | None = None

    @property
    def batch_kg(self) -> Decimal:
        """Size of the batch. [kg]"""
        return self.weighing.batch_g / 1000

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        weighed = self.weighing
        names = dict.fromkeys(item.phase for item in weighed.items)
        return {
            "batch_number": self.batch_number,
            "batch_kg": float(self.batch_kg),
            "batch_g": float(weighed.batch_g),
            "items": [item.to_dict() for item in weighed.items],
            "sum_g": float(sum(item.mass_g for item in weighed.items)),
            "phases": [{"phase": n, "mass_g": float(weighed.phase_g(n))} for n in names],
            "remainder": weighed.remainder.material,
            "clearance": list(CLEARANCE),
            "steps": [_step_dict(step, weighed.batch_g) for step in self.steps],
            "holds": [
                {
                    "hold": hold.key,
                    "title": hold.title,
                    "after_step": hold.after_step,
                    "checks": [check.to_dict() for check in hold.checks],
                }
                for hold in self.holds
            ],
            "sampling": list(SAMPLES),
            "theoretical_yield_kg": float(self.batch_kg),
            "review": None if self.review is None else self.review.to_dict(),
        }


def _step_dict(step: RecordStep, batch_g: Decimal) -> dict[str, object]:
    return {
        "step": step.number,
        "device": step.device,
        "adds": list(step.adds),
        "contents_kg": float(batch_g) / 1000 * step.contents_percent / 100,
        "settings": [
            {"setting": s.key, "value": s.value, "low": s.low, "high": s.high}
            for s in step.settings
        ],
        "note": step.note,
    }


def batch_record(
    formula: Formula,
    batch_kg: str | float | Decimal,
    rules: WeighingRules | None = None,
    *,
    batch_number: str = "",
    references: References | None = None,
) -> BatchRecord:
    """Return the empty batch record of a formula.

    Parameters
    ----------
    formula : Formula
    batch_kg : str, float or Decimal
        0.1 to 1000. [kg]
    rules : WeighingRules, optional
    batch_number : str
        "" is to be written in.
    references : References, optional
        Values of a reference batch.

    Returns
    -------
    BatchRecord

    Raises
    ------
    OutOfRangeError
        If batch size, balance, tolerance or a reference is out of range, or an ingredient is too
        light for the balance.
    """
    how, measured = rules or WeighingRules(), references or References()
    _check_references(measured)
    steps, contents = record_steps(formula)
    phases, forgotten = phases_in_order(formula, contents)
    weighing = weighing_list(
        formula,
        batch_kg,
        phases=phases,
        balance_g=how.balance_g,
        tolerance_percent=how.tolerance_percent,
        uv_filter_tolerance_percent=how.uv_filter_tolerance_percent,
    )
    holds = holds_of(formula, contents, measured)
    basis = Basis(
        ("R34",) if any(hold.key == "grind" for hold in holds) else (),
        tuple(_assumed(how, steps, holds)),
        (*weighing.warnings, *_warnings(formula, weighing, forgotten)),
    )
    return BatchRecord(batch_number.strip(), weighing, steps, holds, basis)


def _check_references(found: References) -> None:
    for name, value, low, high, unit in (
        ("reference viscosity", found.viscosity_mPas, 0.1, 1e7, "mPa s"),
        ("reference density", found.density_g_ml, 0.3, 3.0, "g/mL"),
    ):
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            raise OutOfRangeError(f"{name} is {value:g}, expected {low:g} to {high:g} {unit}")


def _assumed(
    rules: WeighingRules, steps: tuple[RecordStep, ...], holds: tuple[Hold, ...]
) -> Iterable[str]:
    keys = {check.key: check for hold in holds for check in hold.checks}
    usual = WeighingRules()
    if rules.tolerance_percent == usual.tolerance_percent:
        yield f"Tolerance of a weight ±{TOLERANCE_PERCENT:g} %: common practice."
    if rules.uv_filter_tolerance_percent == usual.uv_filter_tolerance_percent:
        half = UV_FILTER_TOLERANCE_PERCENT
        yield f"Tolerance of a UV filter's weight ±{half:g} %: common practice."
    if rules.balance_g is None:
        yield "Balances: usual resolutions and capacities, common practice."
    if any(setting.low is not None for step in steps for setting in step.settings):
        yield (
            f"Windows of set points ±{TEMPERATURE_WINDOW_C:g} degC and "
            f"±{SPEED_WINDOW_PERCENT:g} %: common practice."
        )
    if "grind_um" in keys:
        yield f"Grind limit Hegman {GRIND_HEGMAN:g}, which is {GRIND_UM} µm: common practice."
    if keys["viscosity_mPas"].low is not None:
        yield f"Viscosity within ±{VISCOSITY_PERCENT:g} %: common practice."
    if keys["density_g_ml"].is_predicted:
        yield f"Density ±{DENSITY_G_ML:g} g/mL around a prediction: a start value, no limit."
    else:
        yield f"Density within ±{DENSITY_G_ML:g} g/mL: common practice."
    if {"zinc_oxide_percent", "titanium_dioxide_percent"} & set(keys):
        yield f"Assay of UV filters within ±{ASSAY_PERCENT:g} % of it: common practice."


def _warnings(
    formula: Formula, weighing: WeighingList, forgotten: tuple[str, ...]
) -> Iterable[str]:
    batch_kg = float(weighing.batch_g) / 1000
    written_for = formula.process_batch_kg
    if written_for is not None and not math.isclose(written_for, batch_kg):
        yield (
            f"Set points were written for {written_for:g} kg and this batch has {batch_kg:g} kg: "
            "scale times and speeds first."
        )
    if not formula.process:
        yield (
            "The formula file has no process steps: the record has one step for each phase, with "
            "devices and set points to be written in."
        )
    for name in forgotten:
        yield f"No process step adds phase {name}: decide where it goes in."
