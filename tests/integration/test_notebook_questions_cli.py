"""Questions to the notebook as a chemist and a script ask them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from tests.notebook.laboratory import GRADE, fill_laboratory

from zincite.interfaces.cli.app import application
from zincite.notebook.store import open_notebook


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> str:
    where = str(tmp_path_factory.mktemp("questions") / "lab.zincite")
    with open_notebook(where, create=True) as notebook:
        fill_laboratory(notebook)
    return where


def ask(lab: str, *arguments: str) -> Result:
    asked = ["notebook", *arguments, "--notebook", lab]
    return CliRunner().invoke(application, asked)


def told(lab: str, *arguments: str) -> str:
    result = ask(lab, *arguments)
    assert result.exit_code == 0
    assert max(len(line) for line in result.stdout.splitlines()) <= 100
    return result.stdout


def data(lab: str, *arguments: str) -> Any:
    result = ask(lab, *arguments, "--json")
    assert result.exit_code == 0
    return json.loads(result.stdout)


def test_changes(lab: str) -> None:
    text = told(lab, "changes", "K-07@1", "K-07@2")
    assert text.startswith("K-07@1 to K-07@2")
    assert f"{GRADE}   18.00   20.00   +2.00" in text
    assert "primary median, nm  100" in text
    assert "finer grade, milled" in text
    found = data(lab, "changes", "T-001", "T-003")
    assert [lot["second"] for lot in found["lots"]] == [["ZN-2"]]
    assert "Formula and process are the same" in told(lab, "changes", "K-08", "K-08@1")


def test_where_used(lab: str) -> None:
    text = told(lab, "where-used", "ZN-1")
    assert text.startswith("lot ZN-1")
    assert "WITHDRAWN  recalled" in text
    assert "T-002  2026-02-20  K-07@1   ZN-1  90  SPF 24" in text
    material = data(lab, "where-used", GRADE)["material"]
    assert material["trial_count"] == 4
    assert "1 of 5 are listed" in told(lab, "where-used", "water", "--at-most", "1")


def test_tried_touched_and_best(lab: str) -> None:
    text = told(lab, "tried", GRADE)
    assert text.index("K-07@1") < text.index("T-001") < text.index("K-08@1")
    assert "also as 60 % of trial-dispersion" in text
    text = told(lab, "touched", "--coating", "stearic")
    assert "1 open" in text.splitlines()[0]
    assert "K-07@3" in text
    assert told(lab, "touched", "--coating", "nothing").endswith(
        "No version that counts today holds it.\n"
    )
    assert told(lab, "best") == told(lab, "best", "P") == told(lab, "best", "--project", "P")
    assert "none passes all" in told(lab, "best")
    project = data(lab, "best")["projects"][0]
    assert project["versions"][0]["passed"] == 3


def test_accuracy_and_its_page(lab: str, tmp_path: Path) -> None:
    text = told(lab, "accuracy", "--quantity", "spf")
    assert "2 of 3      90 %" in text
    assert "afterwards" in text
    page = tmp_path / "page.html"
    found = data(lab, "accuracy", "--html", str(page))
    html = page.read_text("utf-8")
    assert str(found["head_hash"]) in html
    assert html.count("<svg") == 1  # three tests are too few for a running share
    assert "<script" not in html
    assert "http" not in html.replace("http://www.w3.org", "")


def test_search(lab: str) -> None:
    text = told(lab, "search", "k07", "crem")
    assert "K-07@3" in text
    assert "K-08" not in text
    assert "withdrawn" in told(lab, "search", "ZN-1")
    assert data(lab, "search", '"')["found"] == []
    assert "holds no letter" in told(lab, "search", "%&")
    assert "0 things found" in told(lab, "search", "xylophone")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("changes", "K-07", "K-99"), "no formula and no trial is called 'K-99'"),
        (("where-used", "nothing"), "is neither a lot nor a material"),
        (("tried", "nothing"), "no material is called 'nothing'"),
        (("touched",), "nothing is named, expected a coating"),
        (("best", "Q"), "Q"),
        (("best", "P", "--project", "Q"), "expected one project"),
        (("accuracy", "--project", "Q"), "no project"),
        (("where-used", "\udc80x"), "characters that are no text"),
        (("touched", "--material", "\udc80x"), "characters that are no text"),
        (("where-used", "water", "--at-most", "9" * 30), "larger than a database counts"),
        (("accuracy", "--html", "/nowhere/x.html"), "/nowhere/x.html: the page cannot be written"),
    ],
)
def test_bad_questions_end_in_one_sentence(lab: str, arguments: tuple[str, ...], said: str) -> None:
    result = ask(lab, *arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert said in result.stderr
    assert len(result.stderr.splitlines()) == 1
