"""What docs/notebook.md says under "Trust" and "Care" runs as written and prints what it quotes."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from tests.notebook.tampering import past_the_guards
from zincite.interfaces.cli.app import application
from zincite.notebook import integrity
from zincite.notebook.schema import event
from zincite.notebook.store import open_notebook

ROOT = Path(__file__).parents[2]
FLUID = ROOT / "src/zincite/data/demo/fluid.toml"
TEXT = (ROOT / "docs" / "notebook.md").read_text("utf-8")
PARTS = dict(re.findall(r"^## (.+)\n((?:(?!^## ).*\n)*)", TEXT, re.MULTILINE))
HASH = re.compile(r"[0-9a-f]{16}")


def blocks(part: str, kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", PARTS[part], re.DOTALL)


def run(line: str) -> Result:
    return CliRunner().invoke(application, shlex.split(line)[1:])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("ZINCITE_NOTEBOOK", "lab.zincite")
    monkeypatch.setenv("ZINCITE_WHO", "A. Example")
    for line in (
        "zincite notebook create lab.zincite",
        'zincite notebook project FLUID --name "Mineral fluid"',
        f"zincite notebook add {FLUID} --project FLUID",
    ):
        assert run(line).exit_code == 0, line
    return tmp_path


def test_the_lines_of_trust_print_what_they_quote(folder: Path) -> None:
    verify_line, predict_line, head_line = (b.strip() for b in blocks("Trust", "sh"))
    holds, fails, printed = blocks("Trust", "text")
    assert holds in run(verify_line).output
    assert run(predict_line).exit_code == 0
    with open_notebook("lab.zincite") as notebook:
        count, head = notebook.head()
    mine = HASH.sub(head[:16], printed).replace("214", str(count)).strip()
    assert mine in (folder / "report.html").read_text("utf-8")
    assert HASH.search(head_line)
    assert run(head_line).exit_code == 1  # the page's hash is of no notebook here
    assert run(HASH.sub(head[:16], head_line)).exit_code == 0
    with open_notebook("lab.zincite") as notebook, past_the_guards(notebook) as connection:
        connection.execute(event.update().where(event.c.seq == 3).values(who="M. Other"))
    made = run(verify_line)
    assert made.exit_code == 1
    quoted = re.sub(r"\w+ \w+-[0-9a-f]{20}", "NOUN ID", fails)
    assert quoted in re.sub(r"\w+ \w+-[0-9a-f]{20}", "NOUN ID", made.output)


def test_the_lines_of_care_run(folder: Path) -> None:
    lines = [line for block in blocks("Care", "sh") for line in block.splitlines()]
    assert len(lines) == 2
    for line in lines:
        made = run(line)
        assert made.exit_code == 0, made.output
        assert run(line).exit_code == 2  # and replaces nothing
    assert f"the last {integrity._LAST} events" in " ".join(PARTS["Care"].split())
