"""From a notebook to `zincite learn`: what was measured goes over, and nothing else."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from zincite.evaluation.assay.plain import plain
from zincite.formula.reading import load_formula
from zincite.formula.writing import formula_text
from zincite.interfaces.cli.app import application
from zincite.learning.results_file import load_results
from zincite.notebook.formulas import add_formula
from zincite.notebook.projects import add_project
from zincite.notebook.results import RawFile, add_result
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.trial_parts import TrialDeviation
from zincite.notebook.trials import add_trial
from zincite.notebook.withdrawing import withdraw
from zincite.notebook.writer import Writer
from zincite.workbench.assay import panels, plates, powders
from zincite.workbench.demo.story import DEMO_FOLDER

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
COARSE = load_formula(DEMO_FOLDER / "coarser-grade.toml")
FINE = load_formula(DEMO_FOLDER / "fluid.toml")


def _keep(writer: Writer, trial: str, kind: str, material: str = "") -> str:
    """Keep an example as a result of a trial."""
    files = {"spf": "spf.csv", "uva": "uva_before.csv", "size": "sizes.csv"}
    path = EXAMPLES / files[kind]
    if kind == "spf":
        shown = panels.spf(path).to_dict()
    elif kind == "uva":
        shown = plates.uva(path, label_spf=30, after=EXAMPLES / "uva_after.csv").to_dict()
    else:
        shown = powders.size(path, material=material).to_dict()
    raw = RawFile(path.name, path.read_bytes())
    evaluation = plain(shown)
    return add_result(writer, trial, kind, measured_on="2026-06-01", evaluation=evaluation, raw=raw)


def _trial(writer: Writer, formula: str, code: str, *deviations: str) -> str:
    return add_trial(
        writer,
        formula,
        code=code,
        made_on="2026-05-01",
        made_by="bench",
        batch_kg=1,
        deviations=[TrialDeviation(what) for what in deviations],
    )


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A notebook with good, withdrawn, deviating and other projects' results."""
    path = tmp_path / "lab.zincite"
    with open_notebook(path, create=True) as notebook, notebook.write("chemist") as writer:
        for project in ("P", "Q"):
            add_project(writer, project)
        add_formula(writer, COARSE, "", "P")
        add_formula(writer, FINE, "", "Q")
        _trial(writer, "OF-2@1", "T-1")
        _keep(writer, "T-1", "spf")
        _keep(writer, "T-1", "uva")
        _keep(writer, "T-1", "size", "zinc-oxide-250-stearate")
        _trial(writer, "OF-2@1", "T-2", "stirred for an hour more")
        _keep(writer, "T-2", "spf")
        _trial(writer, "OF-2@1", "T-3")
        withdraw(writer, "result", _keep(writer, "T-3", "spf"), "the wrong jar")
        _trial(writer, "OF-4@1", "T-4")
        _keep(writer, "T-4", "size", "trial-zinc-oxide-70-silane")
        _keep(writer, "T-4", "uva")
    return path


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(application, ["notebook", "learn-file", *arguments])


def test_what_was_measured_goes_over(file: Path, tmp_path: Path) -> None:
    target = tmp_path / "results.toml"
    made = _run(str(target), "--notebook", str(file), "--json")
    assert made.exit_code == 0, made.stderr
    found = json.loads(made.stdout)
    assert found["formulas"] == ["OF-2@1", "OF-4@1"]
    _, observations = load_results(target)
    counted = Counter(o.kind for o in observations)
    assert counted == {
        "spf-in-vivo": 1,
        "spf-in-vitro": 2,
        "critical-wavelength": 2,
        "aggregate-fraction": 1,
    }
    assert {kind: n for kind, n in found["results"].items() if n} == counted
    panel = next(o for o in observations if o.kind == "spf-in-vivo")
    evaluated = panels.spf(EXAMPLES / "spf.csv").result.panel
    assert panel.value == pytest.approx(evaluated.mean, rel=1e-4)
    assert evaluated.sd is not None
    assert panel.standard_error == pytest.approx(evaluated.sd / evaluated.n**0.5, rel=0.01)
    assert {o.disperser for o in observations} == {"bead-mill"}
    assert formula_text(panel.formula) == formula_text(COARSE)
    assert len({id(o.formula) for o in observations}) == 2  # results share what a formula misses


def test_what_is_left_out_is_said(file: Path, tmp_path: Path) -> None:
    found = json.loads(_run(str(tmp_path / "r.toml"), "--notebook", str(file), "--json").stdout)
    why = {item["result"]: item["why"] for item in found["left_out"]}
    assert set(why) == {"T-2/1", "T-3/1", "T-4/1"}
    assert "otherwise" in why["T-2/1"]
    assert why["T-3/1"] == "withdrawn"
    assert "states its dispersion state" in why["T-4/1"]
    shown = _run(str(tmp_path / "s.toml"), "--notebook", str(file)).stdout
    assert max(map(len, shown.splitlines())) <= 100 + len(str(tmp_path))
    assert "T-3/1" in shown
    more = json.loads(
        _run(
            str(tmp_path / "d.toml"), "--notebook", str(file), "--with-deviations", "--json"
        ).stdout
    )
    assert more["results"]["spf-in-vivo"] == 2


def test_one_project_only(file: Path, tmp_path: Path) -> None:
    found = json.loads(
        _run(str(tmp_path / "r.toml"), "--notebook", str(file), "--project", "Q", "--json").stdout
    )
    assert found["formulas"] == ["OF-4@1"]
    assert [item["result"] for item in found["left_out"]] == ["T-4/1"]


def test_files_that_are_there_stay(file: Path, tmp_path: Path) -> None:
    target = tmp_path / "results.toml"
    target.write_text("mine", "utf-8")
    refused = _run(str(target), "--notebook", str(file))
    assert refused.exit_code == 2
    assert refused.stderr.count("\n") == 1
    assert target.read_text("utf-8") == "mine"
    assert not (tmp_path / "results-formulas").exists()
    assert _run(str(target), "--notebook", str(file), "--force").exit_code == 0
    assert "[[result]]" in target.read_text("utf-8")


@pytest.mark.parametrize("project", ["", "NONE"])
def test_nothing_to_learn_from(tmp_path: Path, project: str) -> None:
    path = tmp_path / "lab.zincite"
    empty: Notebook
    with open_notebook(path, create=True) as empty, empty.write("chemist") as writer:
        add_project(writer, "P")
    more = ["--project", project] if project else []
    refused = _run(str(tmp_path / "r.toml"), "--notebook", str(path), *more)
    assert refused.exit_code == 2
    assert refused.stderr.count("\n") == 1
    assert list(tmp_path.glob("r*")) == []


def test_a_folder_that_is_not_there(file: Path, tmp_path: Path) -> None:
    refused = _run(str(tmp_path / "none" / "r.toml"), "--notebook", str(file))
    assert refused.exit_code == 2
    assert refused.stderr.count("\n") == 1
