"""Files that are wrong, odd or hostile: the right numbers, or one sentence that names the cell."""

from __future__ import annotations

import datetime
import re
import time
import zipfile
from pathlib import Path
from typing import Any

import pytest
from lab_sheets import (
    FIXED,
    FLUID,
    OIL,
    ZINC,
    Computed,
    only,
    patched,
    refused,
    shares,
    understood,
    workbook,
)

HEAD = ["Phase", "Ingredient", "% w/w"]
ROWS: list[list[Any]] = [[p, card, percent] for p, card, percent, _ in FIXED]
SHEET = "xl/worksheets/sheet1.xml"


def changed(tmp_path: Path, cell: str, value: Any) -> Path:
    """Return the usual sheet with another value in a cell such as "C5"."""
    rows = [list(row) for row in [HEAD, *ROWS]]
    rows[int(cell[1:]) - 1][ord(cell[0]) - ord("A")] = value
    return workbook(tmp_path, {"F": rows})


@pytest.mark.parametrize(
    ("cell", "value", "said"),
    [
        ("C3", -2, "cell C3 of sheet 'F' holds -2, expected an amount of 0 or more"),
        ("C3", "-2 %", "cell C3 of sheet 'F' holds -2, expected"),
        ("C3", "5-7", "cell C3 of sheet 'F' holds '5-7', expected one amount"),
        ("C3", "NaN", "cell C3 of sheet 'F' holds 'NaN', expected one amount"),
        ("C3", "inf", "cell C3 of sheet 'F' holds 'inf', expected one amount"),
        ("C3", "1e999", "cell C3 of sheet 'F' holds '1e999', expected one amount"),
        ("C3", "see above", "cell C3 of sheet 'F' holds 'see above', expected one amount"),
        ("C3", datetime.date(2026, 5, 1), "cell C3 of sheet 'F' holds the date 2026-05-01"),
        ("C3", "#REF!", "cell C3 of sheet 'F' holds"),
        ("C3", "12 g", "cell C3 of sheet 'F' holds '12 g' in a column of other units"),
        ("C3", Computed("=B99*2"), "cell C3 of sheet 'F' holds a formula without a saved value"),
        ("C3", 52.5, "sums to 140 % from C2 to C7, expected 100 %"),
        ("C3", 9.5, "sums to 97 % from C2 to C7, expected 100 %"),
        ("B3", "x" * 201, "cell B3 of sheet 'F' holds 201 characters beginning 'xxx"),
    ],
)
def test_a_wrong_cell_is_named(tmp_path: Path, cell: str, value: Any, said: str) -> None:
    assert said in refused(changed(tmp_path, cell, value))


def test_two_rests(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 18], ["A", OIL, "rest"], ["B", "Water", "ad 100"]]
    text = refused(workbook(tmp_path, {"F": rows}))
    assert f"fills up twice, in C3 ('{OIL}') and C4 ('Water'), expected one rest" in text


def test_two_q_s_without_water(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 18], ["A", OIL, "q.s."], ["B", "Glycerin", "q.s."]]
    path = workbook(tmp_path, {"F": rows})
    assert "says q.s. in C3" in refused(path)
    found = only(path, rest="glycerin", emulsion="anhydrous")
    assert found[-1] == ("B", "glycerin", 82.0, True)


def test_a_rest_that_is_less_than_nothing(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 68], ["A", OIL, 42], ["B", "Water", "q.s. 100"]]
    text = refused(workbook(tmp_path, {"F": rows}))
    assert "cell C4 of sheet 'F' is to fill up to 100 %" in text
    assert "sum to 110 % already" in text


def test_a_stated_sum_that_is_not_the_sum(tmp_path: Path) -> None:
    path = workbook(tmp_path, {"F": [HEAD, *ROWS, [None, "Total", 98.5]]})
    assert (
        "cell C8 of sheet 'F' holds 98.5 beside 'Total' but C2 to C7 sum to 100, expected the same"
        in refused(path)
    )


def test_an_amount_without_a_name(tmp_path: Path) -> None:
    path = workbook(tmp_path, {"F": [HEAD, *ROWS[:3], ["B", None, 61.8], *ROWS[4:]]})
    text = refused(path)
    assert "cell C5 of sheet 'F' holds 61.8 without a name beside it" in text


def test_grams_that_may_be_thousands(tmp_path: Path) -> None:
    rows = [["Ingredient", "g"], [ZINC, "1,250"], ["Water", "3,750"], ["Total", "5,000"]]
    text = refused(workbook(tmp_path, {"F": rows}))
    assert "cell B2 of sheet 'F' holds '1,250', which may be a decimal number or thousands" in text


def test_percent_and_fractions_in_one_column(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 0.18], ["A", OIL, 0.5], ["B", "Water", "q.s."]]
    path = workbook(tmp_path, {"F": rows}, formats={"C2": "0 %"})
    assert "cell C3 of sheet 'F' holds '0.5' among cells shown as per cent" in refused(path)


def test_small_amounts_beside_a_rest_are_asked_for(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 0.18], ["A", OIL, 0.125], ["B", "Water", "q.s. to 100"]]
    path = workbook(tmp_path, {"F": rows})
    assert "cell C2 of sheet 'F' holds '0.18' and all amounts beside the rest" in refused(path)
    said = {"emulsion": "oil-in-water"}
    as_percent = only(path, columns=("C=percent",), **said)
    assert [percent for _, _, percent, _ in as_percent] == [0.18, 0.125, 99.695]
    as_fraction = only(path, columns=("% w/w=fraction",), **said)
    assert [percent for _, _, percent, _ in as_fraction] == [18.0, 12.5, 69.5]


def test_weights_without_a_batch(tmp_path: Path) -> None:
    rows = [["Ingredient", "g"], [ZINC, 18.37], ["Water", 61.8]]
    text = refused(workbook(tmp_path, {"F": rows}))
    assert "cell B2 of sheet 'F' begins column B ('g') of sheet 'F' of weights" in text


def test_not_a_number_in_the_file_itself(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    patched(path, {SHEET: (b"<v>12.5</v>", b"<v>NaN</v>")})
    assert "below row 2 of sheet 'F'" in refused(path)
    patched(path, {SHEET: (b"<v>NaN</v>", b"<v>1e999</v>")})
    assert "cell C3 of sheet 'F' holds the number inf" in refused(path)


def test_text_that_looks_like_a_command_stays_text(tmp_path: Path) -> None:
    bad = "=cmd|' /C calc'!A0"
    rows = [HEAD, *ROWS[:5], ["B", bad, 4]]
    plan = understood(workbook(tmp_path, {"F": rows}), new_cards=True)
    (card,) = plan.cards
    assert card.inci == bad
    assert re.fullmatch(r"[a-z0-9-]+", card.id)
    (formula,) = plan.formulas
    assert shares(formula)[-1] == ("B", card.id, 4.0, False)


def test_a_command_in_a_formula_cell_is_only_its_saved_value(tmp_path: Path) -> None:
    rows = [HEAD, *[list(row) for row in ROWS]]
    rows[2][2] = Computed("=DDE(&quot;cmd&quot;,&quot;calc&quot;,&quot;x&quot;)", 12.5)
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_links_macros_and_connections_are_named_and_left_alone(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    rels = (
        b'<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/'
        b'2006/relationships"><Relationship Id="r" Type="t" TargetMode="External" '
        b'Target="file:///server/secret/prices.xlsx"/></Relationships>'
    )
    patched(
        path,
        {
            "xl/externalLinks/externalLink1.xml": b"<externalLink>broken",
            "xl/externalLinks/_rels/externalLink1.xml.rels": rels,
            "xl/vbaProject.bin": b"\xd0\xcf junk",
            "xl/connections.xml": b"<connections/>",
        },
    )
    plan = understood(path.rename(tmp_path / "lab.xlsm"))
    assert shares(plan.formulas[0]) == FIXED
    assert "Macros in the workbook are neither read nor run." in plan.understood
    assert "Data connections of the workbook are not opened." in plan.understood
    assert (
        "1 link to other files ('prices.xlsx') not followed; the saved values are read."
        in plan.understood
    )


def test_entities_are_refused(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    bomb = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><worksheet'
    patched(path, {SHEET: (b"<worksheet", bomb)})
    assert "declares XML entities" in refused(path)


def test_zip_bombs_are_refused_before_they_are_opened(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    patched(path, {"xl/media/image1.bin": b"\0" * (40 * 2**20)})
    start = time.monotonic()
    assert "packed" in refused(path)
    assert time.monotonic() - start < 5.0
    many = tmp_path / "many.xlsx"
    with zipfile.ZipFile(many, "w") as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        for number in range(2100):
            archive.writestr(f"xl/{number}", "")
    assert "entries" in refused(many)


def test_a_stated_million_rows_is_not_believed(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    with zipfile.ZipFile(path) as archive:
        text = archive.read(SHEET)
    vast = re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1:XFD1048576"', text)
    assert vast != text
    start = time.monotonic()
    assert only(patched(path, {SHEET: vast})) == FIXED
    assert time.monotonic() - start < 5.0


def test_a_cell_in_the_last_row_and_column(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path = changed(tmp_path, "C3", 12.5)
    book = load_workbook(path)
    book["F"]["XFD1048576"] = "forgotten"
    book.save(path)
    start = time.monotonic()
    plan = understood(path)
    assert shares(plan.formulas[0]) == FIXED
    assert time.monotonic() - start < 20.0


def test_vast_merged_ranges(tmp_path: Path) -> None:
    path = changed(tmp_path, "C3", 12.5)
    merge = b'<mergeCells count="1"><mergeCell ref="E1:XFD1048576"/></mergeCells>'
    patched(path, {SHEET: (b"</sheetData>", b"</sheetData>" + merge)})
    assert only(path) == FIXED


def test_water_as_rest_survives_the_formula_file(tmp_path: Path) -> None:
    from zincite.formula.reading import parse_formula

    path = changed(tmp_path, "C5", "q.s. to 100")
    (planned,) = understood(path).formulas
    read = parse_formula(planned.toml)
    assert [(p.name, i.material, round(i.percent, 6), i.is_rest)
            for p in read.phases for i in p.ingredients] == FLUID  # fmt: skip


def test_a_computed_rest_that_leaves_amounts_out_is_asked_for(tmp_path: Path) -> None:
    rows = [HEAD, *[list(row) for row in ROWS]]
    rows[4][2] = Computed("=100-SUM(C2:C4)")
    text = refused(workbook(tmp_path, {"F": rows}))
    assert "cell C5 of sheet 'F' holds a formula without a saved value" in text


def test_q_s_of_an_acid_is_not_what_is_missing_from_a_wrong_sum(tmp_path: Path) -> None:
    rows = [HEAD, *ROWS[:5], ["B", "Glycerin", 3.3], ["C", "Citric Acid", "q.s."]]
    text = refused(workbook(tmp_path, {"F": rows}))
    assert "cell C8 of sheet 'F' says 'q.s.' of 'Citric Acid' where 0.7 % is missing" in text


@pytest.mark.parametrize(
    ("head", "scale", "words", "refusal"),
    [
        ("%", 1, "ad 100 g", ""),
        ("g", 5, "ad 500 g", ""),
        ("kg", 0.1, "ad 10 kg", ""),
        ("kg", 0.1, "ad 10000 g", ""),
        ("%", 1, "ad 50", "cell C5 of sheet 'F' holds 'ad 50', expected a rest that fills up"),
        ("g", 5, "ad 100 %", "without a stated batch"),
    ],
)
def test_the_whole_that_a_rest_names(
    tmp_path: Path, head: str, scale: float, words: str, refusal: str
) -> None:
    rows = [["Phase", "Ingredient", head], *[[*row[:2], row[2] * scale] for row in ROWS]]
    rows[4][2] = words
    path = workbook(tmp_path, {"F": rows})
    if refusal:
        assert refusal in refused(path)
    else:
        assert only(path) == FLUID


def test_weights_with_sums_of_phases_only(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "g"]]
    rows += [[*row[:2], row[2] * 5.001] for row in ROWS[:3]]
    rows += [[None, "Total A", 33.5 * 5.001], *[[*row[:2], row[2] * 5.001] for row in ROWS[3:]]]
    rows += [[None, "Total B", 66.5 * 5.001]]
    assert "without a stated batch" in refused(workbook(tmp_path, {"F": rows}))
    assert only(workbook(tmp_path, {"F": [*rows, [None, "Total", 500.1]]})) == FIXED
