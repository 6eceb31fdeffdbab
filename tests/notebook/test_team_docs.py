"""The commands of the page's section on teams run as written and print what it shows."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tests.notebook.desk import Desk, refused
from tests.notebook.team import PASSWORD
from zincite.notebook.rights import RIGHTS
from zincite.notebook.store import open_notebook
from zincite.workbench.notebook.opening import create_notebook

PAGE = (Path(__file__).parents[2] / "docs" / "notebook.md").read_text("utf-8")
TEXT = PAGE.partition("## As a team\n")[2].partition("\n## ")[0]
SHOWN = re.findall(r"```sh\n(.*?)```\n\n```text\n(.*?)```", TEXT, re.DOTALL)
FORMULA = """
[formula]
code = "K-07"
name = "Invented cream"
emulsion = "anhydrous"
[[phase]]
name = "A"
kind = "oil"
  [[phase.ingredient]]
  material = "caprylic-capric-triglyceride"
  percent = 100
"""


def masked(text: str) -> str:
    """Return text without what differs each time: times, hashes, ids, line breaks."""
    text = re.sub(r"\b[0-9a-f]{64}\b|signature-[0-9a-f]{20}", "#", text)
    text = re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d(:\d\d)? UTC", "WHEN", text)
    return " ".join(text.split())


@pytest.fixture
def lab(tmp_path: Path, quick_hashes: None, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.chdir(tmp_path)
    Path("secret.txt").write_text(f"{PASSWORD}\n")
    create_notebook("lab.zincite")
    return Desk("lab.zincite", tmp_path, "a.lead")


def test_the_excerpts_are_what_the_commands_print(lab: Desk) -> None:
    assert len(SHOWN) == 2
    (first, said), (second, signed) = SHOWN
    assert masked(said) in masked(lab.done(*shlex.split(first)[1:]))
    lab.login()
    lab.done(
        "notebook", "account", "add", "b.bench", "--full-name", "Bo Example", "--role", "bench",
        "--password-file", "secret.txt",
    )  # fmt: skip
    lab.done("notebook", "project", "P")
    bench = Desk(lab.where, lab.password.parent, "b.bench").login()
    Path("k07.toml").write_text(FORMULA)
    bench.done("notebook", "add", "k07.toml", "--project", "P")
    assert masked(signed) in masked(lab.done(*shlex.split(second)[1:]))
    bench.done("material", "lot", "zinc-oxide-40", "L-1")
    withdraw = ("withdraw", "lot", "L-1", "--reason", "spilled", "--revision", "1")
    bench.done("notebook", *withdraw)
    conflict = masked(refused(lab.notebook(*withdraw)))
    assert f"```text {conflict} ```" in masked(TEXT)


def test_the_table_of_rights_is_the_one_that_is_asked() -> None:
    rows = [[cell.strip() for cell in row.split("|")[1:-1]] for row in TEXT.splitlines()
            if row.startswith("| ")]  # fmt: skip
    assert rows[0] == ["may", "read", "bench", "lead"]
    said: dict[str, tuple[str, ...]] = {}
    for words, *marks in rows[2:]:
        roles = tuple(role for role, mark in zip(rows[0][1:], marks, strict=True) if mark == "yes")
        for act in RIGHTS:
            phrase = _PHRASES.get(act, f"{act}s")
            if re.search(rf"(^|\W){re.escape(phrase)}(\W|$)", words):
                said[act] = roles
    assert said == {act: roles for act, roles in RIGHTS.items() if act != "kept file"}


_PHRASES = {
    "own password": "own password",
    "mapping": "remembered sheet layouts",
    "decision": "`go on` and `fix`",
    "decision to release": "`release` and `drop`",
    "decision to drop": "`release` and `drop`",
    "withdrawal of another's": "withdraw what others entered",
}


def test_the_numbers_said_are_those_that_hold(lab: Desk) -> None:
    from zincite.notebook import passwords, sessions

    said = " ".join(TEXT.split())
    assert f"a session of {sessions.HOURS} hours" in said
    assert f"{passwords.SHORTEST} characters or more, at least {passwords._DIFFERENT} diff" in said
    assert f"After {sessions._FREE} wrong ones the next try waits {sessions._FIRST_WAIT_S}" in said
    assert f"up to {sessions._LONGEST_WAIT_S // 60} minutes" in said
    with open_notebook("lab.zincite") as notebook:
        assert notebook.head() == (0, "")
