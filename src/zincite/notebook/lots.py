"""Lots of materials, with what their certificates say and when they expire."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import InputError, NotebookError
from zincite.notebook.locating import locate
from zincite.notebook.materials import known_material
from zincite.notebook.records import (
    Record,
    checked_code,
    columns_of,
    day,
    finite,
    join_words,
    needed,
    parts_of,
)
from zincite.notebook.schema import lot as table
from zincite.notebook.writer import Writer

__all__ = ["CertificateValue", "LotRecord", "add_lot", "get_lot", "list_lots"]


@dataclass(frozen=True, slots=True)
class CertificateValue:
    """One line of a certificate.

    Attributes
    ----------
    quantity : str
        Such as "loss on drying".
    value : float or None
        None where the certificate says a word.
    unit, text : str
        `text` is the word, such as "conforms".
    """

    quantity: str
    value: float | None = None
    unit: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class LotRecord(Record):
    """A lot.

    Attributes
    ----------
    code, material_key, supplier : str
    received_on, expires_on : str
        Dates, "" where not known.
    note : str
    values : tuple of CertificateValue
    """

    code: str
    material_key: str
    supplier: str
    received_on: str
    expires_on: str
    note: str
    values: tuple[CertificateValue, ...]

    def expired_on(self, date: str) -> bool:
        """Whether it had expired on a date; its last day is a good one."""
        return bool(self.expires_on and date and self.expires_on < date)


def add_lot(
    writer: Writer,
    code: str,
    material: str,
    *,
    supplier: str = "",
    received_on: str = "",
    expires_on: str = "",
    note: str = "",
    values: Sequence[CertificateValue] = (),
) -> str:
    """Add a lot and return its id.

    Parameters
    ----------
    writer : Writer
    code : str
        As it stands on the label; of its own in the notebook.
    material : str
        Key of a card in the notebook or the library.
    supplier, received_on, expires_on, note : str
        Dates such as 2027-01-31, "" where not known.
    values : sequence of CertificateValue

    Raises
    ------
    NotebookError
        If the code is taken or the material unknown.
    InputError
        If a date or value is none.
    """
    code = checked_code(code, "lot")
    there = writer.connection.execute(sa.select(table.c.material_key).where(table.c.code == code))
    taken = there.scalar()
    if taken is not None:
        raise NotebookError(f"lot {code} is there already (of {taken}), expected a new code")
    row = {
        "code": code,
        "material_key": known_material(writer.connection, material, f"lot {code}"),
        "supplier": supplier.strip(),
        "received_on": day(received_on, f"lot {code}: received", may_be_empty=True),
        "expires_on": day(expires_on, f"lot {code}: expires", may_be_empty=True),
        "note": note.strip(),
    }
    checked = [_checked(value, code) for value in values]
    said = [text for value in checked for text in (value.quantity, value.text)]
    words = join_words(code, material, row["supplier"], row["note"], *said)
    parts = {"lot_value": [asdict(value) for value in checked]}
    return writer.add("lot", row, parts, words=words)


def _checked(value: CertificateValue, lot: str) -> CertificateValue:
    quantity = needed(value.quantity, f"lot {lot}: a quantity", "what the certificate names")
    number = finite(value.value, f"lot {lot}: {quantity}")
    if number is None and not value.text.strip():
        raise InputError(f"lot {lot}: {quantity} has no value, expected a number or a word")
    return CertificateValue(quantity, number, value.unit.strip(), value.text.strip())


def get_lot(connection: Connection, code_or_id: str) -> LotRecord:
    """Return a lot.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "lot", code_or_id)
    rows = connection.execute(table.select().where(table.c.id == id)).mappings().all()
    return _records(connection, rows)[0]


def list_lots(
    connection: Connection, material: str = "", *, expired_on: str = ""
) -> tuple[LotRecord, ...]:
    """Return lots by material and code, withdrawn ones too.

    Parameters
    ----------
    connection : Connection
    material : str
        Key; of all materials when left out.
    expired_on : str
        Only those that had expired on this date.
    """
    question = table.select().order_by(table.c.material_key, table.c.code)
    if material:
        question = question.where(table.c.material_key == material)
    if expired_on:
        date = day(expired_on, "the date")
        question = question.where(table.c.expires_on != "", table.c.expires_on < date)
    return _records(connection, connection.execute(question).mappings().all())


def _records(connection: Connection, rows: Iterable[RowMapping]) -> tuple[LotRecord, ...]:
    listed = list(rows)
    parts = parts_of(connection, "lot", "lot_value", [str(row["id"]) for row in listed])
    return tuple(
        LotRecord(
            **columns_of(
                LotRecord,
                row,
                values=tuple(
                    CertificateValue(**columns_of(CertificateValue, part))
                    for part in parts[row["id"]]
                ),
            )
        )
        for row in listed
    )
