"""Layouts of several versions, sheets and tables; notes, blends, prices, text files."""

from __future__ import annotations

from pathlib import Path

from lab_sheets import (
    EMULSIFIER,
    FIXED,
    OIL,
    SALT,
    ZINC,
    Computed,
    only,
    shares,
    understood,
    workbook,
)

HEAD = ["Phase", "Ingredient", "% w/w"]
ROWS: list[list[object]] = [
    ["A", ZINC, 18],
    ["A", OIL, 12.5],
    ["A", EMULSIFIER, 3],
    ["B", "Aqua", 61.8],
    ["B", "Magnesium Sulfate", 0.7],
    ["B", "Glycerin", 4],
]


def test_21_versions_side_by_side(tmp_path: Path) -> None:
    rows = [
        ["K-07 Sun fluid"],
        ["Phase", "Ingredient", "V1", "V2", "V3", "Remarks"],
        ["A", ZINC, 18, 20, 15, "disperse first"],
        ["A", OIL, 12.5, 12.5, "-", None],
        ["A", EMULSIFIER, 3, 3, 3, None],
        ["B", "Water", 61.8, "q.s.", "q.s. to 100", None],
        ["B", SALT, 0.7, 0.7, 0.7, None],
        ["B", "Glycerin", 4, None, 0, "none in V2"],
        [None, "Total", 100, 100, 100, None],
    ]
    plan = understood(workbook(tmp_path, {"Sheet1": rows}))
    assert [(f.code, f.label) for f in plan.formulas] == [("K-07", v) for v in ("V1", "V2", "V3")]
    first, second, third = (shares(planned) for planned in plan.formulas)
    assert first == FIXED
    assert second == [
        ("A", ZINC, 20.0, False),
        ("A", OIL, 12.5, False),
        ("A", EMULSIFIER, 3.0, False),
        ("B", "water", 63.8, True),
        ("B", SALT, 0.7, False),
    ]
    assert third == [
        ("A", ZINC, 15.0, False),
        ("A", EMULSIFIER, 3.0, False),
        ("B", "water", 81.3, True),
        ("B", SALT, 0.7, False),
    ]
    assert plan.formulas[0].formula is not None
    assert f"{ZINC}: disperse first." in plan.formulas[0].formula.note
    assert plan.formulas[1].origin.endswith("column D")


def test_22_versions_with_codes_of_their_own_under_a_merged_head(tmp_path: Path) -> None:
    rows = [
        ["Phase", "Ingredient", "Content in %", None],
        [None, None, "OF-4", "OF-5"],
        *[[*row, row[2]] for row in ROWS],
    ]
    merged = [("Sheet1", cells) for cells in ("A1:A2", "B1:B2", "C1:D1")]
    plan = understood(workbook(tmp_path, {"Sheet1": rows}, merged=merged))
    assert [f.code for f in plan.formulas] == ["OF-4", "OF-5"]
    assert [shares(f) for f in plan.formulas] == [FIXED, FIXED]


def test_23_percent_and_grams_under_each_version(tmp_path: Path) -> None:
    rows = [
        [None, None, "Trial 1", None, "Trial 2", None],
        ["Phase", "Ingredient", "%", "g", "%", "g"],
        *[[*row, row[2] * 2, row[2], row[2] * 3] for row in ROWS],  # type: ignore[operator]
    ]
    merged = [("Lab 12", "C1:D1"), ("Lab 12", "E1:F1")]
    plan = understood(workbook(tmp_path, {"Lab 12": rows}, merged=merged))
    assert [(f.code, f.label) for f in plan.formulas] == [
        ("Lab-12", "Trial 1"),
        ("Lab-12", "Trial 2"),
    ]
    assert [shares(f) for f in plan.formulas] == [FIXED, FIXED]


def test_24_a_formula_on_each_sheet_and_one_sheet_of_notes(tmp_path: Path) -> None:
    sheets = {
        "K-07": [HEAD, *ROWS],
        "K-08": [HEAD, *[list(row) for row in ROWS]],
        "Notes": [["Call the supplier about lead times"]],
    }
    sheets["K-08"][1][2], sheets["K-08"][4][2] = 20, 59.8
    plan = understood(workbook(tmp_path, sheets))
    assert [f.code for f in plan.formulas] == ["K-07", "K-08"]
    assert [s[2] for s in shares(plan.formulas[1])] == [20.0, 12.5, 3.0, 59.8, 0.7, 4.0]
    assert "Sheet 'Notes' holds no table of a formula and is not read." in plan.understood
    assert [f.code for f in understood(tmp_path / "lab.xlsx", sheet="K-08").formulas] == ["K-08"]


def test_25_two_tables_one_below_the_other(tmp_path: Path) -> None:
    rows = [
        ["Formula: K-07"],
        HEAD,
        *ROWS,
        [None, "Total", 100],
        [],
        ["Procedure: heat A, add B slowly."],
        [],
        ["Formula: K-08"],
        HEAD,
        *ROWS,
        [None, "Total", 100],
    ]
    plan = understood(workbook(tmp_path, {"Sheet1": rows}))
    assert [f.code for f in plan.formulas] == ["K-07", "K-08"]
    assert [shares(f) for f in plan.formulas] == [FIXED, FIXED]
    notes = [f.formula.note for f in plan.formulas if f.formula]
    assert "heat A, add B slowly" in notes[0]
    assert "heat A" not in notes[1]


def test_26_two_tables_side_by_side(tmp_path: Path) -> None:
    rows = [
        ["Formula: K-07", None, None, None, "Formula: K-08"],
        [*HEAD, None, *HEAD],
        *[[*row, None, *row] for row in ROWS],
    ]
    plan = understood(workbook(tmp_path, {"Sheet1": rows}))
    assert [f.code for f in plan.formulas] == ["K-07", "K-08"]
    assert [shares(f) for f in plan.formulas] == [FIXED, FIXED]


def test_27_sums_of_phases_and_phase_percent(tmp_path: Path) -> None:
    rows = [
        ["Phase", "Ingredient", "% w/w", "% in phase"],
        *[[*row, None] for row in ROWS[:3]],
        [None, "Total phase A", 33.5, 100],
        [],
        *[[*row, None] for row in ROWS[3:]],
        [None, "Total phase B", 66.5, 100],
        [None, "Grand total", 100, None],
    ]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_28_headings_that_carry_the_sum_of_their_phase(tmp_path: Path) -> None:
    rows = [
        ["Ingredient", "%"],
        ["Phase A", Computed("=SUM(B3:B5)", 33.5)],
        *[row[1:] for row in ROWS[:3]],
        ["Phase B", Computed("=SUM(B7:B9)", 66.5)],
        *[row[1:] for row in ROWS[3:]],
        [None, 100],
    ]
    assert only(workbook(tmp_path, {"F": rows})) == FIXED


def test_29_a_blend_over_several_rows(tmp_path: Path) -> None:
    rows = [
        ["Phase", "Trade name", "INCI", "%"],
        ["A", "Premix Z", "Zinc Oxide", 18],
        [None, None, "Stearic Acid", None],
        ["A", "Oil", "Caprylic/Capric Triglyceride", 12.5],
        ["A", "Emulsifier", "Polyglyceryl-3 Polyricinoleate", 3],
        ["B", "Water", "Aqua", 66.5],
    ]
    merged = [("F", "B2:B3"), ("F", "D2:D3"), ("F", "A2:A3")]
    plan = understood(workbook(tmp_path, {"F": rows}, merged=merged))
    (match,) = plan.unnamed
    assert (match.name, match.inci) == ("Premix Z", "Zinc Oxide (and) Stearic Acid")
    assert set(match.suggestions) == {"zinc-oxide-120-stearate", "zinc-oxide-250-stearate"}
    found = only(tmp_path / "lab.xlsx", "premix z=zinc-oxide-120-stearate")
    assert found[0] == ("A", "zinc-oxide-120-stearate", 18.0, False)
