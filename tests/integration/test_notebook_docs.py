"""The lines of docs/notebook.md under Entering and Showing run as written, in their order."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from zincite.interfaces.cli.app import application

ROOT = Path(__file__).parents[2]
DEMO = Path(zincite.data.__file__).parent / "demo"
TEXT = (ROOT / "docs" / "notebook.md").read_text("utf-8")
PARTS = dict(re.findall(r"^## (.+)\n((?:(?!^## ).*\n)*)", TEXT, re.MULTILINE))


def lines(part: str) -> list[str]:
    return [
        line
        for block in re.findall(r"```sh\n(.*?)```", PARTS[part], re.DOTALL)
        for line in block.splitlines()
    ]


def test_the_lines_run_in_their_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for file in (*(ROOT / "examples" / "assay").iterdir(), *DEMO.glob("*.toml")):
        shutil.copy(file, tmp_path)
    fluid = (DEMO / "fluid.toml").read_text("utf-8")
    (tmp_path / "less-zinc.toml").write_text(fluid.replace("percent = 18\n", "percent = 17\n"))
    (tmp_path / "photo.png").write_bytes(b"\x89PNG")
    monkeypatch.chdir(tmp_path)
    env = {"ZINCITE_NOTEBOOK": "lab.zincite", "ZINCITE_WHO": "A. Example"}
    commands = [*lines("Entering"), *lines("Showing")]
    assert len(commands) >= 20
    for line in commands:
        found = CliRunner().invoke(application, shlex.split(line)[1:], env=env)
        assert found.exit_code == 0, f"{line}\n{found.output}{found.stderr}"
        assert found.stdout.strip(), line
    kept = CliRunner().invoke(application, ["notebook", "list", "results"], env=env).stdout
    quoted = re.findall(r"^    (.*)$", PARTS["Showing"], re.MULTILINE)
    assert quoted == kept.splitlines()


def test_every_noun_that_can_be_shown_is_named() -> None:
    from zincite.notebook.subjects import SUBJECTS

    for noun in SUBJECTS:
        assert re.search(rf"\b{noun}\b", PARTS["What it holds"]), noun
