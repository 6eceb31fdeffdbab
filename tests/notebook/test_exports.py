"""What leaves the notebook: the same everywhere, and nothing a spreadsheet would run."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from tests.notebook.archive_making import trials
from tests.notebook.filling import ODD_TEXTS, fill
from zincite.errors import InputError, NotebookError
from zincite.notebook.api import FRAMES, Frame, frames
from zincite.notebook.exporting import Exported, export_notebook
from zincite.notebook.formats.guarding import guarded, unguarded
from zincite.notebook.schema import NOUNS
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.unarchiving import restore_archive
from zincite.workbench.sheets.opening import open_file

RUN = tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")


def _cells(text: str) -> Iterator[list[Any]]:
    """Read delimited text as its documentation says: quoted is text, bare is number or none."""
    for raw, row in zip(_raw(text), csv.reader(io.StringIO(text, newline="")), strict=True):
        yield [
            unguarded(value) if quoted else _bare(value)
            for quoted, value in zip(raw, row, strict=True)
        ]


def _raw(text: str) -> Iterator[list[bool]]:
    """Tell for each cell whether it is quoted, by a scan of its own."""
    row, place = [], 0
    while place < len(text):
        if text[place] == '"':
            row.append(True)
            place += 1
            while not (text[place] == '"' and text[place + 1] != '"'):
                place += 2 if text[place] == '"' else 1
            place += 1
        else:
            row.append(False)
            while text[place] not in ",\r":
                place += 1
        if text[place] == "\r":
            yield row
            row = []
            place += 2
        else:
            place += 1


def _bare(value: str) -> Any:
    if value in ("", "true", "false"):
        return {"": None, "true": True, "false": False}[value]
    return float(value) if set(value) & set(".en") else int(value)


def _table(data: bytes) -> Frame:
    head, *rows = list(_cells(data.decode("utf-8-sig")))
    return {name: [row[n] for row in rows] for n, name in enumerate(head)}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Notebook]:
    where = tmp_path_factory.mktemp("filled") / "a.zincite"
    with open_notebook(where, create=True) as notebook:
        fill(notebook, each=25, seed=3)
        yield notebook


def test_delimited_text_comes_back_as_it_was(filled: Notebook, tmp_path: Path) -> None:
    export_notebook(filled, tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "out.zip") as archive:
        assert archive.namelist() == ["notebook.csv", *(f"{name}.csv" for name in FRAMES)]
        for name, frame in frames(filled).items():
            found = _table(archive.read(f"{name}.csv"))
            assert found == (frame if any(frame.values()) else {k: [] for k in frame}), name


def test_the_odd_texts_are_really_in_what_is_exported(filled: Notebook) -> None:
    """Guard: what these tests look for is there to be found."""
    notes = {text for frame in frames(filled).values() for name in frame for text in frame[name]}
    assert set(ODD_TEXTS) <= notes


def test_no_cell_of_delimited_text_starts_as_a_formula(filled: Notebook, tmp_path: Path) -> None:
    export_notebook(filled, tmp_path / "out")
    risky = 0
    for path in (tmp_path / "out").glob("*.csv"):
        text = path.read_bytes().decode("utf-8-sig")
        for raw, row in zip(_raw(text), csv.reader(io.StringIO(text, newline="")), strict=True):
            for quoted, value in zip(raw, row, strict=True):
                assert not quoted or not value.startswith(RUN)
                assert quoted or value in ("", "true", "false") or float(value) is not None
                risky += value.startswith("'")
    assert risky > 20


@given(st.text(max_size=8) | st.text(alphabet="'=+-@\t\r\n1a", max_size=8))
def test_guarding_is_undone_and_leaves_nothing_to_run(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(RUN)


def test_our_own_import_reads_an_exported_text_as_it_was(tmp_path: Path) -> None:
    names = ["-tocopherol", "=1+1", "@home", "'=x", "5'-AMP", "zinc oxide"]
    with open_notebook(tmp_path / "a.zincite", create=True) as notebook:
        with notebook.write("A. Example") as writer:
            for number, name in enumerate(names):
                row = {"key": f"m{number}", "number": 1, "inci": name, "toml": "", "reason": ""}
                writer.add("material", row)
        export_notebook(notebook, tmp_path / "a.csv", tables=["materials"])
        export_notebook(notebook, tmp_path / "a.xlsx", tables=["materials"])
    (text,) = open_file(tmp_path / "a.csv").sheets
    book = open_file(tmp_path / "a.xlsx", sheet="materials").sheets[0]
    for sheet in (text, book):
        column = next(c for c in sheet.columns() if sheet.cell(1, c).text == "inci")
        assert [sheet.cell(row, column).text for row in sheet.rows()[1:]] == names


def test_folder_and_zip_hold_the_same_tables(filled: Notebook, tmp_path: Path) -> None:
    folder = export_notebook(filled, tmp_path / "out")
    packed = export_notebook(filled, tmp_path / "out.zip")
    assert folder.tables == packed.tables
    with zipfile.ZipFile(tmp_path / "out.zip") as archive:
        for name in archive.namelist():
            assert archive.read(name) == (tmp_path / "out" / name).read_bytes()


def test_the_document_holds_the_frames(notebook: Notebook, tmp_path: Path) -> None:
    fill(notebook)
    export_notebook(notebook, tmp_path / "a.json")
    found = json.loads((tmp_path / "a.json").read_bytes())
    about = found.pop("notebook")
    assert (about["events"], about["head_hash"]) == notebook.head()
    for name, frame in frames(notebook).items():
        columns = {column: [row[column] for row in found[name]] for column in frame}
        assert columns == frame
        assert all(list(row) == list(frame) for row in found[name])
    assert list(found) == list(FRAMES)


def _sheets(path: Path) -> dict[str, list[list[Any]]]:
    book = load_workbook(path)
    return {sheet.title: [list(row) for row in sheet.iter_rows()] for sheet in book}


def _shown(value: Any) -> Any:
    """Return what a cell holds of a value, by rules of its own."""
    if isinstance(value, float):
        return pytest.approx(value, rel=1e-15)  # the library writes 16 digits
    if not isinstance(value, str):
        return value
    return value.replace("\x01\x1f", "\ufffd\ufffd").replace("\r", "\n")


def test_the_workbook_holds_the_frames_as_texts_and_numbers(
    filled: Notebook, tmp_path: Path
) -> None:
    made = export_notebook(filled, tmp_path / "a.xlsx")
    sheets = _sheets(tmp_path / "a.xlsx")
    assert list(sheets) == ["notebook", *FRAMES]
    assert [c.value for c in sheets["notebook"][2]] == ["head_hash", filled.head()[1]]
    for name, frame in frames(filled).items():
        head, *rows = sheets[name]
        assert [cell.value for cell in head] == list(frame)
        assert len(rows) == made.tables[name]
        for cells, values in zip(rows, zip(*frame.values(), strict=True), strict=True):
            for cell, value in zip(cells, values, strict=True):
                assert cell.data_type == _type(value), (name, cell.coordinate, value)
                found = cell.value if cell.value is not None or value is None else ""
                if isinstance(value, str) and len(value) > 32_767:
                    assert found.startswith(value[:32_000])
                    assert found.endswith("(cut: whole in the JSON export)")
                    assert len(found) == 32_767
                else:
                    assert found == _shown(value), (name, cell.coordinate)


def _type(value: Any) -> str:
    if value is None or value == "":
        return "n"  # a cell that is not there
    return "b" if isinstance(value, bool) else "s" if isinstance(value, str) else "n"


def test_what_begins_as_a_formula_stays_a_text_when_it_is_edited(
    filled: Notebook, tmp_path: Path
) -> None:
    export_notebook(filled, tmp_path / "a.xlsx", tables=["mappings"])
    cells = [cell for row in _sheets(tmp_path / "a.xlsx")["mappings"] for cell in row]
    risky = [cell for cell in cells if str(cell.value).startswith(RUN)]
    assert risky
    assert all(cell.quotePrefix for cell in risky)
    assert not any(cell.quotePrefix for cell in cells if str(cell.value)[:1].isalpha())


def test_the_files_of_a_workbook_hold_no_formula_link_or_name_of_another_maker(
    filled: Notebook, tmp_path: Path
) -> None:
    export_notebook(filled, tmp_path / "a.xlsx")
    with zipfile.ZipFile(tmp_path / "a.xlsx") as book:
        for name in book.namelist():
            content = book.read(name).decode().lower()
            assert "<f>" not in content
            assert "externallink" not in content
            assert "openpyxl" not in content
            assert not any(f"{word}" in content for word in ("microsoft", "excel"))
    assert not any("vba" in name.lower() for name in book.namelist())


def test_what_a_workbook_cannot_hold_is_told(filled: Notebook, tmp_path: Path) -> None:
    made = export_notebook(filled, tmp_path / "a.xlsx", tables=["mapping"])
    bodies = frames(filled)["mappings"]["body"]
    cut, control = sum(len(b) > 32_767 for b in bodies), sum("\x01" in b for b in bodies)
    assert any(note.startswith(f"{cut} texts are longer than") for note in made.notes)
    assert sum("\x01" in str(v) for c in frames(filled)["mappings"].values() for v in c) >= control
    assert any("hold control characters" in note for note in made.notes)
    assert export_notebook(filled, tmp_path / "a.json", tables=["mapping"]).notes == ()


def test_days_are_dates_in_a_workbook(tmp_path: Path) -> None:
    with _restored(tmp_path, 3) as notebook:
        export_notebook(notebook, tmp_path / "a.xlsx", tables=["trial"])
    sheets = _sheets(tmp_path / "a.xlsx")
    assert list(sheets) == ["notebook", "trials", "trial_weights", "trial_deviations"]
    place = [cell.value for cell in sheets["trials"][0]].index("made_on")
    cell = sheets["trials"][1][place]
    assert cell.is_date
    assert cell.value.date().isoformat() == "2026-01-02"
    assert cell.number_format == "yyyy-mm-dd"


def _restored(tmp_path: Path, count: int) -> Notebook:
    restore_archive(trials(count).write(tmp_path / "made.zip"), tmp_path / "made.zincite")
    return open_notebook(tmp_path / "made.zincite")


def test_long_tables_go_on_in_another_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from zincite.notebook.formats import workbook

    monkeypatch.setattr(workbook, "_MOST_ROWS", 11)
    with _restored(tmp_path, 25) as notebook:
        export_notebook(notebook, tmp_path / "a.xlsx", tables=["trials"])
    sheets = _sheets(tmp_path / "a.xlsx")
    assert [(name, len(rows) - 1) for name, rows in sheets.items()][1:] == [
        ("trials", 10),
        ("trials (2)", 10),
        ("trials (3)", 5),
    ]
    codes = [rows[0].value for name, all in sheets.items() if "trials" in name for rows in all[1:]]
    assert codes == [f"T{n}" for n in range(25)]


@pytest.mark.parametrize("name", ["a.xlsx", "a.json", "a.zip", "a"])
def test_an_empty_notebook_gives_empty_tables(
    notebook: Notebook, tmp_path: Path, name: str
) -> None:
    made = export_notebook(notebook, tmp_path / name)
    assert set(made.tables.values()) == {0}
    assert (made.events, made.head_hash) == (0, "")


def test_one_table_goes_into_one_file(filled: Notebook, tmp_path: Path) -> None:
    made = export_notebook(filled, tmp_path / "a.csv", tables=["lots"])
    assert made.tables == {"lots": 25}
    assert _table((tmp_path / "a.csv").read_bytes()) == frames(filled)["lots"]
    with pytest.raises(InputError, match=r"holds one table and 2 are asked for \(lots, lot_values"):
        export_notebook(filled, tmp_path / "b.csv", tables=["lot"])


def test_the_same_notebook_gives_the_same_files(filled: Notebook, tmp_path: Path) -> None:
    for name in ("json", "zip"):
        export_notebook(filled, tmp_path / f"1.{name}")
        export_notebook(filled, tmp_path / f"2.{name}")
        assert (tmp_path / f"1.{name}").read_bytes() == (tmp_path / f"2.{name}").read_bytes()


@pytest.mark.parametrize(
    ("name", "tables", "said"),
    [
        ("a.xls", (), r"a\.xls: cannot be written as '\.xls', expected \.xlsx, \.json, \.zip"),
        ("a.csv", (), r"a \.csv file holds one table"),
        ("a.json", ("tria",), "no table 'tria', expected project, brief, formula"),
        ("no/a.json", (), r"cannot be written \(No such file or directory\)"),
        ("no/a", (), r"the folder cannot be used \(No such file"),
    ],
)
def test_what_cannot_be_exported_is_said(
    filled: Notebook, tmp_path: Path, name: str, tables: tuple[str, ...], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        export_notebook(filled, tmp_path / name, tables=tables)
    assert list(tmp_path.iterdir()) == []


def test_what_is_there_is_replaced_only_when_asked(filled: Notebook, tmp_path: Path) -> None:
    for name in ("a.json", "a"):
        export_notebook(filled, tmp_path / name, tables=["lots"])
        with pytest.raises(InputError, match=r"already, .*--force"):
            export_notebook(filled, tmp_path / name, tables=["lots"])
        assert export_notebook(filled, tmp_path / name, replace=True).tables["lots"] == 25


def test_a_project_takes_what_hangs_on_it_and_nothing_else(
    notebook: Notebook, tmp_path: Path
) -> None:
    _two_projects(notebook)
    both = export_notebook(notebook, tmp_path / "all.json")
    made = {code: _project(notebook, tmp_path, code) for code in ("P1", "P2")}
    for name in FRAMES:
        if name in ("accounts", "mappings", "materials", "lots", "lot_values", "history"):
            continue
        assert both.tables[name] == made["P1"].tables[name] + made["P2"].tables[name], name
        assert made["P1"].tables[name] > 0, name
    one = json.loads((tmp_path / "P1.json").read_bytes())
    assert [row["lot"] for row in one["lots"]] == ["L1", "L"]
    assert [row["material"] for row in one["materials"]] == ["m1@1", "m@1"]
    assert {row["formula"] for row in one["trials"]} == {"F1@1"}
    assert {row["about"] for row in one["comments"]} == {"T1/1"}
    assert one["accounts"] == one["mappings"] == []
    events = [row["event"] for row in one["history"]]
    assert len(events) == len(set(events)) == made["P1"].tables["history"]
    with pytest.raises(NotebookError, match="no project has the code 'P3', expected P1, P2"):
        export_notebook(notebook, tmp_path / "b.json", project="P3")


def _project(notebook: Notebook, tmp_path: Path, code: str) -> Exported:
    return export_notebook(notebook, tmp_path / f"{code}.json", project=code)


def _two_projects(notebook: Notebook) -> None:
    """Two projects of equal shape; material m and lot L serve both."""
    with notebook.write("A. Example") as writer:
        blob = writer.blob(b"raw")
        lots = {}
        for n in ("1", "2", ""):
            row = {"key": f"m{n}", "number": 1, "inci": "i", "toml": "", "reason": ""}
            writer.add("material", row)
            row = {"code": f"L{n}", "material_key": f"m{n}", "supplier": "", "received_on": ""}
            value = {"quantity": "q", "value": 1.0, "unit": "", "text": ""}
            lots[n] = writer.add(
                "lot", {**row, "expires_on": "", "note": ""}, {"lot_value": [value]}
            )
        writer.add("mapping", {"fingerprint": "f", "body": ""})
        for n in ("1", "2"):
            _fill_project(writer, n, [lots[n], lots[""]], blob)


def _fill_project(writer: Any, n: str, lots: list[str], blob: str) -> None:
    project = writer.add("project", {"code": f"P{n}", "name": "n", "note": ""})
    row: dict[str, Any] = {"project_id": project, "number": 1, "name": "b", "toml": ""}
    writer.add("brief", {**row, "reason": ""})
    row = {**row, "code": f"F{n}", "parent_id": None, "reason": ""}
    item = {"phase": "A", "material_key": f"m{n}", "percent": 1.0, "core": "", "coating": ""}
    formula = writer.add("formula", row, {"formula_item": [item]})
    row = {"formula_id": formula, "number": 1, "model": "m", "software": "s", "made_on": ""}
    value = {"quantity": "q", "low": None, "high": None, "unit": ""}
    writer.add("prediction", row, {"prediction_value": [{**value, "median": 1.0}]})
    row = {"formula_id": formula, "code": f"T{n}", "made_on": "2026-01-02", "made_by": "A"}
    weight = {"phase": "A", "target_g": 1.0, "actual_g": 1.0}
    keys = (f"m{n}", "m")
    weights = [
        {**weight, "material_key": key, "lot_id": lot} for key, lot in zip(keys, lots, strict=True)
    ]
    parts = {"trial_weight": weights, "trial_deviation": [{"what": "w", "decision": "d"}]}
    trial = writer.add("trial", {**row, "batch_kg": 1.0, "process": "", "note": ""}, parts)
    row = {"trial_id": trial, "number": 1, "kind": "spf", "measured_on": "2026-01-03"}
    row |= {"method": "m", "software": "s", "valid": 1, "file_name": "f", "sha256": blob}
    result = writer.add(
        "result", {**row, "evaluation": "{}"}, {"result_value": [{**value, "value": 30.0}]}
    )
    about = {"noun": "result", "subject": result}
    writer.add("comment", {**about, "text": "t"})
    writer.add("decision", {"noun": "trial", "subject": trial, "verdict": "v", "reason": "r"})
    writer.add("attachment", {**about, "name": "n", "media_type": "m", "sha256": blob})
    row = {"noun": "formula", "subject": formula, "account_id": None, "signed_by": "A"}
    row |= {"full_name": "A", "meaning": "m", "of_revision": 1, "content_hash": "h"}
    writer.add("signature", row)


def test_every_table_of_the_schema_is_a_frame() -> None:
    tables = [t for noun in NOUNS.values() for t in (noun.table, *noun.parts)]
    assert {frame.table.name for frame in FRAMES.values()} == {t.name for t in tables} | {"event"}


def test_progress_counts_every_table(filled: Notebook, tmp_path: Path) -> None:
    told: dict[str, tuple[int, int]] = {}
    made = export_notebook(
        filled,
        tmp_path / "a.json",
        progress=lambda name, done, whole: told.update({name: (done, whole)}),
    )
    assert {name: whole for name, (_, whole) in told.items()} == made.tables
