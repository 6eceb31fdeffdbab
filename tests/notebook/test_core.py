"""Writing, conflicts, withdrawal and the chain, on both databases."""

from __future__ import annotations

import re

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from zincite.errors import ConflictError, InputError, NotebookError
from zincite.notebook.chain import event_hash
from zincite.notebook.schema import event, metadata
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify


def project(notebook: Notebook, code: str = "P") -> str:
    with notebook.write("A. Example") as writer:
        return writer.add("project", {"code": code, "name": "Fluid", "note": ""})


def test_a_new_notebook_is_empty_and_holds(notebook: Notebook) -> None:
    assert notebook.head() == (0, "")
    assert verify(notebook).holds


def test_what_is_written_is_chained(notebook: Notebook) -> None:
    project(notebook, "P1")
    project(notebook, "P2")
    with notebook.read() as connection:
        rows = connection.execute(event.select().order_by(event.c.seq)).all()
    assert [row.seq for row in rows] == [1, 2]
    assert rows[0].prev == "0" * 64
    assert rows[1].prev == rows[0].hash
    assert rows[1].hash == event_hash(*(rows[1][i] for i in (1, 0, 3, 4, 5, 6, 7, 8)))
    found = verify(notebook)
    assert found.holds
    assert (found.events, found.head) == (2, rows[1].hash)


def test_half_of_a_transaction_is_not_kept(notebook: Notebook) -> None:
    with pytest.raises(InputError), notebook.write("A. Example") as writer:  # noqa: PT012
        writer.add("project", {"code": "P", "name": "Fluid", "note": ""})
        writer.add("project", {"code": "Q", "name": "\x00", "note": ""})
    assert notebook.head() == (0, "")


def test_a_stale_change_is_a_conflict_that_names_who(notebook: Notebook) -> None:
    subject = project(notebook)
    with notebook.write("B. Example") as writer:
        writer.change("project", subject, {"name": "Cream"}, revision=1)
    with (
        pytest.raises(ConflictError, match=r"project P was changed by B\. Example at .*revision 2"),
        notebook.write("C. Example") as writer,
    ):
        writer.change("project", subject, {"name": "Gel"}, revision=1)
    with notebook.write("C. Example") as writer:
        assert writer.current("project", subject)["name"] == "Cream"
    assert verify(notebook).holds


def test_withdrawing_needs_a_reason_and_keeps_the_row(notebook: Notebook) -> None:
    subject = project(notebook)
    with pytest.raises(InputError, match="no reason"), notebook.write("A") as writer:
        writer.withdraw("project", subject, " ", revision=1)
    with notebook.write("A") as writer:
        writer.withdraw("project", subject, "wrong brief", revision=1)
    with pytest.raises(InputError, match="withdrawn already"), notebook.write("A") as writer:
        writer.withdraw("project", subject, "again", revision=2)
    with notebook.write("A") as writer:
        assert writer.current("project", subject)["withdrawn"] == "wrong brief"
    assert verify(notebook).holds


@pytest.mark.parametrize("text", ["a\x00b", "\ud800", "x" * 201])
def test_texts_that_a_database_cannot_keep_are_refused(notebook: Notebook, text: str) -> None:
    with pytest.raises(InputError, match="project name h"), notebook.write("A") as writer:
        writer.add("project", {"code": "P", "name": text, "note": ""})


LOT = {
    "code": "L1",
    "material_key": "zinc-oxide",
    "supplier": "",
    "received_on": "",
    "expires_on": "",
    "note": "",
}
VALUE = {"quantity": "loss on drying", "unit": "%", "text": ""}


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (float("nan"), "lot_value value is not finite"),
        (float("inf"), "lot_value value is not finite"),
        ("18", "lot_value value is '18', expected a number"),
    ],
)
def test_numbers_that_are_none_are_refused(notebook: Notebook, value: object, words: str) -> None:
    with pytest.raises(InputError, match=words), notebook.write("A") as writer:
        writer.add("lot", LOT, {"lot_value": [{**VALUE, "value": value}]})
    assert notebook.head() == (0, "")


@pytest.mark.parametrize("value", [18, 2**60 + 1, 0.1, -0.0, 5e-324, 1.7e308, None])
def test_numbers_are_kept_as_their_event_says(notebook: Notebook, value: float | None) -> None:
    with notebook.write("A") as writer:
        writer.add("lot", LOT, {"lot_value": [{**VALUE, "value": value}, {**VALUE, "value": 1}]})
    assert verify(notebook).faults == ()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"number": 2**31}, "expected a whole number up to 2147483647"),
        ({"number": 1.5}, "expected a whole number"),
        ({"inci": 5}, "material inci is 5, expected a text"),
        ({"inci": None}, "material inci is None, expected a text"),
        ({"colour": "x"}, "material has no 'colour'"),
    ],
)
def test_values_of_another_kind_are_refused(
    notebook: Notebook, changes: dict[str, object], words: str
) -> None:
    row = {"key": "k", "number": 1, "inci": "i", "toml": "", "reason": ""}
    with pytest.raises(InputError, match=words), notebook.write("A") as writer:
        writer.add("material", {**row, **changes})


def test_parts_of_another_noun_are_refused(notebook: Notebook) -> None:
    with (
        pytest.raises(InputError, match="lot has no parts 'lot_values', expected lot_value"),
        notebook.write("A") as writer,
    ):
        writer.add("lot", LOT, {"lot_values": [VALUE]})


def test_the_database_refuses_to_change_history(notebook: Notebook) -> None:
    project(notebook)
    for statement in ("UPDATE event SET who = 'x'", "DELETE FROM event"):
        with pytest.raises(sa.exc.SQLAlchemyError), notebook.engine.begin() as connection:
            connection.execute(sa.text(statement))


def attach(notebook: Notebook, data: bytes, name: str = "raw.csv") -> str:
    with notebook.write("A") as writer:
        digest = writer.blob(data)
        row = {"noun": "project", "subject": "p", "name": name, "media_type": "text/csv"}
        writer.add("attachment", {**row, "sha256": digest})
    return digest


def test_equal_bytes_are_kept_once(notebook: Notebook) -> None:
    assert attach(notebook, b"abc") == attach(notebook, b"abc", "again.csv")
    with notebook.read() as connection:
        count = connection.execute(sa.text("SELECT count(*) FROM blob")).scalar()
    assert count == 1


def test_a_file_that_nothing_names_is_not_kept(notebook: Notebook) -> None:
    with pytest.raises(NotebookError, match="named by nothing"), notebook.write("A") as writer:
        writer.blob(b"abc")
    with notebook.read() as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM blob")).scalar() == 0


def test_migrations_make_the_tables_of_the_schema(notebook: Notebook) -> None:
    with notebook.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        found = [
            difference
            for difference in compare_metadata(context, metadata)
            if not re.search(r"search_index|search_text.*vector|alembic_version", str(difference))
        ]
    assert found == []


def test_opening_what_is_not_there_says_so(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(NotebookError, match="there is no such notebook"):
        open_notebook(tmp_path / "no.zincite")
    (tmp_path / "text.zincite").write_text("hello")
    with pytest.raises(NotebookError, match="is not a notebook"):
        open_notebook(tmp_path / "text.zincite")
    for url in ("mysql://x/y", "postgresql://x:port/y", "://"):
        with pytest.raises(NotebookError, match="postgresql://"):
            open_notebook(url)
