"""What a batch record, filled or only planned, says of a trial."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from zincite.evaluation.making.batch.batch_record import BatchRecord
from zincite.evaluation.making.batch.filled_record import (
    Deviation,
    FilledRecord,
    FilledStep,
    FilledWeight,
)
from zincite.evaluation.making.batch.record_review import RecordReview
from zincite.evaluation.making.batch.record_steps import RecordStep, record_steps
from zincite.formula.formula import Formula
from zincite.notebook.quantities import MeasuredValue, unit_of
from zincite.notebook.trial_parts import TrialDeviation, TrialWeight

__all__ = ["BatchMade", "LotNamed", "filled_batch", "planned_batch"]


@dataclass(frozen=True, slots=True)
class LotNamed:
    """A lot that a record names: code, material, date of expiry or ""."""

    code: str
    material_key: str
    expires_on: str


@dataclass(frozen=True, slots=True)
class BatchMade:
    """What goes into a trial.

    Attributes
    ----------
    weights : tuple of TrialWeight
    process : str
        The steps, one a line.
    code, made_on, made_by : str
        Of the record, "" where it does not say.
    deviations : tuple of TrialDeviation
    lots : tuple of LotNamed
        That the record names.
    readings : tuple of MeasuredValue
        Numbers read at the holds.
    notes : tuple of str
        What the review found outside.
    source : str
        Name of the record.
    """

    weights: tuple[TrialWeight, ...]
    process: str
    code: str = ""
    made_on: str = ""
    made_by: str = ""
    deviations: tuple[TrialDeviation, ...] = ()
    lots: tuple[LotNamed, ...] = ()
    readings: tuple[MeasuredValue, ...] = ()
    notes: tuple[str, ...] = ()
    source: str = ""


def planned_batch(formula: Formula, kg: float, lots: Mapping[str, str]) -> BatchMade:
    """Return a batch of which nothing was recorded but its lots: targets, steps as planned.

    Parameters
    ----------
    formula : Formula
    kg : float
        [kg]
    lots : mapping of str to str
        Code of the lot by material.
    """
    weights = tuple(
        TrialWeight(
            phase.name, item.material, lots.get(item.material, ""), item.percent * kg * 10.0
        )
        for phase in formula.phases
        for item in phase.ingredients
    )
    steps = record_steps(formula)[0] if formula.process else ()
    return BatchMade(weights, "\n".join(_steps(steps, ())))


def filled_batch(record: BatchRecord, lots: Mapping[str, str], source: str) -> BatchMade:
    """Return what a filled record says.

    Parameters
    ----------
    record : BatchRecord
        Reviewed.
    lots : mapping of str to str
        Code of the lot by material where the record has none.
    source : str
        Name of the filled file.

    Raises
    ------
    ValueError
        If the record has no review.
    """
    if record.review is None:
        raise ValueError("a filled record has its review")
    filled = record.review.filled
    weights = {weight.item: weight for weight in filled.weights}
    listed = [(item, weights.get(item.number, FilledWeight(item.number)))
              for item in record.weighing.items]  # fmt: skip
    return BatchMade(
        weights=tuple(
            TrialWeight(
                item.phase,
                item.material,
                weight.lot or lots.get(item.material, ""),
                float(item.mass_g),
                weight.actual_g,
            )
            for item, weight in listed
        ),
        process="\n".join(_steps(record.steps, filled.steps)),
        code=filled.batch_number,
        made_on="" if filled.made_on is None else filled.made_on.isoformat(),
        made_by=filled.made_by,
        deviations=tuple(TrialDeviation(_what(d), d.decision) for d in filled.deviations),
        lots=tuple(
            LotNamed(
                weight.lot,
                item.material,
                "" if weight.expires_on is None else weight.expires_on.isoformat(),
            )
            for item, weight in listed
            if weight.lot
        ),
        readings=tuple(_readings(filled)),
        notes=tuple(_notes(record.review)),
        source=source,
    )


def _what(deviation: Deviation) -> str:
    about = {"item": deviation.item, "step": deviation.step, "hold": deviation.hold or None}
    where = [f"{key} {value}" for key, value in about.items() if value is not None]
    return f"{', '.join(where)}: {deviation.what}" if where else deviation.what


def _steps(steps: Iterable[RecordStep], filled: Iterable[FilledStep]) -> Iterable[str]:
    """Return a line for each step, with the actual settings where they were written in."""
    done = {step.number: step.actual for step in filled}
    for step in steps:
        actual = done.get(step.number, {})
        settings = []
        for point in step.settings:
            if point.key in actual:
                settings.append(f"{point.key} {actual[point.key]:g}")
            elif point.value is not None:
                settings.append(f"{point.key} {point.value:g} planned")
        yield _line(step.number, step.device, step.adds, settings, step.note)


def _line(number: int, device: str, adds: Iterable[str], settings: Iterable[str], note: str) -> str:
    phases = ", ".join(adds)
    parts = [device or "step", *([f"adds {phases}"] if phases else []), *settings]
    return f"{number} {', '.join(parts)}" + (f"; {note}" if note else "")


def _readings(filled: FilledRecord) -> Iterable[MeasuredValue]:
    for hold in filled.holds:
        for key, reading in hold.readings.items():
            if isinstance(reading, float):
                yield MeasuredValue(key, reading, unit=unit_of(key))


def _notes(review: RecordReview) -> Iterable[str]:
    for finding in review.findings:
        if finding.kind == "outside":
            by = "" if finding.deviation is None else f" (deviation {finding.deviation})"
            yield f"{finding.where}: {finding.text}{by}"
