"""`zincite learn` and `predict --model` through the installed command's own application."""

from __future__ import annotations

import json
import shutil
from importlib.resources import files
from pathlib import Path

import pytest
from click.testing import CliRunner

from zincite.interfaces.cli.app import application

DEMO = Path(str(files("zincite.data").joinpath("demo")))

RESULTS = """
[laboratory]
name = "Invented laboratory"
[[result]]
formula = "fluid.toml"
kind = "spf-in-vivo"
value = 28.4
standard_error = 2.2
[[result]]
formula = "fluid.toml"
kind = "spf-in-vitro"
value = 11.0
[[result]]
formula = "coarser-grade.toml"
kind = "spf-in-vivo"
value = 15.1
"""


def run(*arguments: str):
    return CliRunner().invoke(application, list(arguments), prog_name="zincite")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for file in DEMO.glob("*.toml"):
        shutil.copy(file, tmp_path)
    (tmp_path / "results.toml").write_text(RESULTS, encoding="utf-8")
    return tmp_path


def test_learn_then_predict_with_it(folder: Path) -> None:
    lab = folder / "lab.json"
    found = run("learn", str(folder / "results.toml"), "--out", str(lab), "--seconds", "3")
    assert found.exit_code == 0, found.output
    assert "Invented laboratory: 3 results of 2 formulas" in found.stdout
    assert "within the 90 % interval" in found.stdout
    assert all(len(line) <= 100 for line in found.stdout.splitlines())
    own = json.loads(
        run("predict", str(folder / "fluid.toml"), "--model", str(lab), "--json").stdout
    )
    shipped = json.loads(run("predict", str(folder / "fluid.toml"), "--json").stdout)
    assert own["model"] == "model of Invented laboratory, fitted to 3 results"
    assert own["spf"]["median"] < shipped["spf"]["median"]


def test_json_holds_the_report(folder: Path) -> None:
    found = run(
        "learn", str(folder / "results.toml"), "--out", str(folder / "l.json"), "--seconds", "2",
        "--json",
    )  # fmt: skip
    report = json.loads(found.stdout)
    assert report["results"] == 3
    assert {"r_hat", "converged", "effective_draws"} <= report["convergence"].keys()
    assert {"before", "after", "lines"} == report["leave_one_out"].keys()


@pytest.mark.parametrize(
    ("content", "found"),
    [
        ("", "no [[result]]"),
        ("[[result]]\nkind = 'spf-in-vivo'\nvalue = 3", "no formula"),
        ("[[result]]\nformula = 'gone.toml'\nkind = 'spf-in-vivo'\nvalue = 3", "gone.toml"),
        ("[[result]]\nformula = 'fluid.toml'\nkind = 'guess'\nvalue = 3", "kind is 'guess'"),
        ("[[result]]\nformula = 'fluid.toml'\nkind = 'spf-in-vivo'\nvalue = '3,5'", "a number"),
        ("[[result]]\nformula = 'fluid.toml'\nkind = 'spf-in-vivo'\nvalue = nan", "value is nan"),
        ("[[result]]\nformula = 'fluid.toml'\nkind = 'spf-in-vivo'\nvalue = -4", "value is -4"),
        ("[[result]]\nformula = 'fluid.toml'\nkind='spf-in-vivo'\nvalue=9\nspf=1", "key 'spf'"),
        ("[[result]]\nformula = 'fluid.toml'\nkind='aggregate-fraction'\nvalue=0.3", "no material"),
        (
            "[[result]]\nformula='fluid.toml'\nkind='aggregate-fraction'\nvalue=0.3\nmaterial='x'",
            "holds no grade 'x'",
        ),
    ],
)  # fmt: skip
def test_bad_results_get_one_sentence(folder: Path, content: str, found: str) -> None:
    path = folder / "results.toml"
    path.write_text(content, encoding="utf-8")
    answer = run("learn", str(path), "--out", str(folder / "lab.json"), "--seconds", "1")
    assert answer.exit_code == 2
    sentences = [line for line in answer.stderr.splitlines() if line.startswith("zincite: ")]
    assert len(sentences) == 1
    assert found in sentences[0]
    assert not (folder / "lab.json").exists()


def test_an_unwritable_target_is_said(folder: Path) -> None:
    answer = run(
        "learn", str(folder / "results.toml"), "--out", str(folder / "no" / "lab.json"),
        "--seconds", "1",
    )  # fmt: skip
    assert answer.exit_code == 2
    assert "cannot write" in answer.stderr
