"""What a sheet's XML says beside its cells: merged ranges, hidden rows and columns."""

from __future__ import annotations

import io
import re
import zipfile
from dataclasses import dataclass, field

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.workbench.sheets.cells import Range

__all__ = ["Marks", "parse_range", "read_marks"]

_MAX_MERGES = 20_000
_MAX_COLUMN = 16_384
_REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?(\d{1,7})(?::\$?([A-Z]{1,3})\$?(\d{1,7}))?")


@dataclass(slots=True)
class Marks:
    """Merged ranges, hidden rows and spans of hidden columns of a sheet."""

    merged: list[Range] = field(default_factory=list)
    hidden: set[int] = field(default_factory=set)
    spans: list[tuple[int, int]] = field(default_factory=list)

    @property
    def hidden_rows(self) -> frozenset[int]:
        """Numbers of the hidden rows."""
        return frozenset(self.hidden)

    def hidden_columns(self) -> set[int]:
        """Return the numbers of the hidden columns."""
        return {
            column
            for first, last in self.spans
            for column in range(first, min(last, _MAX_COLUMN) + 1)
        }


def column_number(letters: str) -> int:
    """Return the number from 1 of a column's letters.

    Examples
    --------
    >>> column_number("AB")
    28
    """
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def parse_range(text: str) -> Range | None:
    """Return a reference such as "B4:D9" as a range, None where it is none."""
    found = _REFERENCE.fullmatch(text)
    if found is None:
        return None
    left, top = column_number(found[1]), int(found[2])
    right = column_number(found[3]) if found[3] else left
    bottom = int(found[4]) if found[4] else top
    return Range(min(top, bottom), min(left, right), max(top, bottom), max(left, right))


def read_marks(name: str, title: str, content: bytes, part: str) -> Marks:
    """Return the marks of one sheet.

    Parameters
    ----------
    name, title : str
        File and sheet, for messages.
    content : bytes
        The workbook, judged already.
    part : str
        The sheet's part in it.

    Raises
    ------
    InputError
        If the rows do not rise or more is merged than any table needs.
    """
    import defusedxml.ElementTree as Xml

    marks = Marks()
    last = 0
    with zipfile.ZipFile(io.BytesIO(content)) as archive, archive.open(part) as stream:
        for _, entry in Xml.iterparse(stream, events=("end",)):
            tag = entry.tag.rsplit("}", 1)[-1]
            if tag == "row":
                number = int(entry.get("r", last + 1))
                if number <= last:
                    refuse(
                        name,
                        f"sheet {shown(title)} holds row {number} after row {last}, "
                        "expected rows in order",
                    )
                last = number
                if entry.get("hidden") in ("1", "true"):
                    marks.hidden.add(number)
                entry.clear()
            elif tag == "col" and entry.get("hidden") in ("1", "true"):
                marks.spans.append((int(entry.get("min", 1)), int(entry.get("max", 1))))
            elif tag == "mergeCell":
                area = parse_range(entry.get("ref", ""))
                if area is not None:
                    marks.merged.append(area)
                if len(marks.merged) > _MAX_MERGES:
                    refuse(
                        name,
                        f"sheet {shown(title)} merges more than {_MAX_MERGES} ranges, "
                        "expected a table",
                    )
    return marks
