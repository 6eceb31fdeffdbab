"""What trials measured: the figures of their results that stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.formula.brief import SKIN_CLASSES
from zincite.notebook.records import rows_of
from zincite.notebook.schema import result, result_value, trial

__all__ = ["KEY_QUANTITIES", "Reading", "latest_of", "readings_of"]

KEY_QUANTITIES = (
    "spf",
    "spf_in_vitro",
    "uva_pf",
    "critical_wavelength_nm",
    "viscosity_mPas",
    *(f"delta_e00 {skin}" for skin in SKIN_CLASSES),
)
"""The figures that a trial is known by, where there is room for little."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured figure and where it comes from.

    Attributes
    ----------
    quantity : str
        Key such as "spf".
    value : float
    low, high : float or None
        Confidence interval, None where there is none.
    unit : str
    result : str
        Such as "T-012/2".
    kind, method : str
        Assay and standard.
    on : str
        Day.
    """

    quantity: str
    value: float
    low: float | None
    high: float | None
    unit: str
    result: str
    kind: str
    method: str
    on: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return asdict(self)


def readings_of(
    connection: Connection, trial_ids: Iterable[str], quantities: Sequence[str] = ()
) -> dict[str, tuple[Reading, ...]]:
    """Return the measured figures of trials by id, in order of the results.

    Parameters
    ----------
    connection : Connection
    trial_ids : iterable of str
    quantities : sequence of str
        Only these, such as `KEY_QUANTITIES`; all when left out.

    Returns
    -------
    dict of str to tuple of Reading
        Every id has an entry. Results that are withdrawn or not valid are left out.
    """
    ids = list(dict.fromkeys(trial_ids))
    v = result_value.c
    question = (
        sa.select(
            result.c.trial_id, trial.c.code, result.c.number, result.c.kind, result.c.method,
            result.c.measured_on, v.quantity, v.value, v.low, v.high, v.unit,
        )
        .join(result, result.c.id == v.result_id)
        .join(trial, trial.c.id == result.c.trial_id)
        .where(result.c.withdrawn == "", result.c.valid == 1, v.value.is_not(None))
        .order_by(result.c.trial_id, result.c.number, v.position)
    )  # fmt: skip
    if quantities:
        question = question.where(v.quantity.in_(quantities))
    found: dict[str, list[Reading]] = {id: [] for id in ids}
    for row in rows_of(connection, question, result.c.trial_id, ids):
        found[row["trial_id"]].append(
            Reading(
                row["quantity"], float(row["value"]), row["low"], row["high"], row["unit"],
                f"{row['code']}/{row['number']}", row["kind"], row["method"], row["measured_on"],
            )
        )  # fmt: skip
    return {id: tuple(readings) for id, readings in found.items()}


def latest_of(readings: Iterable[Reading]) -> Reading | None:
    """Return the reading that stands for several of the same figure: the latest.

    A repeat is made because the first is in doubt, or on the product as it has become; a mean of
    tests by different methods would be a number that nobody measured.
    """
    listed = list(readings)
    return max(listed, key=lambda r: (r.on, int(r.result.rpartition("/")[2])), default=None)
