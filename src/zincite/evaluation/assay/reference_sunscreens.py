"""Reference sunscreens of ISO 24444, read or remembered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = ["ReferenceSunscreen", "reference_sunscreen", "reference_sunscreens"]


@dataclass(frozen=True, slots=True)
class ReferenceSunscreen:
    """A reference sunscreen of ISO 24444 with its mean SPF and acceptance range."""

    name: str
    mean: float
    low: float
    high: float
    verified: bool
    source: str


@lru_cache(maxsize=1)
def reference_sunscreens() -> tuple[ReferenceSunscreen, ...]:
    """Return the reference sunscreens of ISO 24444."""
    return tuple(
        ReferenceSunscreen(
            row["name"],
            float(row["mean"]),
            float(row["low"]),
            float(row["high"]),
            row["confidence"] == "verified",
            row["source"],
        )
        for row in read_rows("assay/in_vivo_reference_sunscreens.csv")
    )


def reference_sunscreen(name: str) -> ReferenceSunscreen:
    """Return a reference sunscreen by name, such as "P2".

    Raises
    ------
    MissingDataError
        If there is none of that name.
    """
    wanted = name.strip().upper()
    for item in reference_sunscreens():
        if item.name == wanted:
            return item
    known = ", ".join(item.name for item in reference_sunscreens())
    raise MissingDataError(f"reference sunscreen {name!r} is not known, expected one of {known}")
