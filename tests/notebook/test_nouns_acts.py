"""Acts of the workbench on both databases: by file name or URL, or on an open notebook."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

import zincite.data
from tests.notebook.entries import WHO, cream_text
from zincite.errors import InputError, ReadOnlyError
from zincite.interfaces.cli.app import application
from zincite.notebook.measured import ASSAYS
from zincite.notebook.results import ResultRecord
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.trials import TrialRecord
from zincite.notebook.verifying import verify
from zincite.workbench.assay.panels import spf
from zincite.workbench.notebook import results
from zincite.workbench.notebook.formulas import enter_formula, open_version, predict_version
from zincite.workbench.notebook.listing import LISTED, history, list_nouns
from zincite.workbench.notebook.materials import enter_materials
from zincite.workbench.notebook.opening import create_notebook
from zincite.workbench.notebook.projects import enter_brief, enter_project
from zincite.workbench.notebook.results import enter_value, run_and_add
from zincite.workbench.notebook.showing import show
from zincite.workbench.notebook.trials import TrialEntry, enter_trial

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
DEMO = Path(zincite.data.__file__).parent / "demo"


@pytest.fixture
def entered(notebook: Notebook, tmp_path: Path) -> Notebook:
    """Return a notebook with formula K-07@1 and trial T-001."""
    path = tmp_path / "cream.toml"
    path.write_text(cream_text(), "utf-8")
    enter_project(notebook, "FLUID", who=WHO)
    made = enter_formula(notebook, path, "FLUID", who=WHO)
    assert [noun for noun, _ in made.also] == ["brief", "material", "material"]
    enter_trial(notebook, "K-07", TrialEntry(0.5, made_on="2026-03-02"), who=WHO)
    return notebook


def test_an_evaluated_file_is_kept_with_its_bytes(entered: Notebook) -> None:
    path = EXAMPLES / "spf.csv"
    made = run_and_add(entered, "T-001", "spf", path, who=WHO, label_spf=30)
    assert isinstance(made.record, ResultRecord)
    expected = spf(path, label_spf=30)
    assert made.record.values[0].value == expected.result.panel.mean
    assert made.record.to_dict()["evaluation"]["mean_spf"] == expected.result.panel.mean
    assert made.head_hash == entered.head()[1]
    assert verify(entered).holds


def test_every_kind_of_result_has_its_act(entered: Notebook) -> None:
    assert set(results._ACTS) == set(ASSAYS)
    with pytest.raises(InputError, match="kind of result is 'taste', expected one of uva,"):
        run_and_add(entered, "T-001", "taste", EXAMPLES / "spf.csv", who=WHO)


def test_a_trial_without_a_record_has_targets_and_planned_steps(entered: Notebook) -> None:
    trial = show(entered, "T-001").record
    assert isinstance(trial, TrialRecord)
    assert [(w.material_key, w.target_g, w.actual_g) for w in trial.weights] == [
        ("own-dispersion", 150.0, None),
        ("titanium-dioxide-35-silica-dimethicone", 10.0, None),
        ("coco-caprylate", 100.0, None),
        ("polyglyceryl-3-diisostearate", 15.0, None),
        ("water", pytest.approx(221.5), None),
        ("magnesium-sulfate", 3.5, None),
    ]
    assert trial.process == (
        "1 rotor-stator, adds A, B, tip_speed_m_s 15 planned, minutes 5 planned"
    )
    assert (trial.made_by, trial.batch_kg) == (WHO, 0.5)


def test_the_same_prediction_is_kept_once(entered: Notebook) -> None:
    first = predict_version(entered, "K-07", who=WHO)
    events = entered.head()
    again = predict_version(entered, "K-07@1", who=WHO)
    assert (first.is_new, again.is_new) == (True, False)
    assert again.record == first.record
    assert entered.head() == events
    assert open_version(entered, "K-07@1").brief == first.prediction.formula.brief


def test_where_nothing_can_be_written_nothing_is_predicted(
    entered: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object, **__: object) -> None:
        raise AssertionError("predicted in vain")

    monkeypatch.setattr("zincite.workbench.notebook.formulas.predict", never)
    entered.read_only = "the disk is full"
    with pytest.raises(ReadOnlyError, match="for reading only: the disk is full"):
        predict_version(entered, "K-07", who=WHO)


def test_several_cards_pass_over_those_that_are_there(entered: Notebook, tmp_path: Path) -> None:
    cards = cream_text().split("[[material]]")[1:]
    path = tmp_path / "cards.toml"
    path.write_text("".join(f"[[material]]{card}" for card in cards), "utf-8")
    with pytest.raises(InputError, match="the notebook has all 2 cards as they are"):
        enter_materials(entered, path, who=WHO)
    path.write_text(path.read_text("utf-8").replace("= 2.5", "= 3"), "utf-8")
    made = enter_materials(entered, path, who=WHO, reason="new coating")
    assert [one.record.called for one in made] == ["own-zinc-oxide@2"]


def test_a_brief_of_a_file_is_entered(entered: Notebook) -> None:
    made = enter_brief(entered, "FLUID", DEMO / "brief.toml", who=WHO, reason="the market's")
    assert made.record.called == "FLUID/2"


def test_lists_hold_what_was_entered(entered: Notebook) -> None:
    enter_value(entered, "T-001", "ph", 6.4, who=WHO)
    enter_value(entered, "T-001", "ph", 6.5, who=WHO)
    count = {noun: len(list_nouns(entered, noun).records) for noun in LISTED}
    assert count == {
        "formulas": 1, "trials": 1, "results": 2, "lots": 0, "materials": 2, "projects": 1,
        "decisions": 0,
    }  # fmt: skip
    short = list_nouns(entered, "results", at_most=1)
    assert (len(short.records), short.more) == (1, True)
    assert history(entered, "T-001").entries[0].kind == "result added"


def test_the_command_line_works_on_either_database(where: str, tmp_path: Path) -> None:
    path = tmp_path / "cream.toml"
    path.write_text(cream_text(), "utf-8")
    env = {"ZINCITE_NOTEBOOK": where, "ZINCITE_WHO": WHO}
    for line in (
        f"notebook create {where}",
        "notebook project FLUID",
        f"notebook add {path} --project FLUID",
        "material lot coco-caprylate C-1 --expires 2027-01-31",
        "trial add K-07@1 --kg 1 --lot coco-caprylate=C-1",
        "trial value T-001 ph 6.4",
        "trial show T-001",
        "notebook show K-07 --toml",
        "notebook history",
    ):
        found = CliRunner().invoke(application, line.split(), env=env)
        assert found.exit_code == 0, f"{line}\n{found.output}{found.stderr}"
    with open_notebook(where) as notebook:
        assert verify(notebook).holds
    assert create_notebook(where).events > 0
