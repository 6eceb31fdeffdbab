"""Layouts with prices, notes, gaps, hidden rows, text files, and other numbers beside."""

from __future__ import annotations

from pathlib import Path

import pytest
from lab_sheets import (
    EMULSIFIER,
    FIXED,
    FLUID,
    OIL,
    SALT,
    ZINC,
    only,
    shares,
    understood,
    workbook,
)

from zincite.errors import InputError

HEAD = ["Phase", "Ingredient", "% w/w"]
ROWS: list[list[object]] = [
    ["A", ZINC, 18],
    ["A", OIL, 12.5],
    ["A", EMULSIFIER, 3],
    ["B", "Aqua", 61.8],
    ["B", "Magnesium Sulfate", 0.7],
    ["B", "Glycerin", 4],
]


def test_30_prices_and_notes_beside_amounts(tmp_path: Path) -> None:
    rows = [
        [*HEAD, "€/kg", "Bemerkung"],
        *[[*row, price, None] for row, price in zip(ROWS, (24, 5.5, "14,00 €", None, 1, 2.2),
                                                     strict=True)],
    ]  # fmt: skip
    rows[1][4] = "slowly, under the vacuum"
    (planned,) = understood(workbook(tmp_path, {"K-07": rows})).formulas
    assert planned.formula is not None
    prices = {key: value.value for key, value in planned.formula.prices_per_kg.items()}
    assert prices == {ZINC: 24.0, OIL: 5.5, EMULSIFIER: 14.0, SALT: 1.0, "glycerin": 2.2}
    assert "slowly, under the vacuum" in planned.formula.note


@pytest.mark.parametrize(
    ("sign", "decimal", "codec"),
    [(";", ",", "latin-1"), ("\t", ".", "utf-16"), (",", ".", "utf-8-sig"), ("|", ",", "utf-8")],
)
def test_31_delimited_text(tmp_path: Path, sign: str, decimal: str, codec: str) -> None:
    lines = [["Phase", "Rohstoff", "Menge %", "Bemerkung"]]
    for row in ROWS:
        number = f"{row[2]:g}".replace(".", decimal)
        lines.append([str(row[0]), str(row[1]), number, "für später"])
    path = tmp_path / "K-07.csv"
    path.write_bytes("\r\n".join(sign.join(line) for line in lines).encode(codec))
    (planned,) = understood(path).formulas
    assert shares(planned) == FIXED
    assert (planned.code, planned.origin) == ("K-07", "K-07.csv, rows 1 to 7")


def test_32_no_header_at_all(tmp_path: Path) -> None:
    plan = understood(workbook(tmp_path, {"F": [row[1:] for row in ROWS]}), emulsion="water-in-oil")
    found = shares(plan.formulas[0])
    assert sorted((card, percent) for _, card, percent, _ in found) == sorted(
        (card, percent) for _, card, percent, _ in FIXED
    )
    assert any("no header row" in text for text in plan.understood)
    assert any("names no phases" in text for text in plan.understood)


def test_33_blank_rows_rows_without_amounts_and_several_q_s(tmp_path: Path) -> None:
    rows = [
        ["No.", "Phase", "Ingredient", "INCI", "% w/w", "Function"],
        [1, "A", "Zinc", ZINC, 18, "UV filter"],
        [],
        [2, None, "Oil", "Caprylic/Capric Triglyceride", 12.5, "emollient"],
        [3, None, "PGPR", "Polyglyceryl-3 Polyricinoleate", 3, "emulsifier"],
        [],
        [4, "B", "Deionised water", "Aqua", "q.s.", "solvent"],
        [5, None, "Salt", "Magnesium Sulfate", 0.7, None],
        [6, None, "Glycerin", "Glycerin", 4, None],
        [7, "C", "Acid", "Citric Acid", "q.s.", "to pH 5.5"],
        [8, None, "Perfume", "Parfum", None, "to be chosen"],
    ]
    plan = understood(workbook(tmp_path, {"F": rows}))
    assert shares(plan.formulas[0]) == FLUID
    assert any("'Acid' says 'q.s.' in E10" in text for text in plan.understood)
    assert any("'Perfume' (E11)" in text for text in plan.understood)
    assert plan.formulas[0].formula is not None
    assert "Acid: q.s." in plan.formulas[0].formula.note


def test_34_ids_of_cards_in_a_column_of_codes(tmp_path: Path) -> None:
    rows = [["Phase", "Code", "Trade name", "% w/w"]]
    rows += [[p, card, f"Trade {n}", share] for n, (p, card, share, _) in enumerate(FIXED)]  # type: ignore[list-item]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_35_numbered_phases_and_phase_without_header(tmp_path: Path) -> None:
    rows = [[None, "Ingredient", "%"]]
    rows += [[1 if row[0] == "A" else 2, *row[1:]] for row in ROWS]  # type: ignore[list-item]
    found = only(workbook(tmp_path, {"F": rows}))
    assert found == [("1" if p == "A" else "2", *rest) for p, *rest in FIXED]


def test_36_hidden_rows_and_columns_are_read_and_said(tmp_path: Path) -> None:
    from openpyxl import load_workbook

    path = workbook(tmp_path, {"F": [HEAD, *ROWS]})
    book = load_workbook(path)
    book["F"].row_dimensions[3].hidden = True
    book.save(path)
    plan = understood(path)
    assert shares(plan.formulas[0]) == FIXED
    assert "Hidden rows are read too: 3." in plan.understood


def test_37_other_numbers_beside_percent_are_said_not_to_be_read(tmp_path: Path) -> None:
    rows = [[*HEAD, "HLB", "Supplier"], *[[*row, 4.5, "Maker"] for row in ROWS]]
    plan = understood(workbook(tmp_path, {"F": rows}))
    assert [shares(planned) for planned in plan.formulas] == [FIXED]
    assert (
        "Column D ('HLB') is not read: its numbers are no amounts that sum to 100 %."
        in plan.understood
    )
    assert any("Not read: E 'Supplier'." in text for text in plan.understood)


def test_38_a_second_version_with_a_wrong_sum_is_not_passed_over(tmp_path: Path) -> None:
    rows = [[*HEAD, "V2"], *[[*row, row[2]] for row in ROWS]]
    rows[1][3] = 17
    with pytest.raises(InputError, match=r"column D \('V2'\) of sheet 'F', which sums to 99"):
        understood(workbook(tmp_path, {"F": rows}))


def test_40_text_that_an_export_made_harmless_is_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "K-07.csv"
    path.write_text('"Ingredient","%"\r\n"\'=Oil",20\r\n"Aqua",80\r\n', encoding="utf-8-sig")
    plan = understood(path, new_cards=True, emulsion="oil-in-water")
    assert [match.name for match in plan.names] == ["=Oil", "Aqua"]
