"""The lines of docs/notebook.md under Asking run on the demo's notebook and say what is quoted."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from zincite.interfaces.cli.app import application
from zincite.workbench.demo.notebook_file import make_notebook

TEXT = (Path(__file__).parents[2] / "docs" / "notebook.md").read_text("utf-8")
ASKING = TEXT.split("\n## Asking\n")[1].split("\n## ")[0]


def test_the_lines_say_what_is_quoted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    make_notebook(tmp_path)
    monkeypatch.chdir(tmp_path)
    commands = [
        line
        for block in re.findall(r"```sh\n(.*?)```", ASKING, re.DOTALL)
        for line in block.splitlines()
    ]
    assert len(commands) >= 11
    said = ""
    for line in commands:
        env = {"ZINCITE_NOTEBOOK": "notebook.zincite"}
        found = CliRunner().invoke(application, shlex.split(line)[1:], env=env)
        assert found.exit_code == 0, f"{line}\n{found.output}{found.stderr}"
        assert max(len(shown) for shown in found.stdout.splitlines()) <= 100
        said += found.stdout
    quoted = re.findall(r"```text\n(.*?)```", ASKING, re.DOTALL)
    assert len(quoted) == 4
    for block in quoted:
        assert block in said
    assert "<svg" in (tmp_path / "accuracy.html").read_text("utf-8")
