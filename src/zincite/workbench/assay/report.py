"""What an evaluated test hands to every interface: result, readings, what was read, prediction."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from zincite.errors import InputError, MissingDataError
from zincite.workbench.assay.overlay import Overlay

__all__ = ["CAUTIONS", "AssayReport", "FileRead", "Lines", "Result", "in_file"]

CAUTIONS = (
    "A result evaluated here supports a decision at the bench. A label claim needs the method of "
    "the market, done and reported by a qualified laboratory.",
    "Equations and limits marked as from memory were not read in the standard: hold them against "
    "your copy before you rely on them.",
)


class Result(Protocol):
    """What every evaluation has."""

    @property
    def method(self) -> str:
        """Standard and edition."""

    @property
    def valid(self) -> bool:
        """Whether the test meets what could be checked."""

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why it is not valid."""

    @property
    def marks(self) -> tuple[str, ...]:
        """What is from memory or assumed."""

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""


R = TypeVar("R", bound=Result, covariant=True)
D = TypeVar("D", covariant=True)


@dataclass(frozen=True, slots=True)
class FileRead:
    """A file that was read.

    Attributes
    ----------
    role : str
        What it holds, such as "before irradiation".
    name : str
        File name.
    understood : tuple of str
        What the reader understood, in sentences.
    """

    role: str
    name: str
    understood: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines to paste into another file.

    Attributes
    ----------
    purpose : str
        Where they go.
    toml : tuple of str
        The lines.
    """

    purpose: str
    toml: tuple[str, ...]

    def to_dict(self) -> dict[str, str]:
        """Return what `--json` prints."""
        return {"purpose": self.purpose, "toml": "\n".join(self.toml) + "\n"}


@dataclass(frozen=True, slots=True)
class AssayReport(Generic[R, D]):
    """An evaluated test.

    Attributes
    ----------
    kind : str
        Name of the command, such as "uva".
    result : R
        What the evaluation found.
    readings : D
        What was measured, for the picture.
    files : tuple of FileRead
    overlay : Overlay or None
        What the formula's prediction said, None without a formula.
    lines : tuple of Lines
        To paste into a results file or a card.
    missed : tuple of str
        Limits the user gave that the product misses.
    notes : tuple of str
        What was done to the readings beyond the evaluation's own notes.
    """

    kind: str
    result: R
    readings: D
    files: tuple[FileRead, ...]
    overlay: Overlay | None = None
    lines: tuple[Lines, ...] = ()
    missed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """Whether the test is valid and no limit that the user gave is missed."""
        return self.result.valid and not self.missed

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints: the result's keys, then prediction, files and lines."""
        return {
            "assay": self.kind,
            **self.result.to_dict(),
            "missed": list(self.missed),
            "reading_notes": list(self.notes),
            "prediction": None if self.overlay is None else self.overlay.to_dict(),
            "lines": [lines.to_dict() for lines in self.lines],
            "files": [
                {"role": f.role, "file": f.name, "understood": list(f.understood)}
                for f in self.files
            ],
            "cautions": list(CAUTIONS),
        }


@contextmanager
def in_file(names: Sequence[str] | str) -> Iterator[None]:
    """Name the file in the message of an evaluation, which knows only its numbers.

    Raises
    ------
    InputError
        With the file's name before the evaluation's sentence.
    """
    name = names if isinstance(names, str) else " and ".join(dict.fromkeys(names))
    try:
        yield
    except (InputError, MissingDataError) as error:
        raise InputError(f"{name}: {error}") from error
