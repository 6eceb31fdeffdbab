"""The commands of docs/assay.md run as they are written, on the example files."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from zincite.interfaces.cli.app import application
from zincite.interfaces.cli.assay import assay

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "assay.md").read_text("utf-8")
LINES = [
    line
    for block in re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("zincite assay")
]
DEMO = Path(zincite.data.__file__).parent / "demo"


def test_the_page_shows_every_command() -> None:
    assert {shlex.split(line)[2] for line in LINES} == set(assay.commands)


@pytest.mark.parametrize("line", LINES)
def test_each_line_runs_and_is_valid(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in (ROOT / "examples" / "assay").iterdir():
        shutil.copy(file, tmp_path)
    for name in ("fluid.toml", "brief.toml"):
        shutil.copy(DEMO / name, tmp_path)
    monkeypatch.chdir(tmp_path)
    found = CliRunner().invoke(application, shlex.split(line)[1:])
    assert found.exit_code == 0, found.output + found.stderr


def test_the_examples_say_that_they_are_invented() -> None:
    for file in (ROOT / "examples" / "assay").iterdir():
        assert file.read_text("utf-8").startswith("Invented example")


def test_each_option_that_the_page_names_exists() -> None:
    known = {option for c in assay.commands.values() for p in c.params for option in p.opts}
    known |= {option for c in assay.commands.values() for p in c.params
              for option in p.secondary_opts}  # fmt: skip
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z0-9-]*", TEXT)) <= known
