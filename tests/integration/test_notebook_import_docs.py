"""The lines of docs/notebook-import.md run as written, and what it quotes is what they print."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from zincite.interfaces.cli.app import application
from zincite.workbench.sheets.vocabulary import ROLE_WORDS

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "notebook-import.md").read_text("utf-8")


def test_lines_run_in_order_and_print_what_is_quoted(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in (ROOT / "examples" / "import").iterdir():
        shutil.copy(file, tmp_path)
    monkeypatch.chdir(tmp_path)
    lines = [
        line
        for block in re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL)
        for line in block.splitlines()
    ]
    assert len(lines) == 6
    printed = []
    for line in lines:
        found = CliRunner().invoke(application, shlex.split(line)[1:])
        assert found.exit_code == (1 if "--preview" in line else 0), f"{line}\n{found.output}"
        printed.append(found.stdout)
    quoted = re.search(r"^    K-07\.csv: 2 formulas.*?(?=\n\n\S)", TEXT, re.DOTALL | re.MULTILINE)
    assert quoted
    for part in re.split(r"\n\s*\n", quoted[0]):
        assert re.sub(r"^    ", "", part, flags=re.MULTILINE) in printed[0]
    assert "formula K-07@1" in printed[3]
    assert "formula K-07@2" in printed[3]
    assert (tmp_path / "formulas" / "K-07-2.toml").exists()
    assert "lot L-1044" in printed[5]


def test_roles_of_the_page_are_roles() -> None:
    for role in re.findall(r"--column \S+=(\w+)", TEXT):
        assert role in {*ROLE_WORDS, "role"}
