"""The command line and its surroundings: terminals, pipes, encodings, Ctrl-C, faults."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from zincite.interfaces.cli.app import application
from zincite.interfaces.cli.failures import sentence

FLUID = str(Path(zincite.data.__file__).parent / "demo" / "fluid.toml")
COMMAND = [sys.executable, "-c", "from zincite.interfaces.cli.main import main; main()"]


def _in_terminal(environment: dict[str, str]) -> str:
    """Return what the command writes into a terminal of 120 columns."""
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    process = subprocess.Popen(
        [*COMMAND, "predict", FLUID],
        stdout=follower,
        stderr=subprocess.PIPE,
        env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "120", **environment},
    )
    os.close(follower)
    parts = []
    while True:
        try:
            part = os.read(leader, 65536)
        except OSError:  # the terminal is gone when the process ends
            break
        if not part:
            break
        parts.append(part)
    os.close(leader)
    _, errors = process.communicate()
    assert (process.returncode, errors) == (0, b"")
    return b"".join(parts).decode("utf-8")


def test_colours_only_in_a_terminal_and_without_no_color() -> None:
    """NO_COLOR as on no-color.org: when it is set and not empty, no colour is added."""
    colour = re.compile(r"\x1b\[(?:\d+;)*(?:3[0-8]|9[0-7])[;m]")
    plain = dict.fromkeys(("NO_COLOR", "FORCE_COLOR"), "")
    assert colour.search(_in_terminal(plain))
    muted = _in_terminal({**plain, "NO_COLOR": "1"})
    assert not colour.search(muted)
    bare = re.sub(r"\x1b\[[0-9;]*m", "", muted)
    assert max(len(line) for line in bare.splitlines()) <= 100


def test_a_narrow_terminal_cuts_no_word() -> None:
    text = re.sub(r"\x1b\[[0-9;]*m", "", _in_terminal({"COLUMNS": "80"}))
    lines = text.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert sum(line.startswith("passes  ") for line in lines) >= 10
    assert "20 000 mPa s" in text


def test_output_that_is_not_utf8_still_reads() -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    made = subprocess.run([*COMMAND, "predict", FLUID], capture_output=True, env=environment)
    assert made.returncode == 0
    assert b"at most 50 degC" in made.stdout
    assert b"?" not in made.stdout


def test_a_reader_that_goes_away_is_no_error() -> None:
    process = subprocess.Popen(
        [*COMMAND, "predict", FLUID], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert process.stdout is not None
    process.stdout.close()
    _, errors = process.communicate(timeout=60)
    assert errors == b""
    assert process.returncode == 141  # 128 + SIGPIPE


def test_ctrl_c_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("zincite.workbench.formulas.open_formula", stop)
    result = CliRunner().invoke(application, ["predict", FLUID])
    assert (result.exit_code, result.stderr) == (130, "zincite: stopped\n")


def test_a_fault_of_the_program_is_no_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    def break_down(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a line\nand another")

    monkeypatch.setattr("zincite.workbench.formulas.open_formula", break_down)
    result = CliRunner().invoke(application, ["predict", FLUID])
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert "ZeroDivisionError" in result.stderr


def test_a_sentence_steers_no_terminal() -> None:
    assert sentence("red \x1b[31m\x07 and\r\nmore") == "red ?[31m? and more"
