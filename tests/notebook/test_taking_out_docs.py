"""What docs/notebook.md says under "Taking it out" runs as written and is what comes out."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.notebook.archive_making import trials
from zincite.interfaces.cli.app import application
from zincite.notebook.unarchiving import restore_archive

TEXT = (Path(__file__).parents[2] / "docs" / "notebook.md").read_text("utf-8")
SECTION = re.split(r"^## ", TEXT.split("## Taking it out\n")[1], maxsplit=1, flags=re.MULTILINE)[0]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    made = trials(3)
    for _, _, _, body in made.bodies:
        if body["row"].get("code") == "P1":
            body["row"]["code"] = "FLUID"
    restore_archive(made.write(tmp_path / "made.zip"), tmp_path / "lab.zincite")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ZINCITE_NOTEBOOK", "lab.zincite")
    return tmp_path


def test_the_lines_run_in_their_order(folder: Path) -> None:
    blocks = re.findall(r"```sh\n(.*?)```", SECTION, re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    assert {shlex.split(line)[2] for line in lines} == {"export", "archive", "restore-archive"}
    for line in lines:
        found = CliRunner().invoke(application, shlex.split(line)[1:])
        assert found.exit_code == 0, f"{line}\n{found.output}{found.stderr}"
    head = (folder / "weights.csv").read_text("utf-8-sig").splitlines()[0]
    assert f"    {head}\n" in SECTION
    assert {p.name for p in (folder / "tables").iterdir()} >= {"trials.csv", "results.csv"}


def test_the_python_lines_run(folder: Path) -> None:
    (program,) = re.findall(r"```python\n(.*?)```", SECTION, re.DOTALL)
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(program, "docs/notebook.md", "exec"), {})  # noqa: S102
    assert said.getvalue().splitlines() == [f"T{n} 30.5 29.0 None" for n in range(3)]


def test_the_signs_of_the_page_are_those_that_are_guarded() -> None:
    from zincite.notebook.formats.guarding import is_risky

    signs = re.findall(r"`([^`\w])`", SECTION)
    assert set(signs) >= set("=+-@")
    assert all(is_risky(sign + "1") for sign in "=+-@\t\r\n")
