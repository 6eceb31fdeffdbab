"""Cells of text and XLSX: encodings, delimiters, decimal signs, places, saved formula values."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from instrument_files import write, xlsx

from zincite.errors import InputError
from zincite.evaluation.assay.reading import Origin, read_grid
from zincite.evaluation.assay.reading.numbers import NumberForm, evidence_of_sign, over_range

TABLE = "name;x;y\na;0,5;1,25\nb;2;-3,5e-2\n"


@pytest.mark.parametrize(
    ("codec", "name"),
    [("utf-8", "UTF-8"), ("utf-8-sig", "UTF-8"), ("latin-1", "Latin-1")],
)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends(tmp_path: Path, codec: str, name: str, end: str) -> None:
    text = TABLE.replace("name", "n\u00e4me").replace("\n", end)
    grid = read_grid(write(tmp_path, text.encode(codec)))
    assert grid.cells[:3] == (("n\u00e4me", "x", "y"), ("a", 0.5, 1.25), ("b", 2.0, -0.035))
    assert (grid.encoding, grid.delimiter, grid.decimal) == (name, ";", ",")


@pytest.mark.parametrize(
    ("codec", "mark"), [("utf-16-le", b"\xff\xfe"), ("utf-16-be", b"\xfe\xff")]
)
def test_utf16_of_both_orders(tmp_path: Path, codec: str, mark: bytes) -> None:
    grid = read_grid(write(tmp_path, mark + TABLE.encode(codec)))
    assert grid.cells[1] == ("a", 0.5, 1.25)
    assert grid.encoding == ("UTF-16 LE" if codec.endswith("le") else "UTF-16 BE")


def test_places_in_text_count_blank_lines(tmp_path: Path) -> None:
    grid = read_grid(write(tmp_path, "head\n\n\n\na,b\n1.5,2.5\n"))
    row = grid.cells.index((1.5, 2.5))
    assert grid.origin(row, 1) == Origin("", 6, 2)
    assert str(grid.origin(row, 1)) == "row 6, column 2"


def test_places_in_a_workbook(tmp_path: Path) -> None:
    grid = read_grid(xlsx(tmp_path, {"One": [["a"], [], [], [None, 2]], "Two": [["b", 3.5]]}))
    assert [str(grid.origin(i, 1)) for i in (len(grid.cells) - 2, len(grid.cells) - 1)] == [
        "cell B4 of sheet 'One'",
        "cell B1 of sheet 'Two'",
    ]
    assert [name for name, _ in grid.sheets()] == ["One", "Two"]


def test_quoted_cells_hold_delimiters_and_line_ends(tmp_path: Path) -> None:
    grid = read_grid(write(tmp_path, 'x,"a, b\nand c",z\n1.5,"2,5x",3\n'))
    assert grid.cells[0] == ("x", "a, b and c", "z")
    assert grid.cells[1] == (1.5, "2,5x", 3.0)
    assert grid.row_origin[1] == ("", 3)


def test_a_lone_quote_swallows_nothing(tmp_path: Path) -> None:
    grid = read_grid(write(tmp_path, 'x,5" plate,z\n1.5,2.5,3\n4,5,6\n'))
    assert grid.cells[1:3] == ((1.5, 2.5, 3.0), (4.0, 5.0, 6.0))


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.234,5", 1234.5),
        ("12.345.678", 12345678.0),
        ("0,5", 0.5),
        ("1'234,5", 1234.5),
        ("1\u00a0234,5", 1234.5),
        ("\u22120,5", -0.5),
        ("1,2E-3", 0.0012),
        ("1.234", None),
        ("1_000", None),
        ("\u0661", None),
        ("0x10", None),
        ("nan", None),
        ("inf", None),
        ("1e999", None),
        ("12.03.2024", None),
    ],
)
def test_numbers_under_a_decimal_comma(text: str, value: float | None) -> None:
    assert NumberForm(",").parse(text) == value


@pytest.mark.parametrize(
    ("text", "evidence"),
    [
        ("1,234", (",", False, False)),
        ("0,234", (",", True, False)),
        ("12,34", (",", True, False)),
        ("1234,567", (",", True, False)),
        ("1,234.5", (".", True, True)),
        ("1.234.567", (",", True, True)),
        ("1.5", (".", True, False)),
        ("15", None),
        ("12.03.2024", None),
    ],
)
def test_evidence_of_a_number(text: str, evidence: tuple[str, bool, bool] | None) -> None:
    assert evidence_of_sign(text) == evidence


def test_thousands_that_others_settle_are_read(tmp_path: Path) -> None:
    grid = read_grid(write(tmp_path, "1.234,5;2.000\n3,5;7\n"))
    assert grid.cells[:2] == ((1234.5, 2000.0), (3.5, 7.0))


def test_ambiguous_thousands_are_refused_and_the_option_settles(tmp_path: Path) -> None:
    path = write(tmp_path, "1,234;2,345\n3,456;7\n")
    with pytest.raises(InputError, match="row 1, column 1 is '1,234', which may be"):
        read_grid(path)
    assert read_grid(path, decimal=",").cells[0] == (1.234, 2.345)
    assert read_grid(path, thousands_possible=False).cells[0] == (1.234, 2.345)
    mixed = write(tmp_path, "0,5;1.234\n")
    with pytest.raises(InputError, match="group thousands or be decimal"):
        read_grid(mixed)


def test_versions_and_dates_in_headers_have_no_say(tmp_path: Path) -> None:
    grid = read_grid(write(tmp_path, "Version;1.25\nDate;12.03.2024\nx;y\n0,5;0,25\n"))
    assert grid.decimal == ","


def test_over_and_under_range() -> None:
    point = NumberForm(".")
    assert over_range("OVER", point).bound is None  # type: ignore[union-attr]
    assert over_range("> 3.5 A", point).bound == 3.5  # type: ignore[union-attr]
    under = over_range("<0.01 %", point)
    assert under is not None
    assert (under.above, under.bound, under.percent) == (False, 0.01, True)
    assert over_range("overview", point) is None


def _with_cached_values(path: Path) -> Path:
    """Write into a workbook's formula cells what a spreadsheet program saves beside them."""
    out = path.with_name("cached.xlsx")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                for empty in (b"<v></v>", b"<v/>", b"<v />"):
                    data = data.replace(b"</f>" + empty, b"</f><v>7.5</v>")
            new.writestr(name, data)
    return out


def test_formulas_are_read_by_their_saved_values(tmp_path: Path) -> None:
    path = xlsx(tmp_path, {"S": [["x", "y"], [1.5, "=A2*5"]]})
    with pytest.raises(InputError, match="cell B2 of sheet 'S' holds a formula without a saved"):
        read_grid(path)
    assert read_grid(_with_cached_values(path)).cells[1] == (1.5, 7.5)


def test_hidden_sheets_are_left_out_and_said(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path = xlsx(tmp_path, {"S": [[1.5, 2.5]], "Old": [[9.0]]})
    book = load_workbook(path)
    book["Old"].sheet_state = "hidden"
    book.save(path)
    grid = read_grid(path)
    assert grid.cells == ((1.5, 2.5),)
    assert grid.notes == ("Hidden sheet 'Old' is not read.",)


def test_a_workbook_is_known_by_content_not_by_name(tmp_path: Path) -> None:
    path = xlsx(tmp_path, {"S": [[1.5, 2.5]]})
    assert read_grid(path.rename(tmp_path / "scan.txt")).cells == ((1.5, 2.5),)


def test_macros_and_links_are_ignored(tmp_path: Path) -> None:
    path = xlsx(tmp_path, {"S": [[1.5, 2.5]]})
    stream = io.BytesIO(path.read_bytes())
    with zipfile.ZipFile(stream, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\xd0\xcf junk")
        archive.writestr("xl/externalLinks/externalLink1.xml", b"<externalLink>broken")
    path.write_bytes(stream.getvalue())
    assert read_grid(path).cells == ((1.5, 2.5),)


@pytest.mark.parametrize(
    ("shown_as", "expected"),
    [("0.0%", "12.5 %"), ('0.0" %"', 0.125), ("0.0\\%", 0.125), ("General", 0.125)],
)
def test_a_printed_per_cent_sign_scales_nothing(
    tmp_path: Path, shown_as: str, expected: object
) -> None:
    from openpyxl import load_workbook

    path = xlsx(tmp_path, {"S": [["x"], [0.125]]})
    book = load_workbook(path)
    book["S"]["A2"].number_format = shown_as
    book.save(path)
    assert read_grid(path).cells[1] == (expected,)
