"""A notebook goes into an archive and comes back the same, on and across both databases."""

from __future__ import annotations

import hashlib
import json
import time
import zipfile
from pathlib import Path

import pytest

from tests.notebook.filling import contents, fill
from tests.notebook.postgres import Server
from zincite.errors import InputError, NotebookError
from zincite.notebook.archiving import archive_notebook
from zincite.notebook.schema import NOUNS, credential, login_attempt, metadata, session
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.unarchiving import restore_archive
from zincite.notebook.verifying import verify


def test_it_comes_back_the_same(notebook: Notebook, tmp_path: Path) -> None:
    fill(notebook)
    made = archive_notebook(notebook, tmp_path / "a.zip")
    seen: list[tuple[int, int]] = []
    restored = restore_archive(
        tmp_path / "a.zip",
        tmp_path / "back.zincite",
        head=notebook.head()[1][:12],
        progress=lambda done, total: seen.append((done, total)),
    )
    assert restored.manifest == made.manifest
    assert seen[-1][0] == seen[-1][1] == made.manifest.events + made.manifest.files
    with open_notebook(tmp_path / "back.zincite") as back:
        assert back.head() == notebook.head()
        assert contents(back) == contents(notebook)
        assert all(contents(back)[noun] for noun in NOUNS if noun != "account")
        assert verify(back, head=notebook.head()[1]).holds


def test_it_travels_from_file_to_server_and_back(postgres_server: Server, tmp_path: Path) -> None:
    server = postgres_server.create(f"travel{time.monotonic_ns()}")
    with open_notebook(tmp_path / "a.zincite", create=True) as first:
        fill(first, seed=2)
        archive_notebook(first, tmp_path / "1.zip")
        restore_archive(tmp_path / "1.zip", server)
        with open_notebook(server) as second:
            assert contents(second) == contents(first)
            assert verify(second).holds
            archive_notebook(second, tmp_path / "2.zip")
        restore_archive(tmp_path / "2.zip", tmp_path / "b.zincite")
        with open_notebook(tmp_path / "b.zincite") as third:
            assert contents(third) == contents(first)
            assert third.head() == first.head()
            with third.write("C. Example") as writer:
                writer.add("project", {"code": "later", "name": "n", "note": ""}, words="later")
            assert verify(third).holds
    assert (tmp_path / "1.zip").read_bytes() == (tmp_path / "2.zip").read_bytes()


def test_the_search_finds_in_what_was_restored(notebook: Notebook, tmp_path: Path) -> None:
    from zincite.notebook.searching import search

    with notebook.write("A. Example") as writer:
        writer.add("project", {"code": "P", "name": "n", "note": ""}, words="Crème solaire")
    archive_notebook(notebook, tmp_path / "a.zip")
    restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite")
    with open_notebook(tmp_path / "b.zincite") as back, back.read() as there:
        assert [one.name for one in search(there, "creme").found] == ["P"]


def test_an_empty_notebook_goes_and_comes(notebook: Notebook, tmp_path: Path) -> None:
    made = archive_notebook(notebook, tmp_path / "a.zip")
    assert (made.manifest.events, made.manifest.head_hash) == (0, "")
    restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite")
    with open_notebook(tmp_path / "b.zincite") as back:
        assert back.head() == (0, "")


def test_the_file_says_what_it_holds(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "a.zincite", create=True) as notebook:
        fill(notebook, each=3)
        head = notebook.head()
        made = archive_notebook(notebook, tmp_path / "a.zip")
        again = archive_notebook(notebook, tmp_path / "again.zip")
    content = (tmp_path / "a.zip").read_bytes()
    assert made.sha256 == again.sha256 == hashlib.sha256(content).hexdigest()
    assert made.bytes == len(content)
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        names = archive.namelist()
        assert names == sorted(names)
        for name in names:
            if name.startswith("blobs/"):
                assert hashlib.sha256(archive.read(name)).hexdigest() == name.removeprefix("blobs/")
        lines = archive.read("events.jsonl").splitlines()
        manifest = json.loads(archive.read("manifest.json"))
        digest = hashlib.sha256(archive.read("events.jsonl")).hexdigest()
    assert manifest["head_hash"] == head[1] == json.loads(lines[-1])["hash"]
    assert manifest["events"] == len(lines) == head[0]
    assert manifest["entries"]["events.jsonl"]["sha256"] == digest
    assert manifest["left_out"] == ["passwords", "sessions", "counts of failed logins"]
    assert [json.loads(line)["seq"] for line in lines] == list(range(1, len(lines) + 1))
    canonical = json.dumps(
        json.loads(lines[0]), sort_keys=True, separators=(",", ":"), ensure_ascii=False
    )
    assert lines[0].decode() == canonical


def test_passwords_and_sessions_stay_behind(notebook: Notebook, tmp_path: Path) -> None:
    from tests.notebook.team import PASSWORD, made

    with notebook.write("A. Example") as writer:
        writer.add("project", {"code": "P", "name": "n", "note": ""})
    made(notebook)
    archive_notebook(notebook, tmp_path / "a.zip")
    restored = restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite")
    assert restored.accounts > 0
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        everything = b"".join(archive.read(name) for name in archive.namelist())
    assert b"argon2" not in everything
    assert PASSWORD.encode() not in everything
    with open_notebook(tmp_path / "b.zincite") as back:
        assert contents(back) == contents(notebook)
        with back.read() as connection:
            for table in (credential, session, login_attempt):
                assert connection.execute(table.select()).all() == []


def test_all_tables_are_kept_or_left_out_on_purpose() -> None:
    kept = {t.name for noun in NOUNS.values() for t in (noun.table, *noun.parts)}
    rest = set(metadata.tables) - kept
    assert rest == {"event", "blob", "search_text", "credential", "session", "login_attempt"}


def test_nouns_stand_in_an_order_in_which_they_can_be_rebuilt() -> None:
    seen = {"event", "blob"}
    for noun in NOUNS.values():
        seen.add(noun.table.name)
        for table in (noun.table, *noun.parts):
            assert {key.column.table.name for key in table.foreign_keys} <= seen, table.name


def test_a_target_that_holds_something_is_left_alone(notebook: Notebook, tmp_path: Path) -> None:
    with open_notebook(tmp_path / "a.zincite", create=True) as source:
        fill(source, each=3)
        archive_notebook(source, tmp_path / "a.zip")
    with notebook.write("A. Example") as writer:
        writer.add("project", {"code": "P", "name": "n", "note": ""})
    before = contents(notebook)
    where = (
        str(notebook.engine.url.render_as_string(hide_password=False)).replace("+psycopg", "")
        if not notebook.is_sqlite
        else notebook.name
    )
    with pytest.raises(NotebookError, match="holds 1 event already, expected an empty"):
        restore_archive(tmp_path / "a.zip", where)
    assert contents(notebook) == before


def test_a_wrong_head_hash_is_refused_and_nothing_is_left(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "a.zincite", create=True) as source:
        fill(source, each=3)
        archive_notebook(source, tmp_path / "a.zip")
    with pytest.raises(NotebookError, match=r"no event has the head hash 0123456789abcdef"):
        restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite", head="0123456789abcdef" * 4)
    assert sorted(p.name for p in tmp_path.iterdir() if p.name.startswith("b")) == []


@pytest.mark.parametrize("head", ["1234567", "not a hash", "0" * 65])
def test_a_head_that_can_be_none_is_refused(tmp_path: Path, head: str) -> None:
    with open_notebook(tmp_path / "a.zincite", create=True) as source:
        archive_notebook(source, tmp_path / "a.zip")
    with pytest.raises(InputError, match=r"the head hash is .* expected its first 8 to 64 digits"):
        restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite", head=head)


def test_a_file_that_is_there_is_replaced_only_when_asked(tmp_path: Path) -> None:
    (tmp_path / "a.zip").write_bytes(b"mine")
    with open_notebook(tmp_path / "a.zincite", create=True) as notebook:
        with pytest.raises(InputError, match=r"a\.zip: is there already, .*--force"):
            archive_notebook(notebook, tmp_path / "a.zip")
        assert (tmp_path / "a.zip").read_bytes() == b"mine"
        archive_notebook(notebook, tmp_path / "a.zip", replace=True)
        with pytest.raises(InputError, match=r"cannot be written \(No such file or directory\)"):
            archive_notebook(notebook, tmp_path / "no" / "a.zip")
        with pytest.raises(InputError, match="is a folder"):
            archive_notebook(notebook, tmp_path)
    assert zipfile.is_zipfile(tmp_path / "a.zip")
    assert [p.name for p in tmp_path.glob("*.part")] == []


def test_a_damaged_notebook_is_not_archived(notebook: Notebook, tmp_path: Path) -> None:
    fill(notebook, each=3)
    _tamper(notebook, "UPDATE event SET who = 'somebody' WHERE seq = 7")
    with pytest.raises(NotebookError, match="event 7 is not as the chain says"):
        archive_notebook(notebook, tmp_path / "a.zip")
    assert list(tmp_path.glob("a.zip*")) == []


def test_a_changed_kept_file_is_not_archived(notebook: Notebook, tmp_path: Path) -> None:
    fill(notebook, each=3)
    _tamper(notebook, "UPDATE blob SET data = 'abc' WHERE size = 70000")
    with pytest.raises(NotebookError, match=r"kept file [0-9a-f]{12} was changed"):
        archive_notebook(notebook, tmp_path / "a.zip")


def _tamper(notebook: Notebook, statement: str) -> None:
    """Change what the database protects, as its owner can."""
    with notebook.engine.begin() as connection:
        if notebook.is_sqlite:
            names = connection.exec_driver_sql(
                "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name IN "
                "('event', 'blob')"
            ).scalars()
            for name in list(names):
                connection.exec_driver_sql(f'DROP TRIGGER "{name}"')
        else:
            for table in ("event", "blob"):
                connection.exec_driver_sql(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        connection.exec_driver_sql(statement)


def test_events_that_pack_very_well_come_back_too(tmp_path: Path) -> None:
    """An archive is never refused as a bomb by the program that wrote it."""
    with open_notebook(tmp_path / "a.zincite", create=True) as notebook:
        with notebook.write("A. Example") as writer:
            for number in range(30):
                row = {"code": f"P{number}", "name": "n", "note": "0.0," * 100_000}
                writer.add("project", row)
        archive_notebook(notebook, tmp_path / "a.zip")
        restore_archive(tmp_path / "a.zip", tmp_path / "b.zincite")
        with open_notebook(tmp_path / "b.zincite") as back:
            assert back.head() == notebook.head()
