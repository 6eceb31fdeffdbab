"""What changed between two formula versions or two trials, and what it did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError, ZinciteError
from zincite.formula.formula import Formula
from zincite.notebook.formulas import FormulaRecord, formula_of, get_formula
from zincite.notebook.locating import subjects_called
from zincite.notebook.questions.differences import (
    Difference,
    ShareChange,
    card_changes,
    head_changes,
    process_changes,
    share_changes,
)
from zincite.notebook.questions.figures import FigureChange, measured_changes, predicted_changes
from zincite.notebook.questions.states import origins_of
from zincite.notebook.schema import trial
from zincite.notebook.trials import TrialRecord, get_trial

__all__ = ["Changes", "LotChange", "Side", "changes"]

_WEIGHED = 0.01
"""Share of a weight that is no change."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two that are compared.

    Attributes
    ----------
    noun : str
        "formula" or "trial".
    name, title : str
        Such as "K-07@2", and the formula's name.
    formula : str
        The version: of a trial the one that was made.
    on, who : str
        Day and name: of a trial when and by whom it was made, of a version entered.
    reason : str
        Why the version was made.
    withdrawn : str
    """

    noun: str
    name: str
    title: str
    formula: str
    on: str
    who: str
    reason: str
    withdrawn: str


@dataclass(frozen=True, slots=True)
class LotChange:
    """A material that came from other lots, or in another share, in two trials.

    Attributes
    ----------
    material : str
    first, second : tuple of str
        Codes of the lots.
    first_g, second_g : float or None
        Actual weights, None where none was noted. [g]
    first_percent, second_percent : float or None
        Of all that was weighed in the trial. [%]
    """

    material: str
    first: tuple[str, ...]
    second: tuple[str, ...]
    first_g: float | None
    second_g: float | None
    first_percent: float | None
    second_percent: float | None


@dataclass(frozen=True, slots=True)
class Changes:
    """What differs between two sides.

    Attributes
    ----------
    first, second : Side
    shares : tuple of ShareChange
        Percent per material.
    cards : tuple of Difference
        Grades of pigments (core, size, coating), then other values of cards.
    formula : tuple of Difference
        Kind, pH, phases.
    process : tuple of Difference
        Steps and settings of the formulas; of trials also as made.
    lots : tuple of LotChange
        Of two trials.
    predicted, measured : tuple of FigureChange
    notes : tuple of str
        What could not be compared.
    """

    first: Side
    second: Side
    shares: tuple[ShareChange, ...]
    cards: tuple[Difference, ...]
    formula: tuple[Difference, ...]
    process: tuple[Difference, ...]
    lots: tuple[LotChange, ...]
    predicted: tuple[FigureChange, ...]
    measured: tuple[FigureChange, ...]
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return asdict(self)


def changes(connection: Connection, first: str, second: str) -> Changes:
    """Return what changed from one formula version or trial to another.

    Parameters
    ----------
    connection : Connection
    first, second : str
        Versions such as "K-07@2" (a code alone is its latest) or codes of trials.

    Raises
    ------
    NotebookError
        If there is none.
    """
    one, two = (_opened(connection, name) for name in (first, second))
    sides = [_side(connection, *opened) for opened in (one, two)]
    notes: list[str] = []
    formulas = [_formula(record, notes) for record, _ in (one, two)]
    cards: tuple[Difference, ...] = ()
    head: tuple[Difference, ...] = ()
    process: tuple[Difference, ...] = ()
    if formulas[0] is not None and formulas[1] is not None:
        cards = card_changes(formulas[0], formulas[1])
        head = head_changes(formulas[0], formulas[1])
        process = process_changes(formulas[0].process, formulas[1].process)
    trials = [_trials(connection, *opened) for opened in (one, two)]
    return Changes(
        sides[0],
        sides[1],
        share_changes(_shares(one[0]), _shares(two[0])),
        cards,
        head,
        (*process, *_as_made(one[1], two[1])),
        _lot_changes(one[1], two[1]),
        predicted_changes(connection, one[0].called, two[0].called),
        measured_changes(connection, trials[0], trials[1]),
        tuple(notes),
    )


_Opened = tuple[FormulaRecord, TrialRecord | None]


def _opened(connection: Connection, name: str) -> _Opened:
    wanted = name.strip()
    found = dict(reversed(subjects_called(connection, wanted)))
    if "formula" in found:
        return get_formula(connection, found["formula"]), None
    if "trial" in found:
        made = get_trial(connection, found["trial"])
        return get_formula(connection, made.formula_id), made
    raise NotebookError(
        f"no formula and no trial is called {name[:60]!r}, expected a version such as K-07@2 or a "
        "trial such as T-012"
    )


def _side(connection: Connection, record: FormulaRecord, made: TrialRecord | None) -> Side:
    if made is not None:
        return Side(
            "trial", made.code, record.name, record.called, made.made_on, made.made_by,
            record.reason, made.withdrawn,
        )  # fmt: skip
    entered = origins_of(connection, "formula", [record.id])[record.id]
    return Side(
        "formula", record.called, record.name, record.called, entered.on, entered.who,
        record.reason, record.withdrawn,
    )  # fmt: skip


def _formula(record: FormulaRecord, notes: list[str]) -> Formula | None:
    try:
        return formula_of(record)
    except ZinciteError as error:
        notes.append(f"only the shares of {record.called} can be compared: {error}")
        return None


def _shares(record: FormulaRecord) -> dict[str, float]:
    found: dict[str, float] = {}
    for item in record.items:
        found[item.material_key] = found.get(item.material_key, 0.0) + item.percent
    return found


def _trials(
    connection: Connection, record: FormulaRecord, made: TrialRecord | None
) -> Sequence[str]:
    """Return ids of the trials whose results count: the trial, or all of a version that stand."""
    if made is not None:
        return [made.id]
    question = sa.select(trial.c.id).where(trial.c.formula_id == record.id, trial.c.withdrawn == "")
    return [str(id) for id in connection.execute(question).scalars()]


def _as_made(one: TrialRecord | None, two: TrialRecord | None) -> tuple[Difference, ...]:
    if one is None or two is None:
        return ()
    told: list[Difference] = []
    sides: list[Mapping[str, float | str | None]] = [
        {
            "batch_kg": made.batch_kg,
            "process": made.process or None,
            "deviations": "; ".join(d.what for d in made.deviations) or None,
        }
        for made in (one, two)
    ]
    for what, value in sides[0].items():
        if value != sides[1][what]:
            told.append(Difference("as made", what, value, sides[1][what]))
    return tuple(told)


def _lot_changes(one: TrialRecord | None, two: TrialRecord | None) -> tuple[LotChange, ...]:
    if one is None or two is None:
        return ()
    sides = [_used(made) for made in (one, two)]
    totals = [sum(grams or 0.0 for _, grams in side.values()) for side in sides]
    found = []
    for key in dict.fromkeys([*sides[1], *sides[0]]):
        lots, grams = zip(*(side.get(key, ((), None)) for side in sides), strict=True)
        percents = [
            None if g is None or not total else 100.0 * g / total
            for g, total in zip(grams, totals, strict=True)
        ]
        if lots[0] != lots[1] or _differ(percents[0], percents[1]):
            found.append(
                LotChange(key, lots[0], lots[1], grams[0], grams[1], percents[0], percents[1])
            )
    return tuple(found)


def _differ(first: float | None, second: float | None) -> bool:
    """Whether shares differ by more than a careful weighing does, whatever the batch size."""
    if first is None or second is None:
        return first is not second
    return abs(first - second) > _WEIGHED * max(first, second)


def _used(made: TrialRecord) -> dict[str, tuple[tuple[str, ...], float | None]]:
    found: dict[str, tuple[tuple[str, ...], float | None]] = {}
    for weight in made.weights:
        lots, grams = found.get(weight.material_key, ((), None))
        lots = tuple(dict.fromkeys([*lots, *([weight.lot] if weight.lot else [])]))
        if weight.actual_g is not None:
            grams = (grams or 0.0) + weight.actual_g
        found[weight.material_key] = (lots, grams)
    return found
