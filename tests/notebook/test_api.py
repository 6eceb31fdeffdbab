"""Plain frames: equally long lists of plain values, by names with units."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import zincite
from tests.notebook.archive_making import trials
from tests.notebook.filling import fill
from zincite.errors import InputError, NotebookError
from zincite.notebook import api
from zincite.notebook.api import FRAMES, frame, frames, results_frame
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.unarchiving import restore_archive


def test_columns_are_plain_and_equally_long(notebook: Notebook) -> None:
    fill(notebook)
    for name, columns in frames(notebook).items():
        assert len({len(values) for values in columns.values()}) == 1, name
        kinds = {type(value) for values in columns.values() for value in values}
        assert kinds <= {str, int, float, bool, type(None)}, name


def test_both_databases_give_the_same_frames(postgres_server: object, tmp_path: Path) -> None:
    from tests.notebook.postgres import Server

    assert isinstance(postgres_server, Server)
    made = trials(30).write(tmp_path / "a.zip")
    server = postgres_server.create("frames")
    restore_archive(made, server)
    restore_archive(made, tmp_path / "a.zincite")
    with open_notebook(server) as one, open_notebook(tmp_path / "a.zincite") as other:
        assert frames(one) == frames(other)
        assert results_frame(one) == results_frame(other)


def test_frames_say_what_was_entered_in_its_order(notebook: Notebook) -> None:
    with notebook.write("A. Example") as writer:
        ids = [
            writer.add("project", {"code": f"P{n}", "name": f"n{n}", "note": ""}) for n in range(3)
        ]
        account = writer.add("comment", {"noun": "project", "subject": ids[1], "text": "a remark"})
    with notebook.write("B. Example") as writer:
        writer.withdraw("project", ids[0], "wrong", revision=1)
    found = frame(notebook, "projects")
    assert found["project"] == ["P0", "P1", "P2"]
    assert found["withdrawn"] == ["wrong", "", ""]
    assert found["written_by"] == ["B. Example", "A. Example", "A. Example"]
    assert found["revision"] == [2, 1, 1]
    assert found["id"] == ids
    assert frame(notebook, "project") == found
    remark = frame(notebook, "comments")
    assert (remark["about_noun"], remark["about"]) == (["project"], ["P1"])
    assert remark["id"] == [account]
    past = frame(notebook, "history")
    assert past["event"] == [1, 2, 3, 4, 5]
    assert past["what"][-1] == "project withdrawn"
    assert past["reason"] == ["", "", "", "", "wrong"]
    assert past["hash"][-1] == notebook.head()[1]


def test_short_names_stand_in_place_of_ids(tmp_path: Path) -> None:
    restore_archive(trials(2).write(tmp_path / "a.zip"), tmp_path / "a.zincite")
    with open_notebook(tmp_path / "a.zincite") as notebook:
        assert frame(notebook, "formulas")["formula"] == ["F@1"]
        assert frame(notebook, "trials")["formula"] == ["F@1", "F@1"]
        weights = frame(notebook, "trial_weights")
        assert weights["trial"] == ["T0"] * 3 + ["T1"] * 3
        assert weights["position"] == [1, 2, 3] * 2
        assert weights["lot"] == [None] * 6
        assert weights["target_g"] == [10.0, 11.0, 12.0] * 2
        assert frame(notebook, "results")["result"] == ["T0/1", "T1/1"]
        assert frame(notebook, "results")["valid"] == [True, True]
        assert frame(notebook, "result_values")["result"] == ["T0/1", "T1/1"]


def test_the_results_of_a_quantity(tmp_path: Path) -> None:
    restore_archive(trials(2).write(tmp_path / "a.zip"), tmp_path / "a.zincite")
    with open_notebook(tmp_path / "a.zincite") as notebook:
        found = results_frame(notebook, quantity="spf", project="P1")
        assert found == {
            "result": ["T0/1", "T1/1"],
            "trial": ["T0", "T1"],
            "formula": ["F@1", "F@1"],
            "made_on": ["2026-01-02"] * 2,
            "measured_on": ["2026-01-03"] * 2,
            "kind": ["spf", "spf"],
            "method": ["m", "m"],
            "valid": [True, True],
            "spf": [30.5, 30.5],
            "spf_low": [29.0, 29.0],
            "spf_high": [None, None],
            "unit": ["", ""],
            "withdrawn": ["", ""],
        }
        with pytest.raises(NotebookError, match="no 'uva' was measured here, expected spf"):
            results_frame(notebook, "uva")


def test_what_is_not_there_is_said(notebook: Notebook) -> None:
    with pytest.raises(InputError, match=r"no table 'spf', expected project, .*, history"):
        frame(notebook, "spf")
    with pytest.raises(NotebookError, match="no project has the code 'P', expected one that"):
        frame(notebook, "trials", project="P")
    with pytest.raises(NotebookError, match="expected a quantity that a result holds"):
        results_frame(notebook)
    assert all(not column for columns in frames(notebook).values() for column in columns.values())


def test_units_stand_in_the_names() -> None:
    names = {column.name for table in FRAMES.values() for column in table.columns}
    assert {"batch_kg", "percent", "target_g", "actual_g"} <= names


def test_the_package_gives_the_notebook_when_asked() -> None:
    assert zincite.open_notebook is open_notebook is api.open_notebook
    program = "import zincite, sys; assert 'sqlalchemy' not in sys.modules; zincite.open_notebook; "
    program += "assert 'sqlalchemy' in sys.modules; assert 'pandas' not in sys.modules"
    subprocess.run([sys.executable, "-c", program], check=True)
