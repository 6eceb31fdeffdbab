"""The demo's notebook: whole, verified, marked as invented, and nothing in it typed by hand."""

from __future__ import annotations

import json
import math
import re
import shlex
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from sqlalchemy.engine import Connection

from zincite.evaluation.assay.plain import plain
from zincite.interfaces.cli.app import application
from zincite.interfaces.cli.demo_view import NOTEBOOK_COMMANDS
from zincite.notebook.attachments import attached, list_attachments
from zincite.notebook.briefs import list_briefs, open_brief
from zincite.notebook.comments import list_comments
from zincite.notebook.decisions import list_decisions
from zincite.notebook.formulas import formula_of, list_formulas
from zincite.notebook.lots import get_lot, list_lots
from zincite.notebook.materials import list_materials, open_material
from zincite.notebook.predictions import list_predictions
from zincite.notebook.projects import add_project, list_projects
from zincite.notebook.results import list_results, raw_file
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.trials import get_trial, list_trials
from zincite.notebook.verifying import verify
from zincite.workbench.demo.evaluating import evaluated
from zincite.workbench.demo.hidden_laboratory import Truth
from zincite.workbench.demo.instruments import INSTRUMENTS, file_name, measured_file
from zincite.workbench.demo.notebook_file import NOTEBOOK_FILE
from zincite.workbench.demo.story import read_story
from zincite.workbench.formulas import predict

INVENTED = "Invented laboratory, invented trials"


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Folder and output of the demo, run in a process of its own."""
    folder = tmp_path_factory.mktemp("demo") / "try"
    program = "from zincite.interfaces.cli.main import main; main()"
    made = subprocess.run(
        [sys.executable, "-c", program, "demo", "--folder", str(folder)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert made.stderr == "Filling the notebook\n"
    left = sorted(path.name for path in folder.iterdir() if path.name.startswith("notebook"))
    assert left == [NOTEBOOK_FILE]  # one whole file, nothing half-made beside it
    return folder, made.stdout


@pytest.fixture(scope="module")
def notebook(shown: tuple[Path, str]) -> Iterator[Notebook]:
    with open_notebook(shown[0] / NOTEBOOK_FILE) as opened:
        yield opened


@pytest.fixture
def kept(notebook: Notebook) -> Iterator[Connection]:
    with notebook.read() as connection:
        yield connection


def test_the_demo_says_where_the_notebook_lies(shown: tuple[Path, str], notebook: Notebook) -> None:
    folder, output = shown
    events, head = notebook.head()
    assert f"file       {folder / NOTEBOOK_FILE}" in output
    assert f"40 trials, {_results(notebook)} results; {events} events" in output
    assert f"head hash  {head}" in output


def _results(notebook: Notebook) -> int:
    with notebook.read() as connection:
        return len(list_results(connection))


def test_the_chain_holds(notebook: Notebook) -> None:
    found = verify(notebook, head=notebook.head()[1])
    assert found.faults == ()
    assert found.events == notebook.head()[0] > 250


def test_one_project_with_a_revised_brief(kept: Connection) -> None:
    (project,) = list_projects(kept)
    assert project.note.startswith(INVENTED)
    first, second = list_briefs(kept)
    assert second.reason
    assert open_brief(kept, first.called).process_max_temperature_C is None
    assert open_brief(kept, second.called).process_max_temperature_C == 50
    assert open_brief(kept, "OF/1").cost_max_per_kg > open_brief(kept, "OF/2").cost_max_per_kg


def test_versions_have_lineage_and_a_reason(kept: Connection) -> None:
    versions = list_formulas(kept)
    assert 12 <= len(versions) <= 16
    assert {v.code for v in versions} == {"OF-1", "OF-2", "OF-3", "OF-4"}
    named = {v.called: v for v in versions}
    roots = [v.called for v in versions if v.parent is None]
    assert roots == ["OF-1@1"]
    for version in versions:
        assert len(version.reason) > 20
        assert INVENTED in version.toml
        seen, at = set(), version
        while at.parent is not None:  # every version comes from the first
            assert at.called not in seen
            seen.add(at.called)
            at = named[at.parent]
        assert at.called == "OF-1@1"


def test_each_brief_is_the_one_of_its_day(kept: Connection) -> None:
    for version in list_formulas(kept):
        brief = formula_of(version).brief
        assert brief is not None
        old = version.code in ("OF-1", "OF-2")
        assert brief.cost_max_per_kg == (12 if old else 10), version.called


def test_predictions_are_the_models(kept: Connection) -> None:
    """One a version; two of them are predicted again here."""
    versions = {v.called: v for v in list_formulas(kept)}
    predictions = {p.formula: p for p in list_predictions(kept)}
    assert set(predictions) == set(versions)
    for called in ("OF-1@2", "OF-4@5"):
        again = predict(formula_of(versions[called])).to_dict()
        spf: Any = again["spf"]
        value = predictions[called].of("spf")
        assert value is not None
        assert (value.median, value.low, value.high) == pytest.approx(
            (spf["median"], spf["low"], spf["high"])
        )


def test_about_forty_trials_over_six_months(kept: Connection) -> None:
    trials = list_trials(kept)
    assert len(trials) == 40
    assert trials[-1].made_on.startswith("2026-05")
    assert trials[0].made_on.startswith("2026-11")
    assert {t.made_by for t in trials} == {"bench A", "bench B"}
    assert sum(bool(t.deviations) for t in trials) >= 4
    assert {t.formula for t in trials} == {v.called for v in list_formulas(kept)}


def test_one_trial_is_withdrawn_with_its_reason(kept: Connection) -> None:
    gone = [t for t in list_trials(kept) if t.withdrawn]
    assert [t.code for t in gone] == ["OF-T16"]
    assert "dispersant" in gone[0].withdrawn


def test_weights_are_the_formulas_but_for_small_errors(kept: Connection) -> None:
    """0.1 g and 0.5 % are far more than a bench balance errs; common practice, no source."""
    versions = {v.called: formula_of(v) for v in list_formulas(kept)}
    for trial in list_trials(kept):
        shares = versions[trial.formula].percent_by_material()
        assert {w.material_key for w in trial.weights} == set(shares)
        grams = 1000 * (trial.batch_kg or 0)
        assert math.fsum(w.target_g or 0 for w in trial.weights) == pytest.approx(grams, abs=0.2)
        for weight in trial.weights:
            target = shares[weight.material_key] / 100 * grams
            assert weight.target_g == pytest.approx(target, abs=0.06)
            assert weight.actual_g == pytest.approx(target, rel=0.005, abs=0.1)
        assert any(w.actual_g != w.target_g for w in trial.weights)


def test_lots_expire_and_change(kept: Connection) -> None:
    assert 15 <= len(list_lots(kept)) <= 20
    expired = {lot.code for lot in list_lots(kept, expired_on="2026-11-25")}
    assert expired == {"SB-071"}
    used_late = [
        trial.code
        for trial in list_trials(kept)
        for weight in trial.weights
        if weight.lot and get_lot(kept, weight.lot).expired_on(trial.made_on)
    ]
    assert used_late == ["OF-T33"]
    coatings = {
        lot.code: next(v.value for v in lot.values if v.quantity == "coating")
        for lot in list_lots(kept, "trial-zinc-oxide-70-silane")
    }
    assert coatings == {"ZF-603": 2.5, "ZF-915": 3.4}
    key = "trial-zinc-oxide-70-silane"
    assert [m.number for m in list_materials(kept, key)] == [1, 2]
    grade = open_material(kept, f"{key}@2").grade
    assert grade is not None
    assert grade.coatings[0].mass_percent == 3.4


def test_results_of_every_kind(kept: Connection) -> None:
    kinds = Counter(r.kind for r in list_results(kept))
    expected = {"droplet size" if kind == "drops" else kind for kind in INSTRUMENTS}
    assert set(kinds) == expected
    assert kinds["spf"] >= 3
    assert kinds["uva"] >= 15
    assert kinds["viscosity"] >= 30
    assert {r.valid for r in list_results(kept)} == {True, False}


def test_no_result_is_typed_by_hand(kept: Connection, tmp_path: Path) -> None:
    """Each raw file is the instrument's, and evaluated again it gives what is stored."""
    stored = {(r.trial, r.file_name): r for r in list_results(kept)}
    assert len(stored) == len(list_results(kept)) >= 150
    for trial in read_story().trials:
        truth = Truth(trial)
        for kind, people in trial.tests:
            name = file_name(trial, kind)
            record = stored.pop((trial.code, name))
            raw = raw_file(kept, record)
            assert raw is not None
            assert INVENTED.encode() in raw.data
            # the file was written by another process: nothing in it hangs on chance
            assert raw.data == measured_file(trial, truth, kind, people)
            path = tmp_path / name
            path.write_bytes(raw.data)
            material = truth.pigment.id if kind == "size" else ""
            found = evaluated(kind, path, label_spf=trial.label_spf, material=material)
            assert record.values == found.values
            assert json.loads(record.evaluation) == json.loads(json.dumps(plain(found.evaluation)))
            assert (record.valid, record.method) == (found.valid, found.method)
            assert record.measured_on >= trial.made_on
    assert stored == {}


def _mean(kept: Connection, version: str, quantity: str) -> float:
    """The mean of what was measured on a version."""
    trials = {t.code for t in list_trials(kept, formula=version) if not t.withdrawn}
    found = [
        value.value
        for result in list_results(kept)
        if result.trial in trials
        for value in result.values
        if value.quantity == quantity and value.value is not None
    ]
    assert found
    return math.fsum(found) / len(found)


def test_the_measurements_tell_the_story(kept: Connection) -> None:
    """What the decisions say was found is found in the results."""
    assert _mean(kept, "OF-1@2", "spf") > 30  # enough SPF, not enough UVA
    assert _mean(kept, "OF-1@2", "uva_pf") < 10 < _mean(kept, "OF-4@5", "uva_pf")
    assert _mean(kept, "OF-2@2", "spf") < 25
    assert _mean(kept, "OF-2@2", "delta_e00 dark") > 9 > _mean(kept, "OF-4@5", "delta_e00 dark")
    assert _mean(kept, "OF-3@1", "aggregate_fraction") > 0.8
    assert _mean(kept, "OF-3@2", "aggregate_fraction") > 0.8  # dispersant alone opens nothing
    assert 0.4 < _mean(kept, "OF-3@3", "aggregate_fraction") < 0.7
    assert _mean(kept, "OF-4@5", "aggregate_fraction") < 0.2
    assert _mean(kept, "OF-4@3", "viscosity_mPas") > 1.7 * _mean(kept, "OF-4@2", "viscosity_mPas")
    assert _mean(kept, "OF-4@4", "viscosity_mPas") < 0.7 * _mean(kept, "OF-4@2", "viscosity_mPas")
    assert _mean(kept, "OF-4@5", "spf") > 30
    assert get_trial(kept, "OF-T22").deviations


def test_what_was_said(kept: Connection) -> None:
    decisions, comments = list_decisions(kept), list_comments(kept)
    assert {d.noun for d in decisions} == {"formula"}
    assert Counter(d.verdict for d in decisions)["release"] == 1
    assert all(len(d.reason) > 30 for d in decisions)
    assert len(comments) >= 6
    files = [a for a in list_attachments(kept) if a.name.endswith(".txt")]
    assert len(files) == 3
    for found in files:
        assert INVENTED.encode() in attached(kept, found.sha256)


@pytest.mark.parametrize("command", NOTEBOOK_COMMANDS)
def test_the_commands_that_are_named_answer(
    shown: tuple[Path, str], notebook: Notebook, command: str
) -> None:
    line = f"{command} --notebook {notebook.name}"
    assert f"zincite {line}" in " ".join(shown[1].split())  # long paths wrap
    answer = CliRunner().invoke(application, line.split())
    assert answer.exit_code == 0, answer.stderr
    assert "OF-4@5" in answer.stdout


def test_the_page_about_it_is_right(
    notebook: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The section's lines run as written, and say what it quotes."""
    page = (Path(__file__).parents[2] / "docs" / "notebook.md").read_text("utf-8")
    section = page.partition("## The demo notebook\n")[2].partition("\n## ")[0]
    commands = [
        line
        for block in re.findall(r"```sh\n(.*?)```", section, re.DOTALL)
        for line in block.splitlines()
    ]
    assert len(commands) >= 8
    (quoted,) = re.findall(r"```text\n(.*?)```", section, re.DOTALL)
    monkeypatch.chdir(tmp_path)
    said = ""
    for line in commands:
        words = shlex.split(line)[1:]
        if words[0] == "learn":
            words += ["--seconds", "1"]
        env = {"ZINCITE_NOTEBOOK": notebook.name}
        answer = CliRunner().invoke(application, words, env=env)
        assert answer.exit_code == 0, f"{line}\n{answer.stderr}"
        assert answer.stdout.strip(), line
        said += answer.stdout
    assert quoted in said


def _run(folder: Path, *more: str) -> Result:
    return CliRunner().invoke(application, ["demo", "--folder", str(folder), *more])


@pytest.fixture
def copied(shown: tuple[Path, str], notebook: Notebook, tmp_path: Path) -> Path:
    """The demo's folder with its notebook, to be written in."""
    del notebook
    folder = tmp_path / "copy"
    shutil.copytree(shown[0], folder)
    return folder


def test_entries_of_the_user_are_not_lost(copied: Path) -> None:
    with open_notebook(copied / NOTEBOOK_FILE) as opened, opened.write("chemist") as writer:
        add_project(writer, "MINE")
    before = (copied / NOTEBOOK_FILE).read_bytes()
    refused = _run(copied)
    assert refused.exit_code == 2
    assert refused.stderr.count("\n") == 1
    assert "--force" in refused.stderr
    assert (copied / NOTEBOOK_FILE).read_bytes() == before


@pytest.mark.parametrize("kind", ["notebook", "database", "text"])
def test_a_notebook_that_is_not_the_demos_is_never_replaced(tmp_path: Path, kind: str) -> None:
    path = tmp_path / NOTEBOOK_FILE
    if kind == "notebook":
        with open_notebook(path, create=True) as opened, opened.write("chemist") as writer:
            add_project(writer, "OF", "mine")
    elif kind == "database":
        with sqlite3.connect(path) as other:
            other.execute("CREATE TABLE mine AS SELECT 42 AS x")
        other.close()
    else:
        path.write_text("my notes", "utf-8")
    before = path.read_bytes()
    for more in ((), ("--force",)):
        refused = _run(tmp_path, *more)
        assert refused.exit_code == 2
        assert refused.stderr.count("\n") == 1
        assert NOTEBOOK_FILE in refused.stderr
    if kind == "database":
        with sqlite3.connect(path) as other:
            assert other.execute("SELECT x FROM mine").fetchall() == [(42,)]
        other.close()
    else:
        assert path.read_bytes() == before
    assert {p.name for p in tmp_path.iterdir()} <= {NOTEBOOK_FILE}


def test_force_replaces_the_demos_own(copied: Path) -> None:
    path = copied / NOTEBOOK_FILE
    with open_notebook(path) as opened:
        events = opened.head()[0]
        with opened.write("chemist") as writer:
            add_project(writer, "MINE")
    (copied / "notes.txt").write_text("mine", "utf-8")
    again = _run(copied, "--force", "--json")
    assert again.exit_code == 0, again.stderr
    found = json.loads(again.stdout)["notebook"]
    assert found["events"] == events
    with open_notebook(path) as opened, opened.read() as connection:
        assert [p.code for p in list_projects(connection)] == ["OF"]
        assert opened.head() == (found["events"], found["head_hash"])
    assert (copied / "notes.txt").read_text("utf-8") == "mine"
