"""What a making result rests on: relations used, what was assumed, what to look at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from zincite.data.relations import relation

__all__ = ["Basis"]


@dataclass(frozen=True, slots=True)
class Basis:
    """Grounds of a result.

    Attributes
    ----------
    relations : tuple of str
        Ids of `zincite.data.relations`, in order of use.
    assumed : tuple of str
        One sentence for each assumed value or model; shown in the look of assumed values.
    warnings : tuple of str
        What limits the result or asks for a look; one sentence each.

    Raises
    ------
    MissingDataError
        If a relation has no row.
    """

    relations: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for key in self.relations:
            relation(key)

    def with_more(
        self,
        *,
        relations: Iterable[str] = (),
        assumed: Iterable[str] = (),
        warnings: Iterable[str] = (),
    ) -> Basis:
        """Return the basis with more of each, every entry once."""
        return Basis(
            tuple(dict.fromkeys((*self.relations, *relations))),
            tuple(dict.fromkeys((*self.assumed, *assumed))),
            tuple(dict.fromkeys((*self.warnings, *warnings))),
        )

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "relations": [
                {
                    "id": found.id,
                    "equation": found.equation,
                    "status": found.status,
                    "source": found.source,
                }
                for found in map(relation, self.relations)
            ],
            "assumed": list(self.assumed),
            "warnings": list(self.warnings),
        }
