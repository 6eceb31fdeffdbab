"""A notebook of an earlier layout comes to the present one whole, or stays as it was."""

from __future__ import annotations

import itertools
import os
import random
import shutil
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from tests.notebook.desk import Desk, refused
from tests.notebook.postgres import Server
from tests.notebook.writers import kill, workers
from zincite.errors import NotebookError
from zincite.notebook import migrating
from zincite.notebook.chain import GENESIS, body_text, event_hash
from zincite.notebook.migrating import known_layouts, migrate, schema_version
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify

FIRST, HEAD = known_layouts()[0], known_layouts()[-1]
AT = "2026-02-02T09:00:00.000000+00:00"

Rows = list[tuple[str, dict[str, Any], dict[str, list[dict[str, Any]]]]]

WRITTEN: Rows = [
    ("project", {"id": "project-1", "code": "FLUID", "name": "Crème 氧化锌", "note": ""}, {}),
    (
        "lot",
        {
            "id": "lot-1", "code": "Z-1", "material_key": "zinc-oxide", "supplier": "Invented",
            "received_on": "2026-01-12", "expires_on": "", "note": "a\nb",
        },
        {
            "lot_value": [
                {"position": 0, "quantity": "loss", "value": 0.1, "unit": "%", "text": ""},
                {"position": 1, "quantity": "look", "value": None, "unit": "", "text": "conforms"},
            ]
        },
    ),
    (
        "formula",
        {
            "id": "formula-1", "project_id": "project-1", "code": "K-07", "number": 1,
            "parent_id": None, "name": "Fluid", "reason": "", "toml": "[formula]\n",
        },
        {
            "formula_item": [
                {
                    "position": 0, "phase": "A", "material_key": "zinc-oxide", "percent": 18.0,
                    "core": "zinc-oxide", "coating": "",
                }
            ]
        },
    ),
]  # fmt: skip
"""What a notebook of the first layout holds, written by plain SQL as its own version did."""


def insert(connection: sa.Connection, table: str, row: dict[str, Any]) -> None:
    names = ", ".join(row)
    values = ", ".join(f":{name}" for name in row)
    connection.execute(sa.text(f"INSERT INTO {table} ({names}) VALUES ({values})"), row)


def fill_first_layout(connection: sa.Connection) -> str:
    """Write events and rows; return the hash of the last event."""
    before = GENESIS
    for seq, (noun, row, parts) in enumerate(WRITTEN, start=1):
        whole = {"revision": 1, "withdrawn": "", **row}
        body = body_text({"row": whole, "parts": parts})
        said = (AT, "A. Example", f"{noun} added", noun, row["id"], body)
        made = event_hash(before, seq, *said)
        names = ("at", "who", "kind", "noun", "subject", "body")
        line = {"seq": seq, "prev": before, "hash": made, **dict(zip(names, said, strict=True))}
        insert(connection, "event", line)
        insert(connection, noun, {"event_seq": seq, **whole})
        for part, items in parts.items():
            for item in items:
                insert(connection, part, {f"{noun}_id": row["id"], "event_seq": seq, **item})
        before = made
    return before


def engine_of(where: str) -> sa.Engine:
    if "://" in where:
        return sa.create_engine(where.replace("postgresql:", "postgresql+psycopg:"))
    return sa.create_engine(f"sqlite:///{where}")


Old = Callable[[], tuple[str, str]]


@pytest.fixture(scope="module", params=["sqlite", "postgres"])
def old(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Old:
    """Return what gives a copy of a notebook of the first layout, and its head."""
    folder = tmp_path_factory.mktemp("old")
    server: Server | None = None
    if request.param == "postgres":
        server = request.getfixturevalue("postgres_server")
    where = str(folder / "first.zincite") if server is None else server.create("first")
    with pytest.MonkeyPatch.context() as patch:
        first = migrating.migrate
        patch.setattr("zincite.notebook.store.migrate", lambda e, n: first(e, n, to=FIRST))
        with open_notebook(where, create=True) as notebook, notebook.transaction() as connection:
            head = fill_first_layout(connection)
    numbers = itertools.count(1)

    def copy() -> tuple[str, str]:
        name = f"old{next(numbers)}"
        if server is None:
            return str(shutil.copy(where, folder / name)), head
        return server.create(name, template="first"), head

    return copy


def layout(where: str) -> str:
    engine = engine_of(where)
    try:
        return schema_version(engine, where)
    finally:
        engine.dispose()


def tables(where: str) -> set[str]:
    engine = engine_of(where)
    try:
        return set(sa.inspect(engine).get_table_names())
    finally:
        engine.dispose()


def check_whole(notebook: Notebook, head: str) -> None:
    found = verify(notebook, head=head)
    assert found.faults == ()
    assert (found.events, found.head) == (len(WRITTEN), head)
    with notebook.read() as connection:
        for noun, row, parts in WRITTEN:
            stored = connection.execute(
                sa.text(f"SELECT * FROM {noun} WHERE id = :id"), {"id": row["id"]}
            ).mappings()
            assert row.items() <= dict(stored.one()).items()
            for part, items in parts.items():
                kept = connection.execute(sa.text(f"SELECT * FROM {part} ORDER BY position"))
                for item, found_item in zip(items, kept.mappings(), strict=True):
                    assert item.items() <= dict(found_item).items()


def test_the_layouts_follow_each_other_by_number() -> None:
    assert known_layouts() == [f"{n:04}" for n in range(1, len(known_layouts()) + 1)]


def test_a_notebook_of_the_first_layout_comes_to_the_present_one(old: Old) -> None:
    where, head = old()
    assert layout(where) == FIRST
    assert "search_text" not in tables(where)
    with open_notebook(where) as notebook:
        check_whole(notebook, head)
        with notebook.write("B. Example") as writer:
            writer.change("project", "project-1", {"name": "Fluid"}, revision=1, words="fluid")
        assert verify(notebook, head=head).faults == ()
    assert layout(where) == HEAD


def test_several_who_open_it_at_once_find_the_present_layout(old: Old) -> None:
    where, head = old()

    def look(_: int) -> None:
        with open_notebook(where) as notebook:
            check_whole(notebook, head)

    with ThreadPoolExecutor(6) as pool:
        list(pool.map(look, range(6)))
    assert layout(where) == HEAD


def test_a_migration_that_fails_leaves_the_old_layout(
    old: Old, monkeypatch: pytest.MonkeyPatch
) -> None:
    where, head = old()
    last = migrating._scripts().get_revision(HEAD).module
    complete = last.upgrade

    def upgrade() -> None:
        complete()
        from alembic import op

        op.execute("INSERT INTO no_such_table VALUES (1)")

    monkeypatch.setattr(last, "upgrade", upgrade)
    with pytest.raises(NotebookError, match="no_such_table"):
        open_notebook(where)
    assert layout(where) == FIRST
    assert "search_text" not in tables(where)
    monkeypatch.undo()
    with open_notebook(where) as notebook:
        check_whole(notebook, head)


def test_a_migration_that_is_killed_is_all_or_nothing(old: Old) -> None:
    chance, seen = random.Random(3), set()
    with workers() as hands:
        for number in range(12):
            where, head = old()
            pids = hands.order(where, {"open_it": 2}, round=number)
            time.sleep(chance.uniform(0.0, 0.1))
            kill(pids, chance)
            told = hands.told()
            seen.add(layout(where))
            assert layout(where) == HEAD or not told
            with open_notebook(where) as notebook:
                check_whole(notebook, head)
    assert seen <= {FIRST, HEAD}


def test_what_cannot_be_written_is_not_migrated(old: Old, monkeypatch: pytest.MonkeyPatch) -> None:
    where, _ = old()
    if "://" in where:
        engine = engine_of(where)
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            name = where.rpartition("/")[2]
            connection.execute(
                sa.text(f'ALTER DATABASE "{name}" SET default_transaction_read_only = on')
            )
        engine.dispose()
    else:
        monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(NotebookError, match=f"has layout '{FIRST}' and cannot be written, .*open"):
        open_notebook(where)
    assert layout(where) == FIRST


def test_a_later_layout_is_refused_and_left_alone(old: Old, tmp_path: Path) -> None:
    where, _ = old()
    engine = engine_of(where)
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    words = f"has layout '9999', expected at most '{HEAD}': it was written by a later version"
    for command in (("notebook", "verify"), ("notebook", "project", "X", "--name", "x")):
        refused(Desk(where, tmp_path, "A").run(*command), words)
    with engine.connect() as connection:
        found = connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()
        assert found == "9999"
        assert connection.execute(sa.text("SELECT count(*) FROM event")).scalar() == len(WRITTEN)
    engine.dispose()


def test_tables_of_something_else_are_left_alone(where: str) -> None:
    engine = engine_of(where)
    with engine.begin() as connection:
        connection.execute(sa.text("CREATE TABLE theirs (x INTEGER)"))
    with pytest.raises(NotebookError, match=r"of another program|holds tables of something else"):
        open_notebook(where, create=True)
    assert tables(where) == {"theirs"}
    engine.dispose()


def test_the_present_layout_is_run_once(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    ran: list[object] = []
    monkeypatch.setattr(migrating, "_run", lambda *given: ran.append(given))
    migrate(notebook.engine, notebook.name)
    assert ran == []
