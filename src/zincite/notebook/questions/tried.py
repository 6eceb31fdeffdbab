"""What has been tried with a material: formulas, trials and decisions in order of time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.materials import known_material
from zincite.notebook.naming import names_of
from zincite.notebook.questions.carriers import carriers_of
from zincite.notebook.questions.readings import Reading, readings_of
from zincite.notebook.questions.states import origins_of
from zincite.notebook.questions.where_used import MOST
from zincite.notebook.records import rows_of
from zincite.notebook.schema import decision, formula, formula_item, material, trial

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
    steps = [
        *_formula_steps(connection, versions, percents),
        *_trial_steps(connection, trials, percents),
        *_decisions(connection, key, [row["id"] for row in versions], trials),
    ]
    order = {"formula": 0, "trial": 1, "decision": 2}
    steps.sort(key=lambda step: (step.on, order[step.noun]))
    return Tried(key, carriers, f_count, t_count, tuple(steps))


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


def _formula_steps(
    connection: Connection, rows: Sequence[Any], percents: Mapping[str, float]
) -> list[Step]:
    entered = origins_of(connection, "formula", [row["id"] for row in rows])
    return [
        Step(
            entered[row["id"]].on, "formula", f"{row['code']}@{row['number']}", row["reason"],
            percents.get(row["id"]), "", row["withdrawn"], (),
        )
        for row in rows
    ]  # fmt: skip


def _trial_steps(
    connection: Connection, rows: Sequence[Any], percents: Mapping[str, float]
) -> list[Step]:
    made = names_of(connection, "formula", [row["formula_id"] for row in rows])
    readings = readings_of(connection, [row["id"] for row in rows], key_only=True)
    return [
        Step(
            row["made_on"], "trial", row["code"], row["note"], percents.get(row["formula_id"]),
            made[row["formula_id"]].name, row["withdrawn"], readings[row["id"]],
        )
        for row in rows
    ]  # fmt: skip


def _decisions(
    connection: Connection, key: str, formula_ids: Sequence[str], trials: Sequence[Any]
) -> list[Step]:
    """Return what was decided about the versions, the trials and the material's own cards."""
    cards = connection.execute(sa.select(material.c.id).where(material.c.key == key)).scalars()
    found = []
    for noun, ids in (
        ("formula", list(formula_ids)),
        ("trial", [row["id"] for row in trials]),
        ("material", list(cards)),
    ):
        question = decision.select().where(decision.c.noun == noun)
        rows = rows_of(connection, question, decision.c.subject, ids)
        about = names_of(connection, noun, [row["subject"] for row in rows])
        said = origins_of(connection, "decision", [row["id"] for row in rows])
        found += [
            Step(
                said[row["id"]].on, "decision", about[row["subject"]].name,
                f"{row['verdict']}: {row['reason']}", None, "", row["withdrawn"], (),
            )
            for row in rows
        ]  # fmt: skip
    return found
