"""What has been tried with a material: formulas, trials and decisions in order of time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.materials import known_material
from zincite.notebook.naming import names_of
from zincite.notebook.questions.carriers import carriers_of
from zincite.notebook.questions.readings import KEY_QUANTITIES, Reading, readings_of
from zincite.notebook.questions.states import origins_of
from zincite.notebook.questions.where_used import MOST
from zincite.notebook.records import rows_of
from zincite.notebook.schema import (
    decision,
    formula,
    formula_item,
    material,
    prediction,
    trial,
)

__all__ = ["Step", "Tried", "tried"]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was done.

    Attributes
    ----------
    on : str
        Day.
    noun : str
        "formula", "trial" or "decision".
    name : str
        Such as "K-07@2" or "T-012"; of a decision what it is about.
    said : str
        Why a version was made, the note of a trial, the verdict and its reason.
    percent : float or None
        Of the material in a formula or in the formula of a trial. [%]
    formula : str
        Version of a trial, "" of anything else.
    withdrawn : str
    readings : tuple of Reading
        What a trial measured: the figures that it is known by.
    """

    on: str
    noun: str
    name: str
    said: str
    percent: float | None
    formula: str
    withdrawn: str
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Tried:
    """All that was done with a material.

    Attributes
    ----------
    material : str
        Key.
    carriers : dict of str to float
        Keys under which it is weighed: its own, and blends that hold it, with its share. [-]
    formula_count, trial_count : int
        All of them, those not listed too.
    steps : tuple of Step
        The earliest first.
    """

    material: str
    carriers: dict[str, float]
    formula_count: int
    trial_count: int
    steps: tuple[Step, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return asdict(self)


def tried(connection: Connection, key: str, *, at_most: int = MOST) -> Tried:
    """Return what has been tried with a material, in order of time.

    Parameters
    ----------
    connection : Connection
    key : str
        Of a material card; what holds a blend of it counts too.
    at_most : int
        Versions and trials listed, of each the latest.

    Raises
    ------
    NotebookError
        If neither notebook nor library know the material, and no formula names it.
    """
    carriers = carriers_of(connection, key)
    holding = (
        sa.select(formula_item.c.formula_id)
        .where(formula_item.c.material_key.in_(list(carriers)))
        .distinct()
    )
    f_count, versions = _listed(connection, formula, formula.c.id.in_(holding), at_most)
    t_count, trials = _listed(connection, trial, trial.c.formula_id.in_(holding), at_most)
    if not f_count:
        known_material(connection, key, "tried")
    formula_ids = [row["id"] for row in versions] + [row["formula_id"] for row in trials]
    percents = _percents(connection, formula_ids, carriers)
    days = _days(connection, versions, trials)
    dated = [
        *_formula_steps(versions, percents, days),
        *_trial_steps(connection, trials, percents),
        *_decisions(connection, key, days),
    ]
    order = {"formula": 0, "trial": 1, "decision": 2}
    dated.sort(key=lambda pair: (pair[0], order[pair[1].noun]))
    return Tried(key, carriers, f_count, t_count, tuple(step for _, step in dated))


_Dated = tuple[str, Step]
"""A step and the day by which it is ordered."""
_Days = Mapping[tuple[str, str], tuple[str, str]]
"""Noun and id -> the day when it was done, and when it was entered."""


def _listed(
    connection: Connection, table: sa.Table, fits: sa.ColumnElement[bool], at_most: int
) -> tuple[int, Sequence[Any]]:
    count = connection.execute(sa.select(sa.func.count()).select_from(table).where(fits))
    by = table.c.made_on if "made_on" in table.c else table.c.event_seq
    columns = [column for column in table.c if column.name != "toml"]
    latest = sa.select(*columns).where(fits).order_by(by.desc(), table.c.code.desc())
    rows = connection.execute(latest.limit(at_most)).mappings().all()
    return int(count.scalar_one()), rows


def _percents(
    connection: Connection, formula_ids: Sequence[str], carriers: Mapping[str, float]
) -> dict[str, float]:
    i = formula_item.c
    question = sa.select(i.formula_id, i.material_key, i.percent).where(
        i.material_key.in_(list(carriers))
    )
    found: dict[str, float] = {}
    for row in rows_of(connection, question, i.formula_id, formula_ids):
        share = (row["percent"] or 0.0) * carriers[row["material_key"]]
        found[row["formula_id"]] = found.get(row["formula_id"], 0.0) + share
    return found


def _days(connection: Connection, versions: Sequence[Any], trials: Sequence[Any]) -> _Days:
    """Return when things were done; a version is no later than its first prediction or trial."""
    ids = [str(row["id"]) for row in versions]
    firsts: dict[str, str] = {}
    for table in (prediction, trial):
        first = sa.select(table.c.formula_id, sa.func.min(table.c.made_on).label("on"))
        for row in rows_of(connection, first.group_by(table.c.formula_id), table.c.formula_id, ids):
            firsts[row["formula_id"]] = min(row["on"], firsts.get(row["formula_id"], row["on"]))
    found = {}
    for id, origin in origins_of(connection, "formula", ids).items():
        found["formula", id] = (min(origin.on, firsts.get(id, origin.on)), origin.on)
    entered = origins_of(connection, "trial", [row["id"] for row in trials])
    for row in trials:
        found["trial", row["id"]] = (row["made_on"], entered[row["id"]].on)
    return found


def _formula_steps(
    rows: Sequence[Any], percents: Mapping[str, float], days: _Days
) -> Iterator[_Dated]:
    for row in rows:
        on = days["formula", row["id"]][0]
        name = f"{row['code']}@{row['number']}"
        percent = percents.get(row["id"])
        yield on, Step(on, "formula", name, row["reason"], percent, "", row["withdrawn"], ())


def _trial_steps(
    connection: Connection, rows: Sequence[Any], percents: Mapping[str, float]
) -> Iterator[_Dated]:
    made = names_of(connection, "formula", [row["formula_id"] for row in rows])
    readings = readings_of(connection, [row["id"] for row in rows], KEY_QUANTITIES)
    for row in rows:
        step = Step(
            row["made_on"], "trial", row["code"], row["note"], percents.get(row["formula_id"]),
            made[row["formula_id"]].name, row["withdrawn"], readings[row["id"]],
        )  # fmt: skip
        yield row["made_on"], step


def _decisions(connection: Connection, key: str, days: _Days) -> Iterator[_Dated]:
    """Give what was decided about the versions, the trials and the material's own cards.

    A decision that was entered on the day its subject was entered is ordered beside it: a
    laboratory that copies its old book enters both on one day, years after.
    """
    cards = connection.execute(sa.select(material.c.id).where(material.c.key == key)).scalars()
    subjects = {"material": list(cards)}
    for noun in ("formula", "trial"):
        subjects[noun] = [id for kind, id in days if kind == noun]
    for noun, ids in subjects.items():
        question = decision.select().where(decision.c.noun == noun)
        rows = rows_of(connection, question, decision.c.subject, ids)
        about = names_of(connection, noun, [row["subject"] for row in rows])
        said = origins_of(connection, "decision", [row["id"] for row in rows])
        for row in rows:
            on = said[row["id"]].on
            done, entered = days.get((noun, row["subject"]), (on, on))
            text = f"{row['verdict']}: {row['reason']}"
            name = about[row["subject"]].name
            step = Step(on, "decision", name, text, None, "", row["withdrawn"], ())
            yield (done if entered == on else on), step
