"""Acts on trials: enter a batch made, from a filled batch record or from lots alone."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from zincite.errors import InputError
from zincite.evaluation.making.batch.batch_record import BatchRecord, WeighingRules
from zincite.formula.documents import nearest
from zincite.formula.formula import Formula
from zincite.notebook.attachments import add_attachment
from zincite.notebook.formulas import formula_of, get_formula
from zincite.notebook.locating import locate
from zincite.notebook.lots import add_lot, get_lot
from zincite.notebook.results import RawFile, add_result
from zincite.notebook.trial_parts import TrialDeviation, expired_lots
from zincite.notebook.trials import add_trial, get_trial
from zincite.notebook.writer import Writer
from zincite.workbench.making.batch import make_batch, review_batch
from zincite.workbench.notebook.batches import BatchMade, filled_batch, planned_batch
from zincite.workbench.notebook.files import read_kept
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

__all__ = ["TrialEntry", "enter_trial"]


@dataclass(frozen=True, slots=True)
class TrialEntry:
    """What is said of a batch beside its formula.

    Attributes
    ----------
    kg : str or float
        [kg]
    code, made_on, made_by, note, process : str
        "" takes the next code, the record's or today's date, the record's or the writer's name,
        and the steps of the record or the formula.
    lots : mapping of str to str
        Code of the lot by material.
    deviations : tuple of TrialDeviation
    filled : str, Path or None
        Filled batch record.
    balance_g : str or None
        Step of the balance that the record was written for. [g]
    """

    kg: str | float
    code: str = ""
    made_on: str = ""
    made_by: str = ""
    note: str = ""
    process: str = ""
    lots: Mapping[str, str] | None = None
    deviations: tuple[TrialDeviation, ...] = ()
    filled: str | Path | None = None
    balance_g: str | None = None


def enter_trial(where: Where, formula: str, entry: TrialEntry, *, who: str) -> Entered:
    """Enter a batch made of a formula version.

    Parameters
    ----------
    where : str, Path or Notebook
    formula : str
        "K-07@2", or "K-07" for the latest version that stands.
    entry : TrialEntry
    who : str

    Returns
    -------
    Entered
        With lots that a filled record named first, and what lies outside its limits as notes.

    Raises
    ------
    InputError
        If the filled record cannot be read or belongs to another formula or batch, or the
        notebook refuses the trial.
    """
    with opened(where) as notebook:
        with notebook.read() as connection:
            id = locate(connection, "formula", formula)
            made = formula_of(get_formula(connection, id))
        batch, raw = _batch(made, entry)
        with notebook.write(who) as writer:
            also = [("lot", lot) for lot in _add_lots(writer, batch)]
            trial = _add(writer, id, entry, batch, who)
            if raw is not None:
                add_attachment(writer, "trial", trial, raw.name, raw.data)
            if batch.readings:
                also.append(("result", _add_readings(writer, trial, batch)))
            kept = get_trial(writer.connection, trial)
            expired = expired_lots(writer.connection, kept.weights, kept.made_on)
        notes = [f"lot {lot.code} had expired on {lot.expires_on}" for lot in expired]
        return entered(notebook, "trial", trial, also=also, notes=[*notes, *batch.notes])


def _batch(formula: Formula, entry: TrialEntry) -> tuple[BatchMade, RawFile | None]:
    kg = _kg(entry.kg)
    lots = dict(entry.lots or {})
    unknown = [key for key in lots if key not in formula.percent_by_material()]
    if unknown:
        known = formula.percent_by_material()
        close = nearest(unknown[0], known) or tuple(known)[:3]
        raise InputError(
            f"a lot is given of {unknown[0][:60]!r}, expected a material of {formula.code} such as "
            f"{', '.join(close)}"
        )
    if entry.filled is None:
        return planned_batch(formula, kg, lots), None
    raw = read_kept(entry.filled)
    rules = WeighingRules(balance_g=entry.balance_g)
    record: BatchRecord = review_batch(make_batch(formula, entry.kg, rules), entry.filled).result
    return filled_batch(record, lots, raw.name), raw


def _kg(kg: str | float) -> float:
    try:
        return float(kg)
    except ValueError:
        raise InputError(f"the batch is {kg!r}, expected a number of kg") from None


def _add_lots(writer: Writer, batch: BatchMade) -> list[str]:
    """Add the lots that a filled record names and the notebook does not know yet."""
    added = []
    for lot in batch.lots:
        try:
            get_lot(writer.connection, lot.code)
        except InputError:
            expires = lot.expires_on
            note = f"first seen in {batch.source}"
            added.append(add_lot(writer, lot.code, lot.material_key, expires_on=expires, note=note))
    return added


def _add(writer: Writer, formula: str, entry: TrialEntry, batch: BatchMade, who: str) -> str:
    today = datetime.date.today().isoformat()
    return add_trial(
        writer,
        formula,
        code=entry.code or batch.code,
        made_on=entry.made_on or batch.made_on or today,
        made_by=entry.made_by or batch.made_by or who,
        batch_kg=_kg(entry.kg),
        process=entry.process or batch.process,
        note=entry.note,
        weights=batch.weights,
        deviations=(*batch.deviations, *entry.deviations),
    )


def _add_readings(writer: Writer, trial: str, batch: BatchMade) -> str:
    made = get_trial(writer.connection, trial)
    return add_result(
        writer,
        trial,
        "in-process",
        measured_on=made.made_on,
        values=batch.readings,
        method=f"readings of {batch.source}",
    )
