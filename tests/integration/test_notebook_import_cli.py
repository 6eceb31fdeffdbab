"""`zincite notebook import` as a chemist and a script meet it."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from openpyxl import Workbook

from zincite.formula.library import read_cards
from zincite.formula.reading import load_formula
from zincite.interfaces.cli.app import application

ROWS: list[list[object]] = [
    ["Code:", "K-07"],
    ["Phase", "Trade name", "INCI", "% w/w"],
    ["A", "Trade Z", "Zinc Oxide (and) Triethoxycaprylylsilane", "18,0"],
    ["A", "PGPR", "Polyglyceryl-3 Polyricinoleate", "3,0"],
    ["A", "Oil", "Caprylic/Capric Triglyceride", "15,5"],
    ["B", "Wasser", "Aqua", "ad 100"],
    ["B", "Salz", "Magnesium Sulfate", "0,7"],
]
MAP = ("--map", "Trade Z=zinc-oxide-100-silane")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    book = Workbook()
    for row in ROWS:
        book.active.append(row)
    path = tmp_path / "lab.xlsx"
    book.save(path)
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["notebook", *(str(a) for a in arguments)])


def imported(*arguments: object) -> Result:
    return run("import", *arguments)


def test_preview_says_what_is_understood_and_asked(file: Path) -> None:
    result = imported(file, "--preview")
    assert result.exit_code == 1, result.output
    assert "lab.xlsx: 1 formula" in result.stdout
    assert "preview, nothing is written" in result.stdout
    assert "'Wasser' in D6 ('ad 100') fills up to 100 %: 62.8 %." in result.stdout
    assert "cell B3 of sheet 'Sheet': --map \"Trade Z=ID\" (6 cards have" in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 100
    assert imported(file, "--preview", *MAP).exit_code == 0


def test_json_of_a_preview(file: Path) -> None:
    result = imported(file, "--preview", "--json", *MAP)
    found = json.loads(result.stdout)
    assert found["ready"] is True
    (formula,) = found["formulas"]
    assert formula["code"] == "K-07"
    assert formula["emulsion"] == "water-in-oil"
    assert [(i["percent"], i["rest"]) for i in formula["ingredients"]] == [
        (18.0, False),
        (3.0, False),
        (15.5, False),
        (62.8, True),
        (0.7, False),
    ]
    assert found["names"][0]["material"] == "zinc-oxide-100-silane"
    assert found["written_to"] is None


def test_files_in_a_folder_are_formulas(file: Path, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert imported(file, "--to", folder).exit_code == 2
    assert not folder.exists()
    assert imported(file, "--to", folder, *MAP).exit_code == 0
    formula = load_formula(folder / "K-07.toml")
    assert formula.percent_by_material()["water"] == pytest.approx(62.8)
    assert formula.emulsion == "water-in-oil"
    again = imported(file, "--to", folder, *MAP)
    assert again.exit_code == 2
    assert "K-07.toml: is there already" in again.stderr


def test_into_a_notebook_and_remembered(file: Path, tmp_path: Path) -> None:
    notebook = tmp_path / "lab.zincite"
    assert run("create", notebook).exit_code == 0
    assert run("project", "P", "--notebook", notebook, "--who", "ann").exit_code == 0
    to = ("--notebook", notebook, "--project", "P", "--who", "ann")
    refused = imported(file, *to)
    assert refused.exit_code == 2
    assert "says 'Trade Z', which names no card" in refused.stderr
    made = imported(file, *to, *MAP)
    assert made.exit_code == 0, made.output
    assert "- formula K-07@1" in made.stdout
    preview = imported(file, "--preview", "--notebook", notebook)
    assert preview.exit_code == 0
    assert "remembered" in preview.stdout
    again = json.loads(imported(file, *to, "--json").stdout)
    assert again["entered"] == []
    assert again["passed_over"] == ["formula K-07@1"]


def test_a_mapping_file(file: Path, tmp_path: Path) -> None:
    mapping = tmp_path / "mapping.toml"
    mapping.write_text('[names]\n"Trade Z" = "zinc-oxide-100-silane"\n', encoding="utf-8")
    assert imported(file, "--preview", "--map", mapping).exit_code == 0
    mapping.write_text('[name]\n"Trade Z" = "zinc-oxide-100-silane"\n', encoding="utf-8")
    result = imported(file, "--preview", "--map", mapping)
    assert result.exit_code == 2
    assert "unknown key 'name'" in result.stderr


def test_materials_in_a_folder(tmp_path: Path) -> None:
    path = tmp_path / "stock.csv"
    path.write_text(
        "Handelsname;INCI;Lieferant;Preis €/kg;Charge;MHD\n"
        "Squala 1;Squalane;Maker;20,50;L-1;31.05.2027\n"
        "Gly;Glycerin;Maker;2,20;L-2;05/2028\n",
        encoding="latin-1",
        errors="replace",
    )
    result = imported(path, "--materials", "--to", tmp_path / "out")
    assert result.exit_code == 0, result.output
    with (tmp_path / "out" / "lots.csv").open(encoding="utf-8") as stream:
        lots = list(csv.DictReader(stream))
    assert [(lot["code"], lot["material"], lot["expires_on"]) for lot in lots] == [
        ("L-1", "squalane", "2027-05-31"),
        ("L-2", "glycerin", "2028-05-31"),
    ]
    # Latin-1 has no sign for the euro: without a currency the prices are not read, and it is said
    assert not (tmp_path / "out" / "materials.toml").exists()
    assert "names no currency per kg" in result.stdout.replace("\n  ", " ")
    text = path.read_text(encoding="latin-1").replace("?/kg", "EUR/kg")
    path.write_text(text, encoding="utf-8")
    assert imported(path, "--materials", "--to", tmp_path / "two").exit_code == 0
    cards = read_cards(tmp_path / "two" / "materials.toml")
    assert cards["squalane"].properties["price_per_kg"].value == 20.5


def test_nothing_to_write_to(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ZINCITE_NOTEBOOK", raising=False)
    result = imported(file, *MAP)
    assert result.exit_code == 2
    assert "nothing to write to, expected --preview, --to FOLDER, --notebook" in result.stderr


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--preview", "--map", "x"), "--map is 'x', expected"),
        (("--preview", "--column", "x=y"), "role is 'y', expected one of"),
        (("--preview", "--sheet", "no"), "has no sheet 'no', expected one of 'Sheet'"),
        (("--preview", "--rest", "nobody"), "are called 'nobody', expected one for --rest"),
        (("--preview", "--emulsion", "w"), "--emulsion"),
    ],
)
def test_bad_answers(file: Path, arguments: tuple[str, ...], said: str) -> None:
    result = imported(file, *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.count("\n") == 1
