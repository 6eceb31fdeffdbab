"""Which formulas a supplier's change of a coating or a material would touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError
from zincite.notebook.questions.carriers import carriers_of
from zincite.notebook.questions.states import (
    DROPPED,
    OPEN,
    RELEASED,
    State,
    current_ids,
    states_of,
)
from zincite.notebook.records import rows_of
from zincite.notebook.schema import formula, formula_item, project, trial

__all__ = ["Touched", "TouchedFormula", "TouchedItem", "touched"]

_ORDER = (RELEASED, OPEN, DROPPED)


@dataclass(frozen=True, slots=True)
class TouchedItem:
    """An ingredient that would change.

    Attributes
    ----------
    material : str
        Key of what is weighed.
    percent : float
        [%]
    coating : str
        Of the pigments in it.
    """

    material: str
    percent: float
    coating: str


@dataclass(frozen=True, slots=True)
class TouchedFormula:
    """A version of a formula that would change.

    Attributes
    ----------
    formula, name, project : str
        Such as "K-07@2", its name and the project's code.
    items : tuple of TouchedItem
    state : State
        Open, released or dropped.
    trial_count : int
        Trials of this version that stand: what would have to be repeated.
    """

    formula: str
    name: str
    project: str
    items: tuple[TouchedItem, ...]
    state: State
    trial_count: int


@dataclass(frozen=True, slots=True)
class Touched:
    """What a change would touch.

    Attributes
    ----------
    coating, material : str
        As asked, "" where not asked.
    materials : tuple of str
        Keys of all ingredients that fit.
    formulas : tuple of TouchedFormula
        Versions that count today (see `current_ids`): released, then open, then dropped.
    """

    coating: str
    material: str
    materials: tuple[str, ...]
    formulas: tuple[TouchedFormula, ...]

    def counted(self, state: str) -> int:
        """Return how many formulas are in a state."""
        return sum(one.state.state == state for one in self.formulas)

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        counts = {f"{state}_count": self.counted(state) for state in _ORDER}
        return {**counts, **asdict(self)}


def touched(connection: Connection, *, coating: str = "", material: str = "") -> Touched:
    """Return the versions of formulas that a change would touch, of those that count today.

    Parameters
    ----------
    connection : Connection
    coating : str
        Part of the INCI name of a coating, such as "stearic"; capitals do not matter.
    material : str
        Key of a material; also found in blends. With a coating, both must fit.

    Raises
    ------
    InputError
        If neither is given.
    """
    word, key = " ".join(coating.split()), material.strip()
    if not word and not key:
        raise InputError("nothing is named, expected a coating or a material that changes")
    pairs = _pairs(connection, word, key)
    rows = _current(connection, pairs)
    ids = list(dict.fromkeys(str(row["id"]) for row in rows))
    states, trials = states_of(connection, ids), _trial_counts(connection, ids)
    found = []
    for id in ids:
        own = [row for row in rows if row["id"] == id]
        head = own[0]
        items = tuple(
            TouchedItem(row["material_key"], row["percent"] or 0.0, row["coating"]) for row in own
        )
        found.append(
            TouchedFormula(
                f"{head['code']}@{head['number']}", head["name"], head["project"], items,
                states[id], trials.get(id, 0),
            )
        )  # fmt: skip
    found.sort(key=lambda one: (_ORDER.index(one.state.state), one.project, one.formula))
    return Touched(word, key, tuple(dict.fromkeys(key for key, _ in pairs)), tuple(found))


def _pairs(connection: Connection, word: str, key: str) -> list[tuple[str, str]]:
    """Return the pairs of material and coating that occur and fit."""
    carriers = carriers_of(connection, key) if key else {}
    i = formula_item.c
    question = sa.select(i.material_key, i.coating).distinct()
    if carriers:
        question = question.where(i.material_key.in_(list(carriers)))
    wanted = word.casefold()
    rows = connection.execute(question.order_by(i.material_key, i.coating))
    return [(row.material_key, row.coating) for row in rows if wanted in row.coating.casefold()]


def _current(connection: Connection, pairs: Sequence[tuple[str, str]]) -> list[Any]:
    """Return the ingredients that fit, of versions that count today."""
    f, i = formula.c, formula_item.c
    question = (
        sa.select(
            f.id, f.code, f.number, f.name, project.c.code.label("project"),
            i.material_key, i.percent, i.coating,
        )
        .join(project, project.c.id == f.project_id)
        .join(formula_item, i.formula_id == f.id)
        .where(f.withdrawn == "")
        .order_by(f.code, f.number, i.position)
    )  # fmt: skip
    fits = set(pairs)
    rows = rows_of(connection, question, i.material_key, [key for key, _ in pairs])
    rows = [row for row in rows if (row["material_key"], row["coating"]) in fits]
    current = current_ids(connection, [row["code"] for row in rows])
    return [row for row in rows if row["id"] in current]


def _trial_counts(connection: Connection, ids: Sequence[str]) -> dict[str, int]:
    question = (
        sa.select(trial.c.formula_id, sa.func.count().label("count"))
        .where(trial.c.withdrawn == "")
        .group_by(trial.c.formula_id)
    )
    rows = rows_of(connection, question, trial.c.formula_id, ids)
    return {row["formula_id"]: int(row["count"]) for row in rows}
