"""Passwords and sessions at the command line: asked for, kept for the user alone, never shown."""

from __future__ import annotations

import json
import os
import pty
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.notebook.desk import Desk, refused
from tests.notebook.team import PASSWORD
from zincite.errors import InputError
from zincite.interfaces.cli.notebook import logins
from zincite.notebook.login import Login
from zincite.notebook.store import open_notebook
from zincite.workbench.notebook.opening import create_notebook


def test_no_password_comes_from_an_argument_or_by_default(
    where: str, tmp_path: Path, quick_hashes: None
) -> None:
    create_notebook(where)
    desk = Desk(where, tmp_path, "A. Example")
    add = ("account", "add", "a.example", "--full-name", "A. Example", "--role")
    refused(desk.notebook(*add, "lead"), "there is no terminal to ask on, expected --password-file")
    refused(desk.notebook(*add, "lead", "--password", PASSWORD), "no option '--password'")
    refused(desk.notebook(*add, "lead", "--password-file", "-"), "the input: .* finds no password")
    refused(desk.notebook(*add, "lead", "--password-file", tmp_path / "no"), "cannot read it")
    (tmp_path / "short").write_text("short\n")
    refused(
        desk.notebook(*add, "lead", "--password-file", tmp_path / "short"),
        "has 5 characters, expected at least 12",
    )
    refused(
        desk.notebook(*add, "bench", "--password-file", desk.password), "expected lead: somebody"
    )
    assert desk.read("account", "list")["personal"]
    made = desk.notebook(*add, "lead", "--password-file", "-", input=f"{PASSWORD}\r\n")
    assert made.exit_code == 0
    assert "This notebook is a team's now" in made.output
    desk.name = "a.example"
    desk.login()


def test_the_login_is_kept_for_the_user_alone(lead: Desk) -> None:
    (kept,) = lead.state.rglob("*.json")
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.parent.stat().st_mode) == 0o700
    token = json.loads(kept.read_text())["token"]
    outputs = [
        lead.done("notebook", "login", lead.name, "--password-file", lead.password, *more)
        for more in ((), ("--json",))
    ]
    assert token not in "".join(outputs)
    assert json.loads(outputs[1])["account"]["role"] == "lead"
    assert [path.name for path in kept.parent.iterdir()] == [kept.name]


def test_a_url_with_another_password_is_the_same_notebook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    logins.keep("postgresql://u:first@h/lab", Login("a", "t"), "")
    assert logins.kept("postgresql://u:second@h/lab") == "a"
    assert logins.kept("postgresql://u@h/lab") == "a"
    assert logins.kept("postgresql://v@h/lab") is None
    assert "first" not in "".join(path.read_text() for path in tmp_path.rglob("*.json"))
    monkeypatch.chdir(tmp_path)
    logins.keep("lab.zincite", Login("b", "t"), "")
    assert logins.kept(str(tmp_path / "lab.zincite")) == "b"
    for path in tmp_path.rglob("*.json"):
        path.write_text('{"account": ')
    assert logins.kept("lab.zincite") is None
    (tmp_path / "file").touch()
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    with pytest.raises(InputError, match="the login cannot be kept"):
        logins.keep("lab.zincite", Login("b", "t"), "")


def test_logging_out_ends_the_session_everywhere(lead: Desk) -> None:
    (kept,) = lead.state.rglob("*.json")
    copy = kept.read_text()
    assert "lead.example is logged out" in lead.done("notebook", "logout")
    assert not kept.exists()
    kept.write_text(copy)  # somebody kept the token
    refused(lead.notebook("project", "P1"), "lead.example: the session has ended")
    assert lead.notebook("whoami").exit_code == 1


def test_passwords_change_and_accounts_close_from_the_command_line(
    lead: Desk, bench: Desk, tmp_path: Path
) -> None:
    (tmp_path / "new").write_text("another for tests 2\n")
    new = ("--password-file", tmp_path / "new")
    own = ("--own-password-file", bench.password)
    made = bench.done("notebook", "account", "password", "bench.example", *own, *new)
    assert "The sessions of bench.example have ended" in made
    refused(bench.notebook("comment", "project", "x", "y"), "session has ended")
    both = f"another for tests 2\n{PASSWORD}\n"
    lead.login()
    refused(
        lead.notebook("account", "password", "lead.example", "--own-password-file", "-",
                      "--password-file", "-", input=both),
        "password is wrong",
    )  # fmt: skip
    lead.done("notebook", "account", "deactivate", "bench.example", "--reason", "left")
    assert "inactive" in lead.done("notebook", "account", "list")
    refused(bench.notebook("login", "bench.example", *new), "name or password is wrong")
    lead.done("notebook", "account", "activate", "bench.example", *new)
    bench.done("notebook", "login", "bench.example", *new)


@pytest.mark.parametrize("second", [PASSWORD, "a different one 3"])
def test_on_a_terminal_a_password_is_asked_for_twice_and_not_shown(
    tmp_path: Path, second: str
) -> None:
    where = tmp_path / "lab.zincite"
    create_notebook(where)
    # opening the terminal makes it the one of the new session, where passwords are asked for
    program = (
        "import os; os.close(os.open(os.ttyname(0), os.O_RDWR))\n"
        "from zincite.interfaces.cli.main import main; main()"
    )
    arguments = [
        sys.executable, "-c", program, "notebook", "account", "add", "a.example",
        "--full-name", "A. Example", "--role", "lead", "--notebook", str(where),
    ]  # fmt: skip
    terminal, other_end = pty.openpty()
    child = subprocess.Popen(
        arguments, stdin=other_end, stdout=other_end, stderr=other_end, start_new_session=True
    )
    os.close(other_end)
    said = b""
    try:
        for prompt, typed in ((b"Password of a.example", PASSWORD), (b"epeat", second)):
            while prompt not in said:
                said += os.read(terminal, 1000)
            os.write(terminal, f"{typed}\n".encode())
        while second != PASSWORD and b"do not match" not in said:
            said += os.read(terminal, 1000)
        if second != PASSWORD:
            os.write(terminal, b"\x03")  # give up with Ctrl-C
        while more := os.read(terminal, 1000):
            said += more
    except OSError:  # the other end is closed
        pass
    status = child.wait(60)
    os.close(terminal)
    assert PASSWORD.encode() not in said
    assert second.encode() not in said
    with open_notebook(where) as notebook:
        events = notebook.head()[0]
    assert (status, events) == ((0, 1) if second == PASSWORD else (130, 0))
