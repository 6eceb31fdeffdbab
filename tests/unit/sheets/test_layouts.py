"""Layouts of formula sheets as laboratories keep them: one formula, the right numbers."""

from __future__ import annotations

from pathlib import Path

import pytest
from lab_sheets import (
    EMULSIFIER,
    FIXED,
    FLUID,
    OIL,
    ZINC,
    Computed,
    only,
    shares,
    understood,
    workbook,
)

ROWS: list[list[object]] = [
    ["A", ZINC, 18],
    [None, OIL, 12.5],
    [None, EMULSIFIER, 3],
    ["B", "Aqua", 61.8],
    [None, "Magnesium Sulfate", 0.7],
    [None, "Glycerin", 4],
]


def test_01_plain_table_with_phase_column(tmp_path: Path) -> None:
    path = workbook(tmp_path, {"K-07": [["Phase", "Ingredient", "% w/w"], *ROWS]})
    plan = understood(path)
    assert shares(plan.formulas[0]) == FIXED
    assert plan.formulas[0].code == "K-07"
    assert plan.formulas[0].origin == "lab.xlsx, sheet 'K-07', cells A1:C7"


def test_02_title_block_above_the_table(tmp_path: Path) -> None:
    rows = [
        ["Sun fluid, mineral"],
        ["Formula code:", "K-07", None, "Date:", "2026-03-02"],
        ["Emulsion: W/O"],
        [],
        ["Phase", "Raw material", "wt%"],
        *ROWS,
    ]
    (planned,) = understood(workbook(tmp_path, {"Sheet1": rows})).formulas
    assert shares(planned) == FIXED
    assert planned.formula is not None
    assert (planned.code, planned.formula.name) == ("K-07", "Sun fluid, mineral")
    assert planned.formula.emulsion == "water-in-oil"
    assert "Date: 2026-03-02" in planned.formula.note


def test_03_phases_as_section_rows(tmp_path: Path) -> None:
    rows = [
        ["INCI", "%"],
        ["Phase A"],
        *[row[1:] for row in ROWS[:3]],
        ["Phase B"],
        *[row[1:] for row in ROWS[3:]],
    ]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_04_section_rows_merged_with_kind_and_temperature(tmp_path: Path) -> None:
    rows = [
        ["Trade name", "INCI", "% w/w"],
        ["Phase A: pigments and oils (60 °C)"],
        *[["-", row[1], row[2]] for row in ROWS[:3]],
        [],
        ["Phase B – Water phase (60 °C)"],
        *[["-", row[1], row[2]] for row in ROWS[3:]],
    ]
    path = workbook(tmp_path, {"F": rows}, merged=[("F", "A2:C2"), ("F", "A7:C7")])
    (planned,) = understood(path).formulas
    assert shares(planned) == FIXED
    assert planned.formula is not None
    first, second = planned.formula.phases
    assert (second.kind, second.temperature_C, first.temperature_C) == ("water", 60.0, 60.0)


def test_05_merged_phase_cells_and_merged_header(tmp_path: Path) -> None:
    rows = [
        ["Formula K-07"],
        ["Phase", "Ingredients", None, "Amount"],
        [None, "Trade name", "INCI", "% (w/w)"],
        *[[row[0], f"Trade {n}", row[1], row[2]] for n, row in enumerate(ROWS)],
    ]
    merged = ["A1:D1", "A2:A3", "B2:C2", "A4:A6", "A7:A9"]
    path = workbook(tmp_path, {"Sheet1": rows}, merged=[("Sheet1", m) for m in merged])
    (planned,) = understood(path, f"Trade 0={ZINC}").formulas
    assert shares(planned) == FIXED
    assert planned.code == "K-07"


def test_06_german_with_decimal_comma_as_text(tmp_path: Path) -> None:
    rows = [
        ["Rezeptur Nr. K-07"],
        ["Phase", "Rohstoff", "INCI-Bezeichnung", "Gew.-%", "Funktion"],
        ["A", "Zinkoxid", ZINC, "18,0", "UV-Filter"],
        [None, "Neutralöl", "Caprylic/Capric Triglyceride", "12,5", "Emollient"],
        [None, "Emulgator", "Polyglyceryl-3 Polyricinoleate", "3,0", "Emulgator"],
        ["B", "Wasser", "Aqua", "ad 100", ""],
        [None, "Bittersalz", "Magnesium Sulfate", "0,7", ""],
        [None, "Glyzerin", "Glycerin", "4,0", ""],
        [None, "Summe", None, "100,0", None],
    ]
    (planned,) = understood(workbook(tmp_path, {"Tabelle1": rows})).formulas
    assert shares(planned) == FLUID
    assert planned.code == "K-07"


def test_07_french(tmp_path: Path) -> None:
    rows = [
        ["Code formule :", "K-07"],
        ["Partie", "Matière première", "Nom INCI", "Pourcentage", "Fournisseur"],
        ["A", "Oxyde de zinc", ZINC, 18, "laboratoire inventé"],
        ["A", "Huile", "Caprylic/Capric Triglyceride", 12.5, None],
        ["A", "Émulsionnant", "POLYGLYCERYL-3 POLYRICINOLEATE", 3, None],
        ["B", "Eau déminéralisée", "Aqua", "q.s.p. 100", None],
        ["B", "Sulfate de magnésium", "Magnesium sulfate", 0.7, None],
        ["B", "Glycérine", "Glycerin", 4, None],
        [None, "Total", None, 100, None],
    ]
    (planned,) = understood(workbook(tmp_path, {"Feuil1": rows})).formulas
    assert shares(planned) == FLUID
    assert planned.code == "K-07"


def test_08_spanish(tmp_path: Path) -> None:
    rows = [
        ["Fase", "Materia prima", "Denominación INCI", "% p/p", "Función"],
        ["Fase A", "Óxido de zinc", ZINC, "18", ""],
        ["Fase A", "Aceite", "Caprylic/Capric Triglyceride", "12,5", ""],
        ["Fase A", "Emulsionante", "Polyglyceryl-3 Polyricinoleate", "3", ""],
        ["Fase B", "Agua", "Aqua", "c.s.p. 100", ""],
        ["Fase B", "Sulfato", "Magnesium Sulfate", "0,7", ""],
        ["Fase B", "Glicerina", "Glycerin", "4", ""],
    ]
    assert only(workbook(tmp_path, {"Hoja1": rows})) == FLUID


def test_09_fractions_shown_as_per_cent(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "%"], *[[*row[:2], row[2] / 100] for row in ROWS]]  # type: ignore[operator]
    path = workbook(tmp_path, {"F": rows}, formats={"C2:C7": "0.00%"})
    assert only(path) == FIXED


def test_10_fractions_without_format(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "Share"], *[[*row[:2], row[2] / 100] for row in ROWS]]  # type: ignore[operator]
    plan = understood(workbook(tmp_path, {"F": [*rows, [None, "Total", 1]]}))
    assert shares(plan.formulas[0]) == FIXED
    assert any("fractions of 1, times 100" in text for text in plan.understood)


def test_11_a_per_cent_sign_that_is_only_printed(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "%"], *ROWS]
    path = workbook(tmp_path, {"F": rows}, formats={"C2:C7": '0.0" %"'})
    assert only(path) == FIXED


def test_12_percent_as_text_with_sign(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "Menge"]]
    rows += [[*row[:2], f"{row[2]:.2f} %".replace(".", ",")] for row in ROWS]  # type: ignore[list-item]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


@pytest.mark.parametrize("unit", ["Menge [g]", "Weight (g)", "Poids (g)"])
def test_13_grams_of_a_batch_with_its_sum(tmp_path: Path, unit: str) -> None:
    rows = [["Phase", "Ingredient", unit], *[[*row[:2], row[2] * 5] for row in ROWS]]  # type: ignore[operator]
    plan = understood(workbook(tmp_path, {"F": [*rows, [None, "Summe", 500]]}))
    assert shares(plan.formulas[0]) == FIXED
    assert any("g of a batch of 500 g" in text for text in plan.understood)


def test_14_kilograms_with_batch_size_above(tmp_path: Path) -> None:
    rows = [["Batch size:", "25 kg"], ["Phase", "Material", "kg"]]
    rows += [[*row[:2], row[2] / 4] for row in ROWS]  # type: ignore[operator,list-item]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_15_grams_with_thousands_and_water_to_the_batch(tmp_path: Path) -> None:
    rows = [
        ["Phase", "Rohstoff", "Einwaage (g)"],
        ["A", ZINC, "1.800,00"],
        ["A", OIL, "1.250,00"],
        ["A", EMULSIFIER, "300,00"],
        ["B", "Wasser", "ad 10.000,00"],
        ["B", "Magnesium Sulfate", "70,00"],
        ["B", "Glycerin", "400,00"],
    ]
    assert only(workbook(tmp_path, {"F": rows})) == FLUID


def test_16_percent_and_batch_weights_side_by_side(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "% w/w", "Batch 750 g", "Weighed", "Initials"]]
    rows += [[*row, row[2] * 7.5, None, None] for row in ROWS]  # type: ignore[operator,list-item]
    plan = understood(workbook(tmp_path, {"F": rows}))
    assert [shares(planned) for planned in plan.formulas] == [FIXED]
    assert any("repeats the amounts as weights" in text for text in plan.understood)


def test_17_grams_per_kilogram(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "g/kg"], *[[*row[:2], row[2] * 10] for row in ROWS]]  # type: ignore[operator]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_18_the_water_is_computed(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "%"], *[list(row) for row in ROWS]]
    rows[4][2] = Computed("=100-SUM(C2:C4,C6:C7)", 61.8)
    rows.append([None, "Total", Computed("=SUM(C2:C7)", 100)])
    path = workbook(tmp_path, {"F": rows})
    assert only(path) == FLUID


def test_19_computed_cells_that_were_never_saved(tmp_path: Path) -> None:
    rows = [["Phase", "Ingredient", "%"], *[list(row) for row in ROWS]]
    rows[4][2] = Computed("=100-SUM(C2:C4,C6:C7)")
    rows.append([None, "Total", Computed("=SUM(C2:C7)")])
    plan = understood(workbook(tmp_path, {"F": rows}))
    assert shares(plan.formulas[0]) == FLUID
    assert any("C5 computes '=100-SUM(C2:C4,C6:C7)'" in text for text in plan.understood)
    assert any("The sum in C8 has no usable value" in text for text in plan.understood)


@pytest.mark.parametrize("word", ["q.s.", "qs to 100", "ad 100 %", "rest", "Balance", "to 100",
                                  "q.s. 100", "Rest auf 100", "hasta 100", "c.s.p."])  # fmt: skip
def test_20_words_for_the_rest(tmp_path: Path, word: str) -> None:
    rows = [["Phase", "Ingredient", "%"], *[list(row) for row in ROWS]]
    rows[4][2] = word
    assert only(workbook(tmp_path, {"F": rows})) == FLUID
