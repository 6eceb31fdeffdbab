"""The laboratory's own material cards, in versions; the library's cards need no entry."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection, RowMapping

from zincite.errors import NotebookError
from zincite.formula.card_reading import read_materials
from zincite.formula.documents import parse_document
from zincite.formula.library import library, suggest
from zincite.formula.material import Material
from zincite.formula.writing import card_text
from zincite.notebook.locating import locate
from zincite.notebook.records import Record, checked_code, columns_of, join_words, needed
from zincite.notebook.schema import material as table
from zincite.notebook.writer import Writer

__all__ = [
    "MaterialRecord",
    "add_material",
    "card_of",
    "get_material",
    "keep_material",
    "known_material",
    "list_materials",
    "open_material",
]


@dataclass(frozen=True, slots=True)
class MaterialRecord(Record):
    """A version of a card.

    Attributes
    ----------
    key : str
        Id of the card, as formulas name it.
    number : int
        Counted from 1.
    inci, toml, reason : str
        `reason` says why it took the place of the version before.
    """

    key: str
    number: int
    inci: str
    toml: str
    reason: str

    @property
    def called(self) -> str:
        """Key and version, such as "zinc-oxide-70@2"."""
        return f"{self.key}@{self.number}"


def add_material(writer: Writer, card: Material, reason: str = "") -> str:
    """Add a version of a card and return its id.

    Parameters
    ----------
    writer : Writer
    card : Material
    reason : str
        What changed; needed from version 2 on.

    Raises
    ------
    NotebookError
        If the latest version is the same.
    InputError
        If the reason is missing.
    """
    key = checked_code(card.id, "material")
    text = card_text(card)
    before = list_materials(writer.connection, key)
    if before:
        last = before[-1]
        if last.toml == text and not last.withdrawn:
            raise NotebookError(f"the card is the same as {last.called}, expected a change")
        reason = needed(reason, "the reason", f"what changed since {last.called}")
    row = {
        "key": key,
        "number": len(before) + 1,
        "inci": card.inci,
        "toml": text,
        "reason": reason,
    }
    words = join_words(key, card.inci, reason, card.notes, *card.functions, *_coatings(card))
    return writer.add("material", row, words=words)


def keep_material(writer: Writer, card: Material, reason: str) -> tuple[str, bool]:
    """Add a card unless its latest version that stands is the same.

    Returns
    -------
    str
        Id of the version.
    bool
        Whether it was added now.
    """
    text = card_text(card)
    versions = [m for m in list_materials(writer.connection, card.id) if not m.withdrawn]
    if versions and versions[-1].toml == text:
        return versions[-1].id, False
    return add_material(writer, card, reason), True


def get_material(connection: Connection, code_or_id: str) -> MaterialRecord:
    """Return a version of a card: "KEY@2", or by the key alone the latest that stands.

    Raises
    ------
    NotebookError
        If there is none.
    """
    id = locate(connection, "material", code_or_id)
    return _record(connection.execute(table.select().where(table.c.id == id)).mappings().one())


def open_material(connection: Connection, code_or_id: str) -> Material:
    """Return a card of the notebook.

    Raises
    ------
    NotebookError
        If there is none.
    """
    return card_of(get_material(connection, code_or_id))


def card_of(record: MaterialRecord) -> Material:
    """Return the card that a record holds."""
    (card,) = read_materials(parse_document(record.toml, f"material {record.called}"))
    return card


def known_material(connection: Connection, key: str, where: str) -> str:
    """Return a key that the notebook or the library knows.

    Parameters
    ----------
    connection : Connection
    key, where : str
        `where` begins the message.

    Raises
    ------
    NotebookError
        If neither does.
    """
    if key in library() or connection.execute(_standing_key(key)).first() is not None:
        return key
    close = suggest(key)
    raise NotebookError(
        f"{where}: no material is called {key[:60]!r}, expected the id of a card in the notebook "
        f"or the library{f', such as {close[0]}' if close else ''}"
    )


def list_materials(
    connection: Connection, key: str = "", *, latest: bool = False
) -> tuple[MaterialRecord, ...]:
    """Return versions by key and number, withdrawn ones too.

    Parameters
    ----------
    connection : Connection
    key : str
        Of one card, of all when left out.
    latest : bool
        Whether only the latest version of each key.
    """
    question = table.select().order_by(table.c.key, table.c.number)
    if key:
        question = question.where(table.c.key == key)
    found = [_record(row) for row in connection.execute(question).mappings()]
    if latest:
        found = list({record.key: record for record in found}.values())
    return tuple(found)


def _standing_key(key: str) -> sa.Select[tuple[str]]:
    return sa.select(table.c.id).where(table.c.key == key, table.c.withdrawn == "").limit(1)


def _coatings(card: Material) -> tuple[str, ...]:
    return () if card.grade is None else tuple(layer.inci for layer in card.grade.coatings)


def _record(row: RowMapping) -> MaterialRecord:
    return MaterialRecord(**columns_of(MaterialRecord, row))
