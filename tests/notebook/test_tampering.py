"""Whoever changes a notebook past its writer is found, and where."""

from __future__ import annotations

import itertools
import json
import random
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from argon2 import PasswordHasher
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.notebook import team
from tests.notebook.filling import fill
from tests.notebook.postgres import Server
from tests.notebook.tampering import CHAINED, changed, copied, past_the_guards, rows
from zincite.errors import InputError
from zincite.notebook import passwords
from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.schema import blob, event, metadata, project
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import Fault, head_digits, verify

NOT_CHAINED = {"session", "login_attempt"}
"""Sessions and failed logins come and go; what they allow is written into the chain."""

MEANINGLESS = {("postgresql", "search_text", "id")}
"""A key of its own that nothing refers to; in SQLite the index of the search does."""

Made = Callable[[], Notebook]


@pytest.fixture(scope="module", params=["sqlite", "postgres"])
def fresh(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Made]:
    """Return what gives a copy of one full notebook, something in every table."""
    folder = tmp_path_factory.mktemp("tampered")
    numbers = itertools.count(1)
    server: Server | None = None
    if request.param == "postgres":
        server = request.getfixturevalue("postgres_server")
    source = str(folder / "full.zincite") if server is None else server.create("full")
    with pytest.MonkeyPatch.context() as patch:
        quick = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
        patch.setattr(passwords, "_HASHER", quick)
        with open_notebook(source, create=True) as full:
            fill(full, each=4)
            team.made(full)
            assert verify(full).faults == ()
    opened: list[Notebook] = []

    def copy() -> Notebook:
        name = f"tampered{next(numbers)}"
        if server is None:
            where = str(shutil.copy(source, folder / name))
        else:
            where = server.create(name, template="full")
        opened.append(open_notebook(where))
        return opened[-1]

    yield copy
    for notebook in opened:
        notebook.close()


@pytest.fixture(scope="module")
def shared(fresh: Made) -> Notebook:
    """Return one copy for tests that put back what they changed."""
    return fresh()


def one_of(found: list[dict[str, Any]], *key: str) -> dict[str, Any]:
    return random.Random("-".join(key)).choice(found)


def located(notebook: Notebook, table: sa.Table, row: dict[str, Any]) -> list[Fault]:
    """Verify; return the faults that speak of a row, or of the event that wrote it."""
    found = verify(notebook).faults
    keys = [str(row[c.name]) for c in table.primary_key.columns]
    if table.name == "search_text":
        keys = [row["subject"]]
    seq = row["seq"] if table is event else row.get("event_seq")
    return [
        fault
        for fault in found
        if fault.seq in ({seq, seq + 1} if table is event else {seq})
        or any(key[:12] in fault.sentence for key in keys)
    ]


def test_every_table_is_held_by_the_chain_or_named_here() -> None:
    assert set(metadata.tables) == set(CHAINED) | NOT_CHAINED


@pytest.mark.parametrize("name", CHAINED)
def test_a_changed_value_is_found_in_every_column(shared: Notebook, name: str) -> None:
    table, notebook = CHAINED[name], shared
    for column in table.c:
        if (notebook.engine.dialect.name, name, column.name) in MEANINGLESS:
            continue
        with past_the_guards(notebook) as connection:
            row = one_of(rows(connection, table), name, column.name)
            key = sa.and_(*(c == row[c.name] for c in table.primary_key.columns))
            new = changed(column, row[column.name])
            assert connection.execute(table.update().where(key).values({column: new})).rowcount == 1
        assert located(notebook, table, row), column
        with past_the_guards(notebook) as connection:
            other = row | {column.name: new}
            key = sa.and_(*(c == other[c.name] for c in table.primary_key.columns))
            connection.execute(table.update().where(key).values({column: row[column.name]}))
    assert verify(notebook).faults == ()


@pytest.mark.parametrize("name", [name for name in CHAINED if name != "credential"])
def test_every_deleted_row_is_found(shared: Notebook, name: str) -> None:
    table, notebook = CHAINED[name], shared
    with past_the_guards(notebook) as connection:
        row = one_of(rows(connection, table), name)
        key = sa.and_(*(c == row[c.name] for c in table.primary_key.columns))
        assert connection.execute(table.delete().where(key)).rowcount == 1
    assert located(notebook, table, row)
    with past_the_guards(notebook) as connection:
        connection.execute(table.insert().values(row))
    assert verify(notebook).faults == ()


@pytest.mark.parametrize("name", CHAINED)
def test_every_inserted_row_is_found(shared: Notebook, name: str) -> None:
    table, notebook = CHAINED[name], shared
    with past_the_guards(notebook) as connection:
        row = copied(table, one_of(rows(connection, table), name))
        connection.execute(table.insert().values(row))
    assert located(notebook, table, row)
    with past_the_guards(notebook) as connection:
        key = sa.and_(*(c == row[c.name] for c in table.primary_key.columns))
        connection.execute(table.delete().where(key))
    assert verify(notebook).faults == ()


def test_a_planted_file_is_found_though_its_hash_is_right(fresh: Made) -> None:
    notebook = fresh()
    digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"  # FIPS 180-4, "abc"
    with past_the_guards(notebook) as connection:
        connection.execute(blob.insert().values(sha256=digest, size=3, data=b"abc"))
    (fault,) = verify(notebook).faults
    assert fault.sentence == "kept file ba7816bf8f01: is named by no event"


def test_a_file_that_only_an_earlier_revision_named_is_missed(fresh: Made) -> None:
    notebook = fresh()
    with open_notebook_of(notebook) as personal:
        with personal.write("A") as writer:
            row = {"noun": "project", "subject": "p", "name": "a", "media_type": "text/csv"}
            old = writer.blob(b"first")
            subject = writer.add("attachment", {**row, "sha256": old})
            new = writer.blob(b"second")
            writer.change("attachment", subject, {"sha256": new}, revision=1)
        assert verify(personal).holds
        with past_the_guards(personal) as connection:
            connection.execute(blob.delete().where(blob.c.sha256 == old))
        (fault,) = verify(personal).faults
    assert fault.where == f"attachment {subject}"
    assert fault.found == f"its kept file {old[:12]} is gone"


def open_notebook_of(notebook: Notebook) -> Notebook:
    """Open a notebook without the accounts' login: their rows are taken out with their events."""
    with past_the_guards(notebook) as connection:
        for name in ("session", "credential", "account"):
            connection.execute(metadata.tables[name].delete())
        first = sa.select(sa.func.min(event.c.seq)).where(event.c.noun == "account")
        connection.execute(event.delete().where(event.c.seq >= first.scalar_subquery()))
    return notebook


def test_the_first_bad_event_is_named_first(fresh: Made) -> None:
    notebook = fresh()
    with past_the_guards(notebook) as connection:
        for seq in (40, 7, 23):
            connection.execute(event.update().where(event.c.seq == seq).values(who="M. Other"))
    found = verify(notebook)
    assert [fault.seq for fault in found.faults] == [7, 23, 40]
    assert found.faults[0].found == "was changed after it was written"


def test_a_hole_is_named_by_its_numbers(fresh: Made) -> None:
    notebook = fresh()
    with past_the_guards(notebook) as connection:
        connection.execute(event.delete().where(event.c.seq.between(10, 12)))
    found = verify(notebook).faults
    assert found[0].sentence == "event 10, the chain: events 10 to 12 are missing"


def test_swapped_events_are_found(fresh: Made) -> None:
    notebook = fresh()
    with past_the_guards(notebook) as connection:
        for old, new in ((10, -1), (11, 10), (-1, 11)):
            connection.execute(event.update().where(event.c.seq == old).values(seq=new))
    assert [fault.seq for fault in verify(notebook).faults][:2] == [10, 11]


def rechain(notebook: Notebook, start: int) -> None:
    """Write all hashes from an event on anew, as a forger does who knows how."""
    with past_the_guards(notebook) as connection:
        before = GENESIS
        for row in rows(connection, event):
            if row["seq"] >= start:
                rest = [row[k] for k in ("seq", "at", "who", "kind", "noun", "subject", "body")]
                made = event_hash(before, *rest)
                here = event.c.seq == row["seq"]
                # prev is unique: the old one of the next event may be this new one only once
                connection.execute(event.update().where(here).values(prev=before, hash=made))
                before = made
            else:
                before = row["hash"]


def test_a_forged_and_rechained_tail_is_found_by_a_printed_head(fresh: Made) -> None:
    notebook = fresh()
    count, printed = notebook.head()
    with past_the_guards(notebook) as connection:
        row = next(
            r for r in rows(connection, project) if not r["withdrawn"] and r["revision"] == 1
        )
        seq = row["event_seq"]
        said = json.loads(
            connection.execute(sa.select(event.c.body).where(event.c.seq == seq)).scalar_one()
        )
        said["row"]["note"] = "forged"
        body = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        connection.execute(event.update().where(event.c.seq == seq).values(body=body))
        connection.execute(project.update().where(project.c.id == row["id"]).values(note="forged"))
    assert verify(notebook).faults[0].seq == seq
    rechain(notebook, seq)
    assert verify(notebook).holds  # as good as true, without a document
    (fault,) = verify(notebook, head=printed[:16]).faults
    assert fault.where == f"head hash {printed[:16]}"
    assert f"is not in the chain of {count} events" in fault.found


def test_a_cut_tail_is_found_by_a_printed_head(fresh: Made) -> None:
    notebook = fresh()
    count, printed = notebook.head()
    open_notebook_of(notebook)  # the last events are gone with their rows
    left = verify(notebook)
    assert left.holds
    assert left.events < count
    (fault,) = verify(notebook, head=printed).faults
    assert "its end was cut off" in fault.found


def test_an_earlier_head_is_still_in_the_chain(fresh: Made) -> None:
    notebook = fresh()
    with notebook.read() as connection:
        printed = connection.execute(sa.select(event.c.hash).where(event.c.seq == 20)).scalar_one()
    text = f"notebook head {printed[:16].upper()} (event 20)"
    assert verify(notebook, head=text).holds
    other = "0" if printed[0] != "0" else "1"
    assert not verify(notebook, head=other + printed[1:16]).holds


@pytest.mark.parametrize("text", ["xyz", "1234567", "g" * 16, "a" * 65, "%" * 8, "________"])
def test_a_head_that_is_no_hash_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="expected 8 to 64 of the digits"):
        head_digits(text)


def test_so_many_faults_are_not_all_told(fresh: Made) -> None:
    notebook = fresh()
    with past_the_guards(notebook) as connection:
        connection.execute(event.update().values(who="M. Other"))
    found = verify(notebook, at_most=5)
    assert [fault.seq for fault in found.faults] == [1, 2, 3, 4, 5]
    assert not found.complete


@pytest.fixture(scope="module")
def full_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("values")
    with open_notebook(folder / "full.zincite", create=True) as notebook:
        fill(notebook, each=2)
    return folder / "full.zincite"


@settings(max_examples=60)
@given(
    data=st.data(),
    name=st.sampled_from([n for n in CHAINED if n not in ("credential", "account", "blob")]),
    value=st.one_of(
        st.none(),
        st.integers(-(2**63), 2**63 - 1),
        st.floats(allow_nan=False),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
        st.binary(max_size=20),
    ),
)
def test_whatever_somebody_writes_into_a_file_is_found(
    full_file: Path, data: st.DataObject, name: str, value: object
) -> None:
    table = CHAINED[name]
    column = data.draw(st.sampled_from(list(table.c)))
    path = full_file.with_name("changed.zincite")
    shutil.copy(full_file, path)
    with open_notebook(path) as notebook:
        with past_the_guards(notebook) as connection:
            read = f"SELECT rowid, typeof({column.name}), {column.name} FROM {table.name}"
            before = data.draw(st.sampled_from(connection.exec_driver_sql(read).all()))
            try:
                connection.exec_driver_sql(
                    f"UPDATE {table.name} SET {column.name} = ? WHERE rowid = ?",
                    (value, before[0]),
                )
            except sa.exc.IntegrityError:  # the database itself refuses it
                connection.rollback()
                return
            after = connection.exec_driver_sql(f"{read} WHERE rowid = {before[0]}").first()
        same = after is not None and tuple(after) == tuple(before)
        assert verify(notebook).holds == same
