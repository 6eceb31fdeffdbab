"""`zincite notebook verify`, `backup`, `restore`: exit status, sentences, what they leave."""

from __future__ import annotations

import json
import os
import shutil
import threading
from pathlib import Path

import pytest
import sqlalchemy as sa

from tests.notebook.desk import Desk, refused
from tests.notebook.filling import contents, fill
from tests.notebook.tampering import past_the_guards
from zincite.errors import DamagedError, NotebookError
from zincite.notebook import backing_up
from zincite.notebook.schema import event, project
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.verifying import verify


@pytest.fixture
def desk(notebook: Notebook, where: str, tmp_path: Path) -> Desk:
    fill(notebook, each=3)
    return Desk(where, tmp_path, "A. Example")


@pytest.fixture
def file(desk: Desk) -> Path:
    if "://" in desk.where:
        pytest.skip("of files only")
    return Path(desk.where)


def test_a_notebook_that_holds_is_exit_0(desk: Desk, notebook: Notebook) -> None:
    made = desk.notebook("verify")
    assert made.exit_code == 0
    assert "\nholds\n" in made.output
    count, head = notebook.head()
    assert f"notebook head {head} (event {count})" in made.output
    told = desk.read("verify", "--head", head[:16])
    assert (told["holds"], told["events"], told["head_hash"]) == (True, count, head)
    assert (told["faults"], told["compared_with"]) == ([], head[:16])


def test_a_notebook_that_does_not_hold_is_exit_1_and_the_first_bad_event(
    desk: Desk, notebook: Notebook
) -> None:
    with past_the_guards(notebook) as connection:
        for seq in (30, 12):
            connection.execute(event.update().where(event.c.seq == seq).values(who="M. Other"))
    made = desk.notebook("verify")
    assert made.exit_code == 1
    assert made.stderr == ""
    lines = [line for line in made.output.splitlines() if line.startswith("- ")]
    assert lines[0].startswith("- event 12, ")
    assert "was changed after it was written" in lines[0]
    assert lines[1].startswith("- event 30, ")
    told = json.loads(desk.notebook("verify", "--json").output)
    assert not told["holds"]
    assert [fault["event"] for fault in told["faults"]] == [12, 30]


def test_a_printed_head_that_is_not_there_is_exit_1(desk: Desk) -> None:
    made = desk.notebook("verify", "--head", "0123456789abcdef")
    assert made.exit_code == 1
    assert "its end was cut off" in made.output


def test_no_notebook_and_no_hash_are_exit_2(desk: Desk, tmp_path: Path) -> None:
    nowhere = Desk(str(tmp_path / "no.zincite"), tmp_path, "A")
    refused(nowhere.notebook("verify"), "there is no such notebook")
    refused(desk.notebook("verify", "--head", "12"), "expected 8 to 64 of the digits")
    text = tmp_path / "text"
    text.write_text("hello")
    refused(Desk(str(text), tmp_path, "A").notebook("verify"), "is not a notebook")


def test_a_file_of_another_program_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    engine = sa.create_engine(f"sqlite:///{path}")
    with engine.begin() as connection:
        connection.execute(sa.text("CREATE TABLE alembic_version (version_num VARCHAR(32))"))
        connection.execute(sa.text("INSERT INTO alembic_version VALUES ('0001')"))
        connection.execute(sa.text("CREATE TABLE mine (x)"))
    engine.dispose()
    before = path.read_bytes()
    refused(Desk(str(path), tmp_path, "A").notebook("verify"), "is a file of another program")
    assert path.read_bytes() == before


def test_a_copy_is_the_same_notebook(desk: Desk, file: Path, notebook: Notebook) -> None:
    target = file.with_name("backup.zincite")
    told = desk.read("backup", target)
    assert (told["events"], told["head_hash"]) == notebook.head()
    with open_notebook(target) as copy:
        assert contents(copy) == contents(notebook)
    os.chmod(target, 0o400)
    again = file.with_name("restored.zincite")
    desk.done("notebook", "restore", target, again)
    with open_notebook(again) as copy:
        assert contents(copy) == contents(notebook)
    assert sorted(p.name for p in file.parent.glob("*backup*")) == ["backup.zincite"]
    assert list(file.parent.glob(".*")) == []  # nothing unfinished lies about


def test_nothing_is_overwritten(desk: Desk, file: Path) -> None:
    target = file.with_name("backup.zincite")
    desk.done("notebook", "backup", target)
    before = target.read_bytes()
    refused(desk.notebook("backup", target), "is there already, .* --force")
    assert target.read_bytes() == before
    with open_notebook(file) as notebook, notebook.write("A") as writer:
        writer.add("project", {"code": "NEW", "name": "Fluid", "note": ""})
    desk.done("notebook", "backup", target, "--force")
    assert target.read_bytes() != before
    refused(desk.notebook("backup", file, "--force"), "is the notebook itself")
    refused(desk.notebook("restore", target, file), "a notebook is never replaced")
    refused(desk.notebook("restore", target, file.with_name("no") / "x"), "cannot be written")
    refused(desk.notebook("restore", file.with_name("no"), file.with_name("y")), "no such backup")
    refused(desk.notebook("restore", target, "postgresql://x/y"), "restore-archive")


def test_a_name_with_a_log_beside_it_is_not_taken(desk: Desk, file: Path) -> None:
    target = file.with_name("backup.zincite")
    log = file.with_name("backup.zincite-wal")
    log.write_bytes(b"writes of another notebook")
    for force in ((), ("--force",)):
        refused(desk.notebook("backup", target, *force), "is open or was not closed")
    assert log.read_bytes() == b"writes of another notebook"
    assert not target.exists()


def test_a_server_is_copied_otherwise(desk: Desk, tmp_path: Path) -> None:
    if "://" not in desk.where:
        pytest.skip("of servers only")
    refused(desk.notebook("backup", tmp_path / "x"), "notebook archive`, or .* pg_dump")
    assert not (tmp_path / "x").exists()


def test_a_backup_that_does_not_hold_is_not_restored(desk: Desk, file: Path) -> None:
    target = file.with_name("backup.zincite")
    desk.done("notebook", "backup", target)
    with open_notebook(target) as copy, past_the_guards(copy) as connection:
        connection.execute(project.update().values(name="Forged"))
    refused(desk.notebook("restore", target, file.with_name("new")), "does not hold: event 3, ")
    assert not file.with_name("new").exists()


def test_a_notebook_that_does_not_hold_is_not_backed_up(
    desk: Desk, file: Path, notebook: Notebook
) -> None:
    with past_the_guards(notebook) as connection:
        connection.execute(project.update().values(name="Forged"))
    refused(desk.notebook("backup", file.with_name("new")), "does not hold: event 3, ")
    assert not file.with_name("new").exists()


def test_a_backup_is_one_moment_while_others_write(
    file: Path, notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backing_up, "_PAGES", 3)  # so slow that many write meanwhile
    stop, written = threading.Event(), []

    def write_on() -> None:
        with open_notebook(file) as other:
            while not stop.is_set():
                with other.write("B") as writer:
                    code = f"N{len(written)}"
                    writer.add("project", {"code": code, "name": "Fluid", "note": "n" * 9000})
                written.append(code)

    writer = threading.Thread(target=write_on)
    writer.start()
    try:
        for number in range(3):
            before = len(written)
            made = backing_up.back_up(notebook, file.with_name(f"backup{number}"))
            assert len(written) > before + 5  # nobody had to wait
            with open_notebook(made.target) as copy:
                assert verify(copy).holds
                assert copy.head() == (made.events, made.head_hash)
            assert verify(notebook, head=made.head_hash).holds
    finally:
        stop.set()
        writer.join()


@pytest.mark.parametrize("share", [0.0001, 0.3, 0.9, 0.999])
def test_a_file_that_was_cut_off_says_so_when_it_is_opened(
    desk: Desk, file: Path, notebook: Notebook, share: float
) -> None:
    notebook.close()
    cut = file.with_name("cut.zincite")
    whole = file.read_bytes()
    cut.write_bytes(whole[: max(int(len(whole) * share), 100)])
    with pytest.raises(DamagedError, match=r"damaged.* restore a backup with `zincite notebook re"):
        open_notebook(cut)
    made = Desk(str(cut), file.parent, "A").notebook("verify")
    assert made.exit_code == 1
    assert "its end was cut off" in made.output
    refused(Desk(str(cut), file.parent, "A").notebook("list", "projects"), "is damaged")


def test_a_page_that_rotted_is_found(file: Path, notebook: Notebook, desk: Desk) -> None:
    notebook.close()
    whole = bytearray(file.read_bytes())
    found = set()
    for page in range(2, len(whole) // 4096, 7):
        rotten = bytearray(whole)
        rotten[page * 4096 : page * 4096 + 4096] = b"\xa5" * 4096
        path = file.with_name("rotten.zincite")
        path.write_bytes(rotten)
        made = Desk(str(path), file.parent, "A").notebook("verify")
        # a page of a kept file or of free space may hold nothing but bytes
        assert made.exit_code in (0, 1), made.output
        assert made.stderr == ""
        found.add(made.exit_code)
        for old in file.parent.glob("rotten.zincite*"):
            old.unlink()
    assert 1 in found


def test_a_broken_end_of_the_history_is_read_but_not_written(
    notebook: Notebook, where: str
) -> None:
    fill(notebook, each=2)
    count, _ = notebook.head()
    with past_the_guards(notebook) as connection:
        connection.execute(event.update().where(event.c.seq == count - 3).values(who="M. Other"))
    with open_notebook(where) as again:
        assert again.head()[0] == count
        with (
            pytest.raises(
                NotebookError, match=rf"reading only: its history .*event {count - 3} .* verify`"
            ),
            again.write("A"),
        ):
            pass
        assert verify(again).faults[0].seq == count - 3


def test_verifying_can_be_stopped_and_tells_how_far_it_is(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    fill(notebook, each=6)
    monkeypatch.setattr("zincite.notebook.checking.findings._BATCH", 10)
    seen: list[tuple[int, int]] = []
    assert verify(notebook, progress=lambda *step: seen.append(step)).holds
    assert seen == sorted(seen)
    assert len({total for _, total in seen}) == 1
    assert seen[-1][0] == seen[-1][1]
    assert seen[-2][0] > 0.9 * seen[-1][1]  # it does not jump to the end
    for stop in range(0, len(seen) - 1, 3):

        def told(done: int, total: int, stop: int = stop) -> None:
            if (done, total) == seen[stop]:
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            verify(notebook, progress=told)
        assert notebook.head()[0] > 0
    assert verify(notebook).holds
    assert capfd.readouterr().err == ""


def test_opening_looks_only_at_the_end(notebook: Notebook, where: str) -> None:
    """What lies far back is found by verify: opening a large notebook stays quick."""
    fill(notebook, each=8)
    with past_the_guards(notebook) as connection:
        connection.execute(event.update().where(event.c.seq == 3).values(who="M. Other"))
    with open_notebook(where) as again:
        assert again.read_only == ""
        assert verify(again).faults[0].seq == 3


@pytest.mark.parametrize("what", ["moved", "deleted", "replaced"])
def test_a_file_that_is_not_in_its_place_takes_no_more_writes(
    file: Path, notebook: Notebook, tmp_path: Path, what: str
) -> None:
    """SQLite would go on writing into a file that nobody finds any more."""
    shutil.copy(file, tmp_path / "other.zincite")
    if what == "deleted":
        file.unlink()
    elif what == "moved":
        file.rename(tmp_path / "away.zincite")
    else:
        (tmp_path / "other.zincite").replace(file)
    for act in (lambda: notebook.write("A"), notebook.read):
        with pytest.raises(NotebookError, match="was moved, replaced or deleted"), act():
            pass


def test_a_relative_name_stays_the_same_file(
    file: Path, notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(file.parent)
    with open_notebook(file.name) as again:
        monkeypatch.chdir("/")
        with again.write("A") as writer:
            writer.add("project", {"code": "ELSEWHERE", "name": "x", "note": ""})
    assert notebook.head()[0] > 0


def test_a_restored_copy_is_looked_at_first(desk: Desk, file: Path, tmp_path: Path) -> None:
    archive = tmp_path / "lab.zip"
    desk.done("notebook", "archive", archive)
    refused(desk.notebook("restore", archive, tmp_path / "new"), "is an archive, .*restore-archive")
    shutil.copy(file, tmp_path / "later.zincite")
    with open_notebook(tmp_path / "later.zincite") as later, past_the_guards(later) as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    refused(
        desk.notebook("restore", tmp_path / "later.zincite", tmp_path / "new"),
        "written by a later version of zincite",
    )
    assert not (tmp_path / "new").exists()
