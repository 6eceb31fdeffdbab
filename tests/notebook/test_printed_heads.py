"""Every page made with a notebook prints where its history ended, as verify takes it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.notebook.desk import Desk, refused
from zincite.notebook.store import open_notebook
from zincite.workbench.notebook.opening import create_notebook

ROOT = Path(__file__).parents[2]
FLUID = ROOT / "src/zincite/data/demo/fluid.toml"
SPF = ROOT / "examples/assay/spf.csv"
PRINTED = re.compile(r'<footer class="notebook-head">(.*?)</footer>')

PAGES = {
    "predict": ("predict", "OF-4"),
    "compare": ("compare", "OF-4@1", "OF-4"),
    "batch": ("batch", "OF-4", "--kg", "5"),
    "making emulsion": ("making", "emulsion", "OF-4"),
    "making ions": ("making", "ions", "OF-4"),
    "assay spf": ("assay", "spf", str(SPF), "--formula", "OF-4"),
    "assay spf alone": ("assay", "spf", str(SPF)),
}


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    folder = tmp_path_factory.mktemp("printed")
    where = str(folder / "lab.zincite")
    create_notebook(where)
    made = Desk(where, folder, "A. Example")
    made.done("notebook", "project", "FLUID", "--name", "Mineral fluid")
    made.done("notebook", "add", FLUID, "--project", "FLUID")
    return made


@pytest.mark.parametrize("name", PAGES)
def test_a_page_prints_the_head(desk: Desk, tmp_path: Path, name: str) -> None:
    page = tmp_path / "page.html"
    made = desk.run(*PAGES[name], "--notebook", desk.where, "--html", page)
    assert made.exit_code in (0, 1), made.output
    assert made.stderr == ""
    (printed,) = PRINTED.findall(page.read_text("utf-8"))
    with open_notebook(desk.where) as notebook:
        count, head = notebook.head()
    assert printed == f"notebook head {head[:16]} (event {count})"
    assert desk.notebook("verify", "--head", printed).exit_code == 0


@pytest.mark.parametrize(
    "line", [("predict", FLUID), ("batch", FLUID, "--kg", 5), ("assay", "spf", SPF)]
)
def test_a_page_without_a_notebook_prints_none(
    desk: Desk, tmp_path: Path, line: tuple[object, ...]
) -> None:
    page = tmp_path / "page.html"
    desk.run(*line, "--html", page)
    assert PRINTED.findall(page.read_text("utf-8")) == []


@pytest.mark.parametrize("name", PAGES)
def test_a_notebook_that_is_not_there_is_one_sentence(
    desk: Desk, tmp_path: Path, name: str
) -> None:
    nowhere = tmp_path / "no.zincite"
    refused(desk.run(*PAGES[name], "--notebook", nowhere), "there is no such notebook")


def test_a_stored_version_is_checked_like_its_file(desk: Desk) -> None:
    stored = desk.run("check", "OF-4", "--notebook", desk.where, "--json")
    assert stored.output == desk.run("check", FLUID, "--json").output


def test_cards_are_not_laid_over_a_stored_version(desk: Desk, tmp_path: Path) -> None:
    for line in (("check", "OF-4"), ("making", "feel", "OF-4"), ("batch", "OF-4", "--kg", 1)):
        refused(desk.run(*line, "--notebook", desk.where, "--cards", "x"), "expected no --cards")
