"""What trials measured: the figures of their results that stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.records import rows_of
from zincite.notebook.schema import result, result_value, trial

__all__ = ["KEY_QUANTITIES", "Reading", "is_key", "latest_of", "readings_of"]

KEY_QUANTITIES = ("spf", "uva_pf", "uva_pf_to_spf", "critical_wavelength_nm", "viscosity_mPas")
"""What is shown of a trial where there is room for little; white cast beside them."""


def is_key(quantity: str) -> bool:
    """Whether a figure is one of the few that a trial is known by."""
    return quantity in KEY_QUANTITIES or quantity.startswith("delta_e00 ")


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
    connection: Connection, trial_ids: Iterable[str], *, key_only: bool = False
) -> dict[str, tuple[Reading, ...]]:
    """Return the measured figures of trials by id, in order of the results.

    Parameters
    ----------
    connection : Connection
    trial_ids : iterable of str
    key_only : bool
        Whether only those of `is_key`.

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
    if key_only:
        question = question.where(
            v.quantity.in_(KEY_QUANTITIES) | v.quantity.startswith("delta_e00 ")
        )
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
