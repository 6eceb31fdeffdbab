"""What cannot be written stays readable, says so in one sentence, and keeps nothing by half."""

from __future__ import annotations

import contextlib
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from tests.notebook.desk import Desk, refused
from tests.notebook.filling import contents, fill
from tests.notebook.postgres import started
from zincite.errors import NotebookError, ReadOnlyError
from zincite.notebook.engines import log_of
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify


def add(notebook: Notebook, code: str, much: int = 0) -> None:
    with notebook.write("A") as writer:
        subject = writer.add("project", {"code": code, "name": "Fluid", "note": ""})
        row = {"noun": "project", "subject": subject, "name": "a", "media_type": "x"}
        writer.add("attachment", {**row, "sha256": writer.blob(os.urandom(much))})


def refused_whole(notebook: Notebook, reason: str, much: int = 0) -> None:
    """Check that a write is refused in a sentence and leaves everything as it was."""
    before = contents(notebook)
    with pytest.raises(ReadOnlyError) as caught:
        add(notebook, "TOO MUCH", much)
    said = str(caught.value)
    assert reason in said, said
    assert "\n" not in said
    assert reason in notebook.read_only
    assert contents(notebook) == before
    assert verify(notebook).faults == ()


@pytest.fixture
def full() -> Iterator[Path]:
    """Return a closed file with something in it, in a folder of its own."""
    folder = Path(tempfile.mkdtemp(prefix="zincite-rights-"))  # pytest's are closed to others
    folder.chmod(0o755)
    path = folder / "lab.zincite"
    with open_notebook(path, create=True) as notebook:
        fill(notebook, each=2)
    yield path
    folder.chmod(0o755)
    shutil.rmtree(folder)


def as_nobody(*paths: Path) -> list[dict[str, Any]]:
    made = subprocess.run(
        [sys.executable, "-m", "tests.notebook.as_nobody", *map(str, paths)],
        cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True,
    )  # fmt: skip
    return list(json.loads(made.stdout))


def left_unclosed(path: Path) -> None:
    """Leave a notebook as a killed process does: with its last write in the log only."""
    code = (
        "import os, sys; from zincite.notebook.store import open_notebook\n"
        "n = open_notebook(sys.argv[1])\n"
        "with n.write('A') as w: w.add('project', {'code': 'LAST', 'name': 'x', 'note': ''})\n"
        "os._exit(0)"
    )
    subprocess.run([sys.executable, "-c", code, str(path)], check=True)
    assert log_of(path).stat().st_size > 0


def state(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.endswith("-shm")}


@pytest.mark.parametrize("log", ["merged", "in the log"])
@pytest.mark.parametrize(
    ("file_mode", "folder_mode", "reason"),
    [
        (0o444, 0o777, "the file may not be written"),
        (0o666, 0o555, "its folder may not be written"),
        (0o444, 0o555, "the file may not be written"),
    ],
)
def test_a_file_without_rights_is_read_whole(
    full: Path, file_mode: int, folder_mode: int, reason: str, log: str
) -> None:
    with open_notebook(full) as notebook:
        expected = {name: len(rows) for name, rows in contents(notebook).items()}
    if log != "merged":
        left_unclosed(full)
        expected["event"] += 1
        expected["project"] += 1
    for path in full.parent.iterdir():
        path.chmod(file_mode)
    full.parent.chmod(folder_mode)
    before = state(full.parent)
    (found,) = as_nobody(full)
    assert found.get("read_only") == reason, found
    assert found["rows"] == expected
    assert found["said"] == f"ReadOnlyError: {full} is open for reading only: {reason}"
    assert {k: v for k, v in state(full.parent).items() if v} == before


def test_writes_that_cannot_be_seen_are_not_passed_over(full: Path) -> None:
    """With a log but without its index, a closed folder cannot be read: better said than hidden."""
    left_unclosed(full)
    full.with_name(full.name + "-shm").unlink()
    for path in full.parent.iterdir():
        path.chmod(0o444)
    full.parent.chmod(0o555)
    (found,) = as_nobody(full)
    assert found["refused"].startswith("NotebookError: ")
    assert "lab.zincite-wal holds writes that can only be read where" in found["refused"]


def test_a_reader_sees_what_somebody_else_writes_later(full: Path) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "access", lambda path, mode: False)
        reader = open_notebook(full)
    with reader:
        count, _ = reader.head()
        with open_notebook(full) as writer:
            add(writer, "LATER")
            assert reader.head()[0] == count + 2  # while the other has it open
        assert reader.head()[0] == count + 2  # and after the log is merged
        assert verify(reader).faults == ()


def test_a_notebook_cannot_be_made_where_nothing_can(tmp_path: Path) -> None:
    path = tmp_path / "new.zincite"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "access", lambda path, mode: False)
        with pytest.raises(ReadOnlyError, match="cannot be made: its folder may not be written"):
            open_notebook(path, create=True)
    assert not path.exists()


def test_a_full_file_says_so_and_goes_on_when_there_is_room(full: Path) -> None:
    """PRAGMA max_page_count: SQLite's own "database or disk is full"."""
    with open_notebook(full) as notebook:
        with notebook.engine.connect() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages + 3}")
        refused_whole(notebook, "the disk is full", 100_000)
        refused_whole(notebook, "the disk is full", 100_000)  # tried again, refused again
        with notebook.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
        add(notebook, "ROOM AGAIN", 100_000)
        assert notebook.read_only == ""
        assert verify(notebook).faults == ()


@contextlib.contextmanager
def largest_file(size: int) -> Iterator[None]:
    """Let no file grow larger: what a quota does."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_quota_says_so_and_goes_on_when_it_is_lifted(full: Path) -> None:
    with open_notebook(full) as notebook:
        with largest_file(full.stat().st_size + 50_000):
            refused_whole(notebook, "the disk takes no writes", 8 * 2**20)
        add(notebook, "ROOM AGAIN", 8 * 2**20)
        assert verify(notebook).faults == ()


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Return a disk of 8 MB."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=8m", "none", str(disk)], capture_output=True, text=True
    )
    if made.returncode:
        pytest.skip(f"no disk can be mounted here ({made.stderr.strip()}); see the quota's test")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def fill_up(disk: Path) -> Path:
    filler = disk / f"filler{len(list(disk.iterdir()))}"
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass
    return filler


@pytest.mark.parametrize("log", ["merged", "in the log"])
def test_a_full_disk(small_disk: Path, full: Path, log: str) -> None:
    path = small_disk / "lab.zincite"
    with open_notebook(path, create=True) as notebook:
        add(notebook, "FIRST", 100_000)
    if log != "merged":
        left_unclosed(path)
    notebook = open_notebook(path)
    fill_up(small_disk)
    refused_whole(notebook, "the disk is full", 100_000)
    rows = contents(notebook)
    notebook.close()
    fill_up(small_disk)  # closing has given room back
    with open_notebook(path) as again:
        assert again.read_only == "the disk is full"
        refused_whole(again, "the disk is full")
        assert contents(again) == rows
    desk = Desk(str(path), full.parent, "A")
    refused(desk.run("notebook", "project", "X", "--name", "x"), "reading only: the disk is full")
    assert "holds" in desk.done("notebook", "verify")
    for filler in small_disk.glob("filler*"):
        filler.unlink()
    with open_notebook(path) as again:
        assert again.read_only == ""
        add(again, "ROOM AGAIN", 100_000)
        assert verify(again).faults == ()


def test_no_notebook_is_made_on_a_full_disk(small_disk: Path) -> None:
    filler = fill_up(small_disk)
    path = small_disk / "new.zincite"
    with pytest.raises(NotebookError, match="disk"):
        open_notebook(path, create=True)
    filler.unlink()
    with open_notebook(path, create=True) as notebook:
        add(notebook, "FIRST")
        assert verify(notebook).faults == ()


def test_a_backup_that_finds_no_room_leaves_nothing(small_disk: Path, full: Path) -> None:
    filler = fill_up(small_disk)
    desk = Desk(str(full), full.parent, "A")
    refused(desk.notebook("backup", small_disk / "backup.zincite"), "disk is full|No space left")
    assert list(small_disk.iterdir()) == [filler]


@pytest.mark.parametrize("log", ["merged", "in the log"])
def test_a_disk_that_is_mounted_for_reading(small_disk: Path, log: str) -> None:
    path = small_disk / "lab.zincite"
    with open_notebook(path, create=True) as notebook:
        add(notebook, "FIRST", 100_000)
    if log != "merged":
        left_unclosed(path)
    subprocess.run(["mount", "-o", "remount,ro", str(small_disk)], check=True)
    before = state(small_disk)
    with open_notebook(path) as notebook:
        assert notebook.read_only == "the file may not be written"
        assert notebook.head()[0] == (2 if log == "merged" else 3)
        refused_whole(notebook, "the file may not be written")
    assert state(small_disk) == before


@pytest.fixture
def database(where: str, notebook: Notebook) -> str:
    if "://" not in where:
        pytest.skip("of servers only")
    fill(notebook, each=2)
    notebook.close()
    return where


def alter(where: str, *statements: str) -> None:
    engine = sa.create_engine(
        where.replace("postgresql:", "postgresql+psycopg:"),
        connect_args={"options": "-c default_transaction_read_only=off"},
    )
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        name = connection.engine.url.database
        for statement in statements:
            connection.execute(sa.text(statement.format(name=f'"{name}"')))
    engine.dispose()


def test_a_database_that_takes_no_writes(database: str, notebook: Notebook) -> None:
    assert notebook.head()[0] > 0  # open before
    alter(database, "ALTER DATABASE {name} SET default_transaction_read_only = on")
    with open_notebook(database) as opened:
        refused_whole(opened, "the database takes no writes")
    notebook.close()  # its next connections are new ones
    refused_whole(notebook, "the database takes no writes")
    alter(database, "ALTER DATABASE {name} RESET default_transaction_read_only")
    notebook.close()
    add(notebook, "AGAIN")
    assert notebook.read_only == ""


def test_a_user_who_may_only_read(database: str) -> None:
    alter(
        database,
        "DROP ROLE IF EXISTS reader",
        "CREATE ROLE reader LOGIN",
        "GRANT SELECT ON ALL TABLES IN SCHEMA public TO reader",
    )
    with open_notebook(database.replace("//zincite@", "//reader@")) as opened:
        refused_whole(opened, "its user may not write")
    alter(database, "DROP OWNED BY reader", "DROP ROLE reader")


def test_a_servers_full_disk() -> None:
    """The server may write no file larger than a segment of its log: it cannot extend a table."""
    with started() as server:
        where = server.create("full")
        open_notebook(where, create=True).close()
        server.stop()
        with largest_file(16 * 2**20):
            server.start()
        with open_notebook(where) as opened:
            add(opened, "FIRST", 100_000)
            refused_whole(opened, "the disk is full", 20 * 2**20)
            with opened.write("A") as writer:  # another table has room
                writer.add("project", {"code": "SMALL", "name": "Fluid", "note": ""})
            assert opened.read_only == ""
            assert verify(opened).faults == ()
