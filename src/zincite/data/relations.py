"""The relations that the making models use, each with its source and how well it is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = ["Relation", "relation", "relations"]


@dataclass(frozen=True, slots=True)
class Relation:
    """One relation.

    Attributes
    ----------
    id : str
        Such as "R07".
    topic : str
    equation : str
        With its symbols.
    status : str
        "literature", "calculated" (follows from named constants), "from memory" or
        "common practice".
    source : str
        Keys of the trade sources, where there are any.
    """

    id: str
    topic: str
    equation: str
    status: str
    source: str

    @property
    def is_assumed(self) -> bool:
        """Whether it was remembered or is a habit of the trade, not read."""
        return self.status in ("from memory", "common practice")


@lru_cache(maxsize=1)
def relations() -> Mapping[str, Relation]:
    """Return all relations by id, in order."""
    return MappingProxyType(
        {row["id"]: Relation(**row) for row in read_rows("making/relations.csv")}
    )


def relation(key: str) -> Relation:
    """Return one relation.

    Raises
    ------
    MissingDataError
        If there is none of this id.
    """
    if key not in relations():
        raise MissingDataError(f"no relation {key!r}, expected one of {', '.join(relations())}")
    return relations()[key]
