"""What went into a trial and what went otherwise than planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError, NotebookError
from zincite.notebook.formulas import FormulaRecord
from zincite.notebook.locating import locate
from zincite.notebook.lots import LotRecord, get_lot
from zincite.notebook.materials import known_material
from zincite.notebook.records import finite, needed, rows_of, standing
from zincite.notebook.schema import lot, trial_weight

__all__ = [
    "TrialDeviation",
    "TrialWeight",
    "deviation_rows",
    "expired_lots",
    "weight_rows",
    "weights_of",
]


@dataclass(frozen=True, slots=True)
class TrialWeight:
    """A weight.

    Attributes
    ----------
    phase, material_key : str
    lot : str
        Code, "" where none was noted.
    target_g, actual_g : float or None
        [g]
    """

    phase: str
    material_key: str
    lot: str = ""
    target_g: float | None = None
    actual_g: float | None = None


@dataclass(frozen=True, slots=True)
class TrialDeviation:
    """Something that went otherwise than planned.

    Attributes
    ----------
    what, decision : str
        `decision` says what was done about it, "" while open.
    """

    what: str
    decision: str = ""


def weight_rows(
    connection: Connection, weights: Sequence[TrialWeight], made: FormulaRecord, where: str
) -> list[Mapping[str, Any]]:
    """Return the rows of weights, their materials and lots checked.

    Raises
    ------
    NotebookError
        If a material or lot is unknown, withdrawn, or a lot is of another material.
    InputError
        If a weight is no weight.
    """
    of_formula = {item.material_key for item in made.items}
    rows: list[Mapping[str, Any]] = []
    for weight in weights:
        key = weight.material_key
        if key not in of_formula:
            known_material(connection, key, where)
        used = _lot(connection, weight, where) if weight.lot.strip() else None
        rows.append(
            {
                "phase": weight.phase,
                "material_key": key,
                "lot_id": None if used is None else used.id,
                "target_g": _grams(weight.target_g, f"{where}: target of {key}"),
                "actual_g": _grams(weight.actual_g, f"{where}: weight of {key}"),
            }
        )
    return rows


def _lot(connection: Connection, weight: TrialWeight, where: str) -> LotRecord:
    found = get_lot(connection, weight.lot.strip())
    standing(found, "lot")
    if found.material_key != weight.material_key:
        raise NotebookError(
            f"{where}: lot {found.code} is of {found.material_key}, expected a lot of "
            f"{weight.material_key}"
        )
    return found


def _grams(value: float | None, what: str) -> float | None:
    found = finite(value, what)
    if found is not None and found < 0:
        raise InputError(f"{what} is {found:g} g, expected 0 g or more")
    return found


def deviation_rows(deviations: Sequence[TrialDeviation], where: str) -> list[Mapping[str, Any]]:
    """Return the rows of deviations.

    Raises
    ------
    InputError
        If one says nothing.
    """
    return [
        asdict(
            TrialDeviation(
                needed(deviation.what, f"{where}: a deviation", "what happened"),
                deviation.decision.strip(),
            )
        )
        for deviation in deviations
    ]


def weights_of(connection: Connection, ids: Sequence[str]) -> dict[str, tuple[TrialWeight, ...]]:
    """Return the weights of trials by id, in their order."""
    question = (
        sa.select(trial_weight, lot.c.code.label("lot"))
        .join(lot, lot.c.id == trial_weight.c.lot_id, isouter=True)
        .order_by(trial_weight.c.trial_id, trial_weight.c.position)
    )
    found: dict[str, list[TrialWeight]] = {id: [] for id in ids}
    for row in rows_of(connection, question, trial_weight.c.trial_id, ids):
        found[row["trial_id"]].append(
            TrialWeight(
                row["phase"],
                row["material_key"],
                row["lot"] or "",
                row["target_g"],
                row["actual_g"],
            )
        )
    return {id: tuple(weights) for id, weights in found.items()}


def expired_lots(
    connection: Connection, weights: Sequence[TrialWeight], made_on: str
) -> tuple[LotRecord, ...]:
    """Return the lots that had expired when the trial was made."""
    codes = dict.fromkeys(weight.lot for weight in weights if weight.lot)
    lots = [get_lot(connection, locate(connection, "lot", code)) for code in codes]
    return tuple(found for found in lots if found.expired_on(made_on))
