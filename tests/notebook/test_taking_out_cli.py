"""Archive, restore-archive and export at the command line: exit status, words and files."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from pathlib import Path

import pytest

from tests.notebook.archive_making import Making, project, trials
from tests.notebook.desk import Desk, refused
from zincite.notebook.store import open_notebook
from zincite.notebook.unarchiving import restore_archive


@pytest.fixture
def desk(where: str, tmp_path: Path) -> Desk:
    made = trials(3)
    made.files.append(b"raw")
    restore_archive(made.write(tmp_path / "made.zip"), where)
    return Desk(where, tmp_path, "A. Example")


def test_there_and_back(desk: Desk, tmp_path: Path) -> None:
    made = desk.read("archive", tmp_path / "a.zip")
    assert (made["events"], made["kept_files"]) == (8, 1)
    assert made["nouns"]["trial"] == made["nouns"]["result"] == 3
    assert made["left_out"] == ["passwords", "sessions", "counts of failed logins"]
    target = tmp_path / "b.zincite"
    found = desk.run(
        "notebook", "restore-archive", tmp_path / "a.zip", "--notebook", target,
        "--head", made["head_hash"][:10], "--json",
    )  # fmt: skip
    assert found.exit_code == 0, found.output
    restored = json.loads(found.stdout)
    assert restored["head_hash"] == made["head_hash"]
    assert restored["notebook"] == str(target)
    with open_notebook(target) as back:
        assert back.head() == (8, made["head_hash"])


def test_the_terminal_says_what_is_in_it(desk: Desk, tmp_path: Path) -> None:
    said = desk.done("notebook", "archive", tmp_path / "a.zip")
    assert "1 project, 1 formula, 3 trials and 3 results" in " ".join(said.split())
    assert "passwords, sessions and counts of failed logins" in said
    target = str(tmp_path / "b.zincite")
    said = desk.done("notebook", "restore-archive", tmp_path / "a.zip", "--notebook", target)
    assert "Notebook is restored" in said
    assert "1 project, 1 formula, 3 trials and 3 results" in " ".join(said.split())
    assert "passwords" not in said
    said = desk.done("notebook", "export", tmp_path / "a.xlsx", "--noun", "trial")
    assert "trial_weights" in said
    assert max(map(len, said.splitlines())) <= 100


def test_accounts_are_told_to_need_passwords(lead: Desk, tmp_path: Path) -> None:
    lead.done("notebook", "archive", tmp_path / "a.zip")
    target = str(tmp_path / "b.zincite")
    said = lead.done("notebook", "restore-archive", tmp_path / "a.zip", "--notebook", target)
    assert "1 account needs a new password" in " ".join(said.split())
    assert "zincite notebook account password NAME" in " ".join(said.split())


def test_what_cannot_be_is_one_sentence(desk: Desk, tmp_path: Path) -> None:
    archive = tmp_path / "a.zip"
    desk.done("notebook", "archive", archive)
    refused(desk.notebook("archive", archive), r"is there already, .* --force")
    desk.done("notebook", "archive", archive, "--force")
    refused(desk.notebook("restore-archive", archive), "holds 8 events already")
    target = str(tmp_path / "b.zincite")
    cut = tmp_path / "cut.zip"
    cut.write_bytes(archive.read_bytes()[:-30])
    refused(
        desk.run("notebook", "restore-archive", cut, "--notebook", target), "is no whole .zip file"
    )
    refused(
        desk.run("notebook", "restore-archive", archive, "--notebook", target, "--head", "f" * 16),
        "no event has the head hash f{16}",
    )
    assert not Path(target).exists()
    refused(desk.notebook("export", tmp_path / "a.doc"), r"cannot be written as '\.doc'")
    refused(desk.notebook("export", tmp_path / "a.json", "--noun", "x"), "no table 'x'")
    refused(desk.notebook("export", tmp_path / "a.json", "--project", "x"), "expected P1")


@pytest.mark.parametrize("name", ["a.xlsx", "a.json", "a.zip", "folder"])
def test_exports_say_what_they_wrote(desk: Desk, tmp_path: Path, name: str) -> None:
    made = desk.read("export", tmp_path / name, "--project", "P1", "--noun", "trial")
    assert made["tables"] == {"trials": 3, "trial_weights": 9, "trial_deviations": 0}
    assert made["export"] == str(tmp_path / name)
    assert (tmp_path / name).exists()


def test_a_restore_that_is_killed_leaves_an_empty_notebook(tmp_path: Path) -> None:
    """Killed in the middle: the notebook opens, is empty, and can be restored into again."""
    trials(4000).write(tmp_path / "a.zip")
    program = (
        "import os, sys, signal\n"
        "from zincite.notebook.unarchiving import restore_archive\n"
        "def stop(done, whole):\n"
        "    if done > 3000: os.kill(os.getpid(), signal.SIGKILL)\n"
        "restore_archive(sys.argv[1], sys.argv[2], progress=stop)\n"
    )
    target = tmp_path / "b.zincite"
    killed = subprocess.run(
        [sys.executable, "-c", program, tmp_path / "a.zip", target], check=False
    )
    assert killed.returncode == -9
    with open_notebook(target) as there:
        assert there.head() == (0, "")
    assert restore_archive(tmp_path / "a.zip", target).manifest.events == 8002


FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv.pop(1)),) * 2)  # writing fails beyond
from zincite.interfaces.cli.main import main
main()
"""


def test_a_disk_without_room_is_one_sentence(tmp_path: Path) -> None:
    made = Making(files=[random.Random(1).randbytes(600_000)])
    project(made, 1)
    made.write(tmp_path / "a.zip")
    restore_archive(tmp_path / "a.zip", tmp_path / "a.zincite")
    for command, said in (
        (["archive", "b.zip", "--notebook", "a.zincite"], "the archive cannot be written"),
        (["restore-archive", "a.zip", "--notebook", "b.zincite"], "b.zincite"),
    ):
        found = subprocess.run(
            [sys.executable, "-c", FULL, "400000", "notebook", *command],
            cwd=tmp_path,
            check=False,
            capture_output=True,
            text=True,
        )
        assert found.returncode == 2, found.stderr
        assert found.stderr.count("\n") == 1
        assert said in found.stderr
        assert "Traceback" not in found.stderr
    left = {path.name for path in tmp_path.iterdir()}
    assert left - {"a.zincite-wal", "a.zincite-shm"} == {"a.zip", "a.zincite"}


def test_a_pipe_or_device_is_not_replaced(desk: Desk, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.json")
    refused(desk.notebook("export", tmp_path / "pipe.json", "--force"), "is no plain file")
    assert (tmp_path / "pipe.json").is_fifo()


def test_help_says_what_the_commands_are_for(desk: Desk) -> None:
    said = desk.done("notebook", "--help")
    for name in ("export", "archive", "restore-archive"):
        assert f"  {name} " in said
    assert "Passwords and sessions are" in desk.done("notebook", "archive", "--help")
