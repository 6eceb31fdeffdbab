"""What the workshop wrote into a batch record."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

__all__ = ["Deviation", "FilledHold", "FilledRecord", "FilledStep", "FilledWeight", "Signatures"]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Who did it and who checked it; "" is not signed."""

    done_by: str = ""
    checked_by: str = ""


@dataclass(frozen=True, slots=True)
class FilledWeight:
    """A weighed ingredient: actual weight [g] or None, lot, expiry date, signatures."""

    item: int
    actual_g: float | None = None
    lot: str = ""
    expires_on: datetime.date | None = None
    signed: Signatures = Signatures()


@dataclass(frozen=True, slots=True)
class FilledStep:
    """A process step: actual values by setting, signatures."""

    number: int
    actual: dict[str, float]
    signed: Signatures = Signatures()


@dataclass(frozen=True, slots=True)
class FilledHold:
    """A hold: readings by check, who released it."""

    key: str
    readings: dict[str, float | str]
    released_by: str = ""


@dataclass(frozen=True, slots=True)
class Deviation:
    """An entry of the deviations' section.

    Attributes
    ----------
    what, when, who, decision : str
        An entry without decision is open.
    item, step : int or None
        Line of the weighing list or process step that it is about.
    hold : str
        Hold that it is about.
    """

    what: str
    when: str = ""
    who: str = ""
    decision: str = ""
    item: int | None = None
    step: int | None = None
    hold: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class FilledRecord:
    """A filled record.

    Attributes
    ----------
    batch_number : str
    made_on : date or None
    made_by, clearance_by, released_by : str
    weights : tuple of FilledWeight
    steps : tuple of FilledStep
    holds : tuple of FilledHold
    deviations : tuple of Deviation
    yield_kg : float or None
        Bulk out of the vessel. [kg]
    yield_low_percent, yield_high_percent : float or None
        Limits of the yield, as a share of the batch. [%]
    """

    batch_number: str
    made_on: datetime.date | None
    made_by: str
    clearance_by: str
    released_by: str
    weights: tuple[FilledWeight, ...]
    steps: tuple[FilledStep, ...]
    holds: tuple[FilledHold, ...]
    deviations: tuple[Deviation, ...]
    yield_kg: float | None
    yield_low_percent: float | None
    yield_high_percent: float | None
