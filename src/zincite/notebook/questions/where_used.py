"""Where a lot or a material is used."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.locating import locate
from zincite.notebook.lots import get_lot
from zincite.notebook.materials import known_material
from zincite.notebook.questions.carriers import carriers_of
from zincite.notebook.questions.readings import KEY_QUANTITIES, readings_of
from zincite.notebook.questions.states import current_ids, states_of
from zincite.notebook.questions.uses import (
    FormulaUse,
    LotUse,
    MaterialUse,
    TrialUse,
    UsedWeight,
)
from zincite.notebook.records import rows_of
from zincite.notebook.schema import formula, formula_item, lot, trial, trial_weight

__all__ = ["MOST", "formulas_with", "where_lot_used", "where_material_used"]

MOST = 100
"""Trials and versions listed when nobody asks for more; all are counted."""
_FEW = 1000


def where_lot_used(connection: Connection, code: str, *, at_most: int = MOST) -> LotUse:
    """Return where a lot went: trials, grams and what was measured since.

    Parameters
    ----------
    connection : Connection
    code : str
        Code or id of the lot.
    at_most : int
        Trials listed.

    Raises
    ------
    NotebookError
        If there is no such lot.
    """
    found = get_lot(connection, locate(connection, "lot", code))
    used = trial_weight.c.lot_id == found.id
    count, trials = _trials(connection, used, at_most)
    return LotUse(found, count, trials)


def where_material_used(connection: Connection, key: str, *, at_most: int = MOST) -> MaterialUse:
    """Return where a material is used, itself or as part of a blend.

    Parameters
    ----------
    connection : Connection
    key : str
        Of a material card.
    at_most : int
        Versions and trials listed, of each.

    Raises
    ------
    NotebookError
        If neither notebook nor library know the material, and no formula names it.
    """
    carriers = carriers_of(connection, key)
    formula_count, formulas = formulas_with(connection, carriers, at_most)
    used = trial_weight.c.material_key.in_(list(carriers))
    trial_count, trials = _trials(connection, used, at_most)
    if formula_count == trial_count == 0:
        known_material(connection, key, "where used")
    return MaterialUse(key, carriers, formula_count, trial_count, formulas, trials)


def _trials(
    connection: Connection, used: sa.ColumnElement[bool], at_most: int
) -> tuple[int, tuple[TrialUse, ...]]:
    """Return how many trials fit, and the latest of them."""
    w = trial_weight.c
    counted = sa.select(sa.func.count(sa.distinct(w.trial_id))).where(used)
    count = int(connection.execute(counted).scalar_one())
    fits = _among(trial.c.id, sa.select(w.trial_id).where(used), w.trial_id, count)
    question = (
        sa.select(
            trial.c.id, trial.c.code, trial.c.made_on, trial.c.made_by, trial.c.withdrawn,
            formula.c.code.label("formula"), formula.c.number,
        )
        .join(formula, formula.c.id == trial.c.formula_id)
        .where(fits)
        .order_by(trial.c.made_on.desc(), trial.c.code.desc())
        .limit(at_most)
    )  # fmt: skip
    rows = connection.execute(question).mappings().all()
    ids = [str(row["id"]) for row in rows]
    weights = _weights(connection, ids, used)
    readings = readings_of(connection, ids, KEY_QUANTITIES)
    return count, tuple(
        TrialUse(
            row["code"],
            row["made_on"],
            row["made_by"],
            f"{row['formula']}@{row['number']}",
            row["withdrawn"],
            tuple(weights[row["id"]]),
            readings[row["id"]],
        )
        for row in rows
    )


def _among(
    id: sa.ColumnElement[str],
    found: sa.Select[tuple[str]],
    column: sa.ColumnElement[str],
    count: int,
) -> sa.ColumnElement[bool]:
    """Ask whether an id is among those found.

    Few are sorted; of many the latest are found sooner by going back in time and asking of each.
    """
    if count <= _FEW:
        return id.in_(found)
    return sa.exists(found.where(column == id))


def _weights(
    connection: Connection, ids: Sequence[str], used: sa.ColumnElement[bool]
) -> dict[str, list[UsedWeight]]:
    w = trial_weight.c
    question = (
        sa.select(w.trial_id, w.phase, w.material_key, lot.c.code, w.target_g, w.actual_g)
        .join(lot, lot.c.id == w.lot_id, isouter=True)
        .where(used)
        .order_by(w.trial_id, w.position)
    )
    found: dict[str, list[UsedWeight]] = {id: [] for id in ids}
    for row in rows_of(connection, question, w.trial_id, ids):
        found[row["trial_id"]].append(
            UsedWeight(
                row["phase"], row["material_key"], row["code"] or "", row["target_g"],
                row["actual_g"],
            )
        )  # fmt: skip
    return found


def formulas_with(
    connection: Connection, carriers: Mapping[str, float], at_most: int
) -> tuple[int, tuple[FormulaUse, ...]]:
    """Return how many formula versions hold any of the carriers, and the latest of them.

    Parameters
    ----------
    connection : Connection
    carriers : mapping of str to float
        Material keys, and what share of each counts. [-]
    at_most : int
    """
    i = formula_item.c
    holding = sa.select(i.formula_id).where(i.material_key.in_(list(carriers))).distinct()
    counted = sa.select(sa.func.count()).select_from(holding.subquery())
    count = int(connection.execute(counted).scalar_one())
    f = formula.c
    question = (
        sa.select(f.id, f.code, f.number, f.name, f.withdrawn)
        .where(_among(f.id, holding, i.formula_id, count))
        .order_by(f.event_seq.desc())
        .limit(at_most)
    )
    rows = connection.execute(question).mappings().all()
    ids = [str(row["id"]) for row in rows]
    items: dict[str, dict[str, float]] = {id: {} for id in ids}
    shares = sa.select(i.formula_id, i.material_key, i.percent).where(
        i.material_key.in_(list(carriers))
    )
    for row in rows_of(connection, shares.order_by(i.position), i.formula_id, ids):
        key, held = row["material_key"], items[row["formula_id"]]
        held[key] = held.get(key, 0.0) + (row["percent"] or 0.0)
    current = current_ids(connection, [row["code"] for row in rows])
    states = states_of(connection, ids)
    return count, tuple(
        FormulaUse(
            f"{row['code']}@{row['number']}",
            row["name"],
            sum(percent * carriers[key] for key, percent in items[row["id"]].items()),
            tuple(items[row["id"]]),
            row["id"] in current,
            states[row["id"]],
            row["withdrawn"],
        )
        for row in rows
    )
