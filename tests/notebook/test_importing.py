"""Import of sheets into a notebook: whole or not at all, and what is remembered of a layout."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from zincite.errors import InputError
from zincite.notebook.attachments import attached, list_attachments
from zincite.notebook.formulas import list_formulas, open_formula
from zincite.notebook.lots import list_lots
from zincite.notebook.mappings import list_mappings
from zincite.notebook.materials import list_materials, open_material
from zincite.notebook.projects import add_project
from zincite.notebook.store import Notebook
from zincite.notebook.verifying import verify
from zincite.workbench.notebook.importing import Imported, import_plan, understand_file

HEAD = ["Phase", "Trade name", "INCI", "V1", "V2"]
ROWS = [
    ["A", "Trade Z", "Zinc Oxide (and) Triethoxycaprylylsilane", 18, 20],
    ["A", "Mystery ester", "Invented Ester", 15.5, 15.5],
    ["A", "PGPR", "Polyglyceryl-3 Polyricinoleate", 3, 3],
    ["B", "Water", "Aqua", "q.s.", "q.s."],
    ["B", "Salt", "Magnesium Sulfate", 0.7, 0.7],
]


def sheet(folder: Path, rows: list[list[Any]], name: str = "K-07.xlsx") -> Path:
    book = Workbook()
    book.active.title = "K-07"
    for row in rows:
        book.active.append(row)
    path = folder / name
    book.save(path)
    return path


def imported(notebook: Notebook, path: Path, *maps: str, **given: Any) -> Imported:
    project = given.pop("project", "P")
    plan, answers = understand_file(path, where=notebook, maps=maps, **given)
    return import_plan(notebook, plan, answers, who="ann", project=project)


@pytest.fixture
def lab(notebook: Notebook) -> Notebook:
    with notebook.write("ann") as writer:
        add_project(writer, "P", "Invented project")
    return notebook


def test_versions_with_cards_file_and_reason(lab: Notebook, tmp_path: Path) -> None:
    path = sheet(tmp_path, [HEAD, *ROWS])
    made = imported(lab, path, "Trade Z=zinc-oxide-100-silane", new_cards=True)
    assert made.entered == (
        "material mystery-ester@1",
        "formula K-07@1",
        "formula K-07@2",
        "mapping of this layout",
    )
    with lab.read() as connection:
        first, second = list_formulas(connection)
        assert (first.called, second.parent) == ("K-07@1", "K-07@1")
        assert second.reason == "imported from K-07.xlsx, sheet 'K-07', cells A1:E6, column E"
        formula = open_formula(connection, "K-07@2")
        assert formula.percent_by_material() == pytest.approx(
            {
                "zinc-oxide-100-silane": 20.0,
                "mystery-ester": 15.5,
                "polyglyceryl-3-polyricinoleate": 3.0,
                "water": 60.8,
                "magnesium-sulfate": 0.7,
            }
        )
        for record in (first, second):
            (kept,) = list_attachments(connection, "formula", record.id)
            assert attached(connection, kept.sha256) == path.read_bytes()
    assert verify(lab).holds


def test_what_was_said_is_remembered_for_the_layout(lab: Notebook, tmp_path: Path) -> None:
    imported(lab, sheet(tmp_path, [HEAD, *ROWS]), "Trade Z=zinc-oxide-100-silane", new_cards=True)
    rows = [list(row) for row in ROWS]
    rows[0][3] = 16
    path = sheet(tmp_path, [["Another day"], [h.upper() for h in HEAD], *rows], "K-09.xlsx")
    plan, _ = understand_file(path, where=lab)
    assert plan.is_ready
    found = {match.name: (match.material, match.how) for match in plan.names}
    assert found["Trade Z"] == ("zinc-oxide-100-silane", "remembered")
    assert found["Mystery ester"] == ("mystery-ester", "remembered")
    assert found["Water"][0] == "water"


def test_columns_that_were_said_are_remembered(lab: Notebook, tmp_path: Path) -> None:
    rows = [["Zutatliste", "Dosierhinweis"], ["zinc-oxide-100-silane", 30], ["water", 70]]
    path = sheet(tmp_path, rows)
    said = {"columns": ("Zutatliste=name", "B=percent"), "emulsion": "oil-in-water"}
    imported(lab, path, **said)
    with lab.read() as connection:
        (kept,) = list_mappings(connection)
    assert kept.content["columns"] == {"zutatliste": "name", "dosierhinweis": "percent"}
    again = sheet(tmp_path, [*rows[:1], ["zinc-oxide-100-silane", 20], ["water", 80]], "K-2.xlsx")
    plan, _ = understand_file(again, where=lab, emulsion="oil-in-water")
    assert any("name, remembered" in text for text in plan.understood)


def test_the_same_file_again_adds_nothing(lab: Notebook, tmp_path: Path) -> None:
    path = sheet(tmp_path, [HEAD, *ROWS])
    imported(lab, path, "Trade Z=zinc-oxide-100-silane", new_cards=True)
    before = lab.head()
    again = imported(lab, path)
    assert again.entered == ()
    assert again.passed_over == ("formula K-07@1", "formula K-07@2")
    assert lab.head() == before


def test_nothing_is_written_where_a_name_has_no_card(lab: Notebook, tmp_path: Path) -> None:
    before = lab.head()
    with pytest.raises(InputError, match="cell B2 of sheet 'K-07' says 'Trade Z'"):
        imported(lab, sheet(tmp_path, [HEAD, *ROWS]))
    assert lab.head() == before


def test_nothing_is_written_where_a_later_part_fails(lab: Notebook, tmp_path: Path) -> None:
    rows = [["Trade name", "INCI", "Density", "Lot"], ["X", "Squalane", 0.81, "L-1"],
            ["Y", "Glycerin", 1.26, "L@2"]]  # fmt: skip
    before = lab.head()
    with pytest.raises(InputError, match="the code holds '@'"):
        imported(lab, sheet(tmp_path, rows), materials=True)
    assert lab.head() == before
    with lab.read() as connection:
        assert list_materials(connection) == ()


def test_materials_and_lots(lab: Notebook, tmp_path: Path) -> None:
    rows = [["Trade name", "INCI", "Supplier", "Price €/kg", "Density", "Lot", "Expiry"],
            ["Squala 1", "Squalane", "Maker", 20, 0.81, "L-1", "2027-05-31"],
            ["Gly", "Glycerin", "Maker", 2, None, "L-2", "2028-05-31"]]  # fmt: skip
    path = sheet(tmp_path, rows, "stock.xlsx")
    made = imported(lab, path, materials=True, project="")
    assert made.entered[:4] == ("material squalane@1", "material glycerin@1", "lot L-1", "lot L-2")
    with lab.read() as connection:
        card = open_material(connection, "squalane")
        assert card.properties["price_per_kg"].value == 20.0
        lots = {lot.code: lot for lot in list_lots(connection)}
        assert (lots["L-1"].material_key, lots["L-1"].expires_on) == ("squalane", "2027-05-31")
        values = {value.quantity: (value.value, value.unit) for value in lots["L-1"].values}
        assert values == {"density": (0.81, "g/mL"), "price": (20.0, "EUR/kg")}
    again = imported(lab, path, materials=True, project="")
    assert again.entered == ()
    assert "lot L-1" in again.passed_over


def test_a_changed_price_is_a_new_version_of_the_card(lab: Notebook, tmp_path: Path) -> None:
    head = ["Trade name", "INCI", "Price €/kg"]
    imported(lab, sheet(tmp_path, [head, ["X", "Squalane", 20]]), materials=True)
    imported(lab, sheet(tmp_path, [head, ["X", "Squalane", 23]]), materials=True)
    with lab.read() as connection:
        assert [record.called for record in list_materials(connection, "squalane")] == [
            "squalane@1",
            "squalane@2",
        ]
        assert open_material(connection, "squalane").properties["price_per_kg"].value == 23.0


def test_a_project_is_needed_for_formulas(lab: Notebook, tmp_path: Path) -> None:
    rows = [["Ingredient", "%"], ["zinc-oxide-100-silane", 30], ["squalane", 70]]
    path = sheet(tmp_path, rows)
    with pytest.raises(InputError, match="no project is named, expected --project CODE"):
        imported(lab, path, project="")
    with pytest.raises(InputError, match="project"):
        imported(lab, path, project="Q")
    assert imported(lab, path).entered == ("formula K-07@1",)
