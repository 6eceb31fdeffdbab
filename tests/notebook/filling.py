"""Something in every table of a notebook, from the schema itself: a new table is filled too."""

from __future__ import annotations

import random
from typing import Any

import sqlalchemy as sa

from zincite.notebook.schema import NOUNS, blob, event, search_text
from zincite.notebook.store import Notebook
from zincite.notebook.writer import Writer

__all__ = ["ODD_TEXTS", "contents", "fill"]

ODD_TEXTS = (
    "plain",
    "=1+1",
    "+SUM(A1)",
    "-2",
    "@x",
    "\ttab",
    "\rreturn",
    "'quoted",
    "'=quoted",
    'say "so"',
    "a,b;c\nd",
    "Crème à 12,5 % — 氧化锌 🧴",
    "ﬀ ﷽ é",
    "\x01\x1f\x7f\x85\u2028",
    "",
    " ",
    "x" * 40_000,
)
"""Texts that break what is careless: formulas, quotes, breaks, controls, other scripts, long."""


def _value(column: sa.Column[Any], number: int, chance: random.Random) -> object:
    if isinstance(column.type, sa.Float):
        return chance.choice([None, 0.1 + number, -1e-300, 1e300, 18.0, 1 / 3])
    if isinstance(column.type, sa.Integer):
        return number
    text = f"{column.name}-{number} {chance.choice(ODD_TEXTS)}"
    if isinstance(column.type, sa.Text):
        return chance.choice(ODD_TEXTS)
    length = column.type.length  # type: ignore[attr-defined]
    return text[: length or None]


def _row(
    table: sa.Table,
    number: int,
    made: dict[str, list[str]],
    files: list[str],
    chance: random.Random,
) -> dict[str, object]:
    row: dict[str, object] = {}
    for column in table.c:
        if column.name in ("id", "event_seq", "revision", "withdrawn", "position"):
            continue
        if any(key.column.table is blob for key in column.foreign_keys):
            row[column.name] = chance.choice(files)
        elif column.foreign_keys:
            noun = next(iter(column.foreign_keys)).column.table.name
            ids = made.get(noun, [])
            row[column.name] = (
                None if column.nullable and (not ids or number % 2) else chance.choice(ids)
            )
        else:
            row[column.name] = _value(column, number, chance)
    if table.name in ("decision", "attachment", "comment", "signature"):
        noun = chance.choice([n for n in made if made[n]])
        row |= {"noun": noun, "subject": chance.choice(made[noun])}
    return row


def _files(writer: Writer, chance: random.Random) -> list[str]:
    return [writer.blob(data) for data in (b"", b"\x00" * 3_000_000, chance.randbytes(70_000))]


def fill(notebook: Notebook, *, each: int = 12, seed: int = 1) -> None:
    """Add some of every noun, then change and withdraw some, in several transactions."""
    chance = random.Random(seed)
    made: dict[str, list[str]] = {}
    for name, noun in NOUNS.items():
        if name == "account":
            continue
        with notebook.write("A. Example") as writer:
            files = _files(writer, chance) if "sha256" in noun.table.c else []
            for number in range(max(each, len(files))):
                part_rows = {}
                for part in noun.parts:
                    rows = [_row(part, n, made, [], chance) for n in range(number % 4)]
                    part_rows[part.name] = [
                        {k: v for k, v in row.items() if k != f"{name}_id"} for row in rows
                    ]
                row = _row(noun.table, number, made, files, chance)
                if files:
                    row["sha256"] = files[number % len(files)]
                words = chance.choice(["", f"{name} {number} Crème"])
                made.setdefault(name, []).append(writer.add(name, row, part_rows, words=words))
        with notebook.write("B. Example") as writer:
            writer.change(name, made[name][0], {}, revision=1, words="other words", reason="why")
            writer.withdraw(name, made[name][1], "wrong", revision=1)


def contents(notebook: Notebook) -> dict[str, list[tuple[Any, ...]]]:
    """Return all rows of all tables that an archive keeps, in an order of their own."""
    tables = [event, blob, *(t for noun in NOUNS.values() for t in (noun.table, *noun.parts))]
    with notebook.read() as connection:
        found = {
            table.name: [
                tuple(bytes(v) if isinstance(v, bytes | memoryview) else v for v in row)
                for row in connection.execute(table.select())
            ]
            for table in tables
        }
        words = connection.execute(
            sa.select(
                search_text.c.noun,
                search_text.c.subject,
                search_text.c.body,
                search_text.c.folded,
            )
        )
        found["search_text"] = [tuple(row) for row in words]
    return {name: sorted(rows, key=repr) for name, rows in found.items()}
