"""What terminal and page show of a result: decision, numbers, then detail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from zincite.interfaces.documents.numbers import NOT_KNOWN, number_text, with_unit

__all__ = ["Number", "Picture", "Sheet", "SheetTable", "interval", "joined", "value"]


@dataclass(frozen=True, slots=True)
class Number:
    """One line of results.

    Attributes
    ----------
    name, shown : str
        What it is and its value as printed.
    beside : str
        Interval, limit or what it rests on.
    """

    name: str
    shown: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of detail.

    Attributes
    ----------
    heading, about : str
        The about stands small beside the heading.
    columns : tuple of (str, str)
        Heading with unit, and "left" or "right".
    rows : tuple of tuple of str
    widths : tuple of int
        Of a terminal's columns; empty lets each take what it needs.
    """

    heading: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    about: str = ""
    widths: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """A result as shown.

    Attributes
    ----------
    title, method : str
        What was evaluated; standard and edition or the method.
    verdict : str
        "passes", "short", "fails" or "unknown": which mark stands before the headline.
    headline, sentence : str
        The decision in few words, and in one sentence.
    reasons : tuple of str
        What stands against it.
    numbers : tuple of Number
    tables : tuple of SheetTable
    notes : tuple of str
    """

    title: str
    method: str
    verdict: str
    headline: str
    sentence: str
    reasons: tuple[str, ...] = ()
    numbers: tuple[Number, ...] = ()
    tables: tuple[SheetTable, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure with its title and caption; `svg` is markup."""

    title: str
    svg: str
    caption: str


def value(found: float | None, unit: str = "", *, decimals: int | None = None) -> str:
    """Return a number with its unit, in words where there is none."""
    if found is None:
        return NOT_KNOWN
    return with_unit(number_text(found, decimals=decimals), unit)


def interval(
    low: float | None, high: float | None, *, percent: int = 95, decimals: int | None = None
) -> str:
    """Return "95 %: 20 to 30", "" where there is no interval."""
    if low is None or high is None:
        return ""
    ends = " to ".join(number_text(end, decimals=decimals) for end in (low, high))
    return f"{percent} %: {ends}"


def joined(parts: Sequence[str], sign: str = "; ") -> str:
    """Return the parts that say something in one line."""
    return sign.join(part for part in parts if part)
