"""The commands of docs/making/emulsion.md run as written and print what the page shows."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from zincite.interfaces.cli.app import application

TEXT = (Path(__file__).parents[2] / "docs" / "making" / "emulsion.md").read_text("utf-8")
SHOWN = re.findall(r"```sh\n(.*?)```\n\n```text\n(.*?)```", TEXT, re.DOTALL)
DEMO = Path(zincite.data.__file__).parent / "demo"


def test_the_page_shows_both_commands() -> None:
    assert {shlex.split(line)[2] for line, _ in SHOWN} == {"emulsion", "feel"}


@pytest.mark.parametrize(("line", "excerpt"), SHOWN)
def test_each_excerpt_is_what_the_command_prints(
    line: str, excerpt: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in DEMO.glob("*.toml"):
        shutil.copy(file, tmp_path)
    monkeypatch.chdir(tmp_path)
    found = CliRunner().invoke(application, shlex.split(line)[1:])
    assert found.exit_code == 0, found.output
    assert excerpt.rstrip() in found.output
