"""Tables of the notebook: the chained events, and the rows that they wrote.

Every noun has a row table and, where it has parts, child tables. A row keeps the number of the
event that wrote it last; the event's body holds the row whole, so that every row can be checked
against the chain and the whole notebook rebuilt from it.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import (
    BigInteger,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

__all__ = [
    "NOUNS",
    "Noun",
    "blob",
    "credential",
    "event",
    "login_attempt",
    "metadata",
    "search_text",
    "session",
]

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_ID, _NAME, _HASH, _DAY = String(40), String(200), String(64), String(32)

event = Table(
    "event",
    metadata,
    Column("seq", BigInteger, primary_key=True, autoincrement=False),
    Column("prev", _HASH, nullable=False, unique=True),
    Column("hash", _HASH, nullable=False, unique=True),
    Column("at", _DAY, nullable=False),
    Column("who", _NAME, nullable=False),
    Column("kind", _ID, nullable=False),
    Column("noun", _ID, nullable=False),
    Column("subject", _ID, nullable=False),
    Column("body", Text, nullable=False),
    Index(None, "noun", "subject"),
)

blob = Table(
    "blob",
    metadata,
    Column("sha256", _HASH, primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("data", LargeBinary, nullable=False),
)


def _noun(name: str, *columns: Column[object] | UniqueConstraint | Index) -> Table:
    return Table(
        name,
        metadata,
        Column("id", _ID, primary_key=True),
        Column("event_seq", BigInteger, ForeignKey("event.seq"), nullable=False, index=True),
        Column("revision", Integer, nullable=False),
        Column("withdrawn", Text, nullable=False),
        *columns,
    )


def _part(name: str, parent: str, *columns: Column[object] | Index) -> Table:
    return Table(
        name,
        metadata,
        Column(f"{parent}_id", _ID, ForeignKey(f"{parent}.id"), primary_key=True, nullable=False),
        Column("position", Integer, primary_key=True),
        Column("event_seq", BigInteger, ForeignKey("event.seq"), nullable=False, index=True),
        *columns,
    )


def _text(name: str) -> Column[object]:
    return Column(name, Text, nullable=False)


def _name(name: str, *, index: bool = False, unique: bool = False) -> Column[object]:
    return Column(name, _NAME, nullable=False, index=index, unique=unique)


def _number(name: str) -> Column[object]:
    return Column(name, Float(53), nullable=True)


def _of(noun: str, *, nullable: bool = False) -> Column[object]:
    return Column(f"{noun}_id", _ID, ForeignKey(f"{noun}.id"), nullable=nullable, index=True)


project = _noun("project", _name("code", unique=True), _name("name"), _text("note"))
brief = _noun(
    "brief",
    _of("project"),
    Column("number", Integer, nullable=False),
    _name("name"),
    _text("toml"),
    _text("reason"),
    UniqueConstraint("project_id", "number"),
)
material = _noun(
    "material",
    _name("key"),
    Column("number", Integer, nullable=False),
    _name("inci", index=True),
    _text("toml"),
    _text("reason"),
    UniqueConstraint("key", "number"),
)
lot = _noun(
    "lot",
    _name("code", unique=True),
    _name("material_key", index=True),
    _name("supplier"),
    Column("received_on", _DAY, nullable=False),
    Column("expires_on", _DAY, nullable=False),
    _text("note"),
)
lot_value = _part(
    "lot_value", "lot", _name("quantity"), _number("value"), _name("unit"), _text("text")
)
formula = _noun(
    "formula",
    _of("project"),
    _name("code"),
    Column("number", Integer, nullable=False),
    Column("parent_id", _ID, ForeignKey("formula.id"), nullable=True),
    _name("name"),
    _text("reason"),
    _text("toml"),
    UniqueConstraint("code", "number"),
)
formula_item = _part(
    "formula_item",
    "formula",
    _name("phase"),
    _name("material_key"),
    _number("percent"),
    _name("core"),
    _name("coating", index=True),
    Index(None, "material_key", "formula_id"),
)
prediction = _noun(
    "prediction",
    _of("formula"),
    Column("number", Integer, nullable=False),
    _name("model"),
    _name("software"),
    Column("made_on", _DAY, nullable=False),
    UniqueConstraint("formula_id", "number"),
)
prediction_value = _part(
    "prediction_value",
    "prediction",
    _name("quantity"),
    _number("median"),
    _number("low"),
    _number("high"),
    _name("unit"),
)
trial = _noun(
    "trial",
    _name("code", unique=True),
    _of("formula"),
    Column("made_on", _DAY, nullable=False, index=True),
    _name("made_by"),
    _number("batch_kg"),
    _text("process"),
    _text("note"),
)
trial_weight = _part(
    "trial_weight",
    "trial",
    _name("phase"),
    _name("material_key"),
    Column("lot_id", _ID, ForeignKey("lot.id"), nullable=True),
    _number("target_g"),
    _number("actual_g"),
    Index(None, "material_key", "trial_id"),
    Index(None, "lot_id", "trial_id"),
)
trial_deviation = _part("trial_deviation", "trial", _text("what"), _text("decision"))
result = _noun(
    "result",
    _of("trial"),
    Column("number", Integer, nullable=False),
    _name("kind"),
    Column("measured_on", _DAY, nullable=False),
    _name("method"),
    _name("software"),
    Column("valid", Integer, nullable=False),
    _name("file_name"),
    Column("sha256", _HASH, ForeignKey("blob.sha256"), nullable=True, index=True),
    _text("evaluation"),
    UniqueConstraint("trial_id", "number"),
)
result_value = _part(
    "result_value",
    "result",
    _name("quantity"),
    _number("value"),
    _number("low"),
    _number("high"),
    _name("unit"),
)
_SUBJECT = (Column("noun", _ID, nullable=False), Column("subject", _ID, nullable=False))


def _about(name: str, *columns: Column[object]) -> Table:
    return _noun(
        name,
        Column("noun", _ID, nullable=False),
        Column("subject", _ID, nullable=False),
        *columns,
        Index(None, "noun", "subject"),
    )


decision = _about("decision", _name("verdict"), _text("reason"))
attachment = _about(
    "attachment",
    _name("name"),
    _name("media_type"),
    Column("sha256", _HASH, ForeignKey("blob.sha256"), nullable=False, index=True),
)
comment = _about("comment", _text("text"))
signature = _about(
    "signature",
    _of("account", nullable=True),
    _name("signed_by"),
    _name("full_name"),
    _text("meaning"),
    Column("of_revision", Integer, nullable=False),
    _name("content_hash"),
)
mapping = _noun("mapping", _name("fingerprint", unique=True), _text("body"))
account = _noun(
    "account",
    _name("name", unique=True),
    _name("full_name"),
    Column("role", _ID, nullable=False),
    Column("active", Integer, nullable=False),
)

search_text = Table(
    "search_text",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("noun", _ID, nullable=False),
    Column("subject", _ID, nullable=False),
    Column("body", Text, nullable=False),
    Column("folded", Text, nullable=False),
    UniqueConstraint("noun", "subject"),
)
"""Words of each subject, as written and folded; each database has an index of its own over the
folded ones (see the migrations). The number is a key of its own, because SQLite's index refers to
it and row numbers that no column holds may change when a file is packed."""

credential = Table(
    "credential",
    metadata,
    Column("account_id", _ID, ForeignKey("account.id"), primary_key=True),
    Column("password_hash", Text, nullable=False),
)
session = Table(
    "session",
    metadata,
    Column("token_hash", _HASH, primary_key=True),
    Column("account_id", _ID, ForeignKey("account.id"), nullable=False, index=True),
    Column("expires_at", _DAY, nullable=False),
)
login_attempt = Table(
    "login_attempt",
    metadata,
    Column("name_hash", _HASH, primary_key=True),
    Column("failures", Integer, nullable=False),
    Column("last_at", _DAY, nullable=False),
)
"""Logins since the last that succeeded; of a name only the hash, as people mistype passwords."""


@dataclass(frozen=True, slots=True)
class Noun:
    """A kind of thing the notebook keeps.

    Attributes
    ----------
    table : Table
    parts : tuple of Table
        Child tables, whose rows are written once with their parent and never change.
    """

    table: Table
    parts: tuple[Table, ...] = ()


NOUNS: dict[str, Noun] = {
    noun.table.name: noun
    for noun in (
        Noun(account),
        Noun(project),
        Noun(brief),
        Noun(material),
        Noun(lot, (lot_value,)),
        Noun(formula, (formula_item,)),
        Noun(prediction, (prediction_value,)),
        Noun(trial, (trial_weight, trial_deviation)),
        Noun(result, (result_value,)),
        Noun(decision),
        Noun(attachment),
        Noun(comment),
        Noun(signature),
        Noun(mapping),
    )
}
"""All nouns by name, in an order in which a notebook can be rebuilt."""
