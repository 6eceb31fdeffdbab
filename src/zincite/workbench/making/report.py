"""What an answer on making hands to every interface."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from zincite.evaluation.making.basis import Basis
from zincite.formula.formula import Formula

__all__ = ["CAUTIONS", "MakingReport", "MakingResult"]

CAUTIONS = (
    "Worked out before the bench: a start value for trials, not a release limit. Your own "
    "measurement replaces it.",
    "Dust of ZnO and TiO2 must not be inhaled: weigh and wet powders under extraction and with "
    "respiratory protection; local rules and the safety assessor decide.",
)


class MakingResult(Protocol):
    """What every result on making has."""

    @property
    def basis(self) -> Basis:
        """Relations, assumptions and warnings."""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints, without the basis."""


R = TypeVar("R", bound=MakingResult, covariant=True)


@dataclass(frozen=True, slots=True)
class MakingReport(Generic[R]):
    """An answer on making.

    Attributes
    ----------
    kind : str
        Name of the command, such as "ions".
    result : R
    formula : Formula or None
        What it was asked about.
    files : tuple of str
        Names of measured files that were read.
    """

    kind: str
    result: R
    formula: Formula | None = None
    files: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints: the result's keys, then its grounds."""
        named = self.formula
        return {
            "making": self.kind,
            "formula": None if named is None else {"code": named.code, "name": named.name},
            **self.result.to_dict(),
            "basis": self.result.basis.to_dict(),
            "files": list(self.files),
            "cautions": list(CAUTIONS),
        }
