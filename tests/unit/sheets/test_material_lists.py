"""Lists of materials and lots: cards with their values, lots with their dates, or one sentence."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest
from lab_sheets import OIL, ZINC, workbook

from zincite.errors import InputError
from zincite.formula.library import library
from zincite.sources import Evidence
from zincite.workbench.sheets import MaterialPlan, answers_of, understand_materials

HEAD = ["Trade name", "INCI", "Supplier", "Price €/kg", "Density", "Lot", "Expiry"]


def listed(path: Path, *maps: str, **given: Any) -> MaterialPlan:
    return understand_materials(path, answers_of(maps, **given))


def refused(path: Path, *maps: str) -> str:
    with pytest.raises(InputError) as caught:
        listed(path, *maps)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_cards_take_the_values_of_the_list(tmp_path: Path) -> None:
    rows = [
        ["Invented laboratory, stock list"],
        HEAD,
        ["Oil X", "Caprylic/Capric Triglyceride", "Maker 1", 5.2, "0,95", "L-1", "31.05.2027"],
        ["Glycerine", "Glycerin", "Maker 2", "2,20 €", "1.25 - 1.27", "L-2", "05/2028"],
        ["Zinc Z", ZINC, "Maker 3", 24, None, "L-3", datetime.date(2029, 1, 31)],
    ]
    plan = listed(workbook(tmp_path, {"Stock": rows}))
    assert plan.is_ready
    cards = {card.id: card for card in plan.cards}
    assert set(cards) == {OIL, "glycerin", ZINC}
    price = cards[OIL].properties["price_per_kg"]
    assert (price.value, price.unit, price.evidence) == (5.2, "EUR/kg", Evidence.DATA_SHEET)
    assert price.source == "lab.xlsx, sheet 'Stock', cells A2:G5"
    density = cards["glycerin"].properties["density_g_ml"]
    assert (density.value, density.low, density.high) == pytest.approx((1.26, 1.25, 1.27))
    # what the list does not say stays as the library has it
    kept = library()[OIL].properties
    assert cards[OIL].properties["refractive_index"] == kept["refractive_index"]
    assert cards[ZINC].grade == library()[ZINC].grade
    assert "Oil X (Maker 1)" in cards[OIL].notes
    assert [(lot.code, lot.material, lot.supplier, lot.expires_on) for lot in plan.lots] == [
        ("L-1", OIL, "Maker 1", "2027-05-31"),
        ("L-2", "glycerin", "Maker 2", "2028-05-31"),
        ("L-3", ZINC, "Maker 3", "2029-01-31"),
    ]


def test_several_lots_of_a_material_give_a_range(tmp_path: Path) -> None:
    rows = [HEAD, ["A", "Glycerin", "M", 2.0, 1.26, "G-1", None],
            ["A", "Glycerin", "M", 2.6, 1.26, "G-2", None]]  # fmt: skip
    plan = listed(workbook(tmp_path, {"S": rows}))
    (card,) = plan.cards
    price = card.properties["price_per_kg"]
    assert (price.value, price.low, price.high) == (2.6, 2.0, 2.6)
    assert card.properties["density_g_ml"].low is None
    assert [lot.values["price_per_kg"] for lot in plan.lots] == [2.0, 2.6]


@pytest.mark.parametrize(
    "head",
    [
        ["Handelsname", "INCI", "Lieferant", "Preis €/kg", "Dichte", "Chargen-Nr.", "MHD"],
        ["Nom commercial", "Nom INCI", "Fournisseur", "Prix (€/kg)", "Densité", "N° de lot", "DLC"],
        ["Nombre comercial", "INCI", "Proveedor", "Precio EUR/kg", "Densidad", "Lote", "Caducidad"],
    ],
)
def test_other_languages(tmp_path: Path, head: list[str]) -> None:
    rows = [head, ["X", "Squalane", "M", "20,5", "0,81", "S-1", "2027-02-01"]]
    plan = listed(workbook(tmp_path, {"S": rows}))
    (card,), (lot,) = plan.cards, plan.lots
    assert card.properties["price_per_kg"].value == 20.5
    assert card.properties["density_g_ml"].value == 0.81
    assert (lot.code, lot.expires_on, lot.material) == ("S-1", "2027-02-01", "squalane")


def test_prices_in_other_money_are_not_taken_for_euro(tmp_path: Path) -> None:
    rows = [["Trade name", "INCI", "Price USD/kg", "Density"], ["X", "Squalane", 20.5, 0.81]]
    plan = listed(workbook(tmp_path, {"S": rows}))
    assert plan.cards[0].properties.get("price_per_kg") == library()["squalane"].properties.get(
        "price_per_kg"
    )
    assert any("cards hold prices in EUR/kg, not USD/kg" in text for text in plan.understood)


def test_new_cards_are_marked_as_assumed(tmp_path: Path) -> None:
    rows = [["Trade name", "INCI", "Function", "Supplier", "Phase"],
            ["Wax W", "Invented Seed Wax", "wax", "Maker", "oil"]]  # fmt: skip
    path = workbook(tmp_path, {"S": rows})
    assert [match.name for match in listed(path).unnamed] == ["Wax W"]
    (card,) = listed(path, new_cards=True).cards
    assert (card.id, card.inci, card.functions, card.phase) == (
        "wax-w",
        "Invented Seed Wax",
        ("wax",),
        "oil",
    )
    assert card.properties == {}
    assert "every value are assumed" in card.notes


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (["X", "Glycerin", "M", 2, 126, "L", None], "cell E2 of sheet 'S' holds '126', expected "
         "density_g_ml from 0.1 to 12 g/mL"),
        (["X", "Glycerin", "M", -2, 1.2, "L", None], "cell D2 of sheet 'S' holds '-2', expected a "
         "price per kg"),
        (["X", "Glycerin", "M", "on request", 1.2, "L", None], "cell D2 of sheet 'S' holds 'on "
         "request', expected a price"),
        (["X", "Glycerin", "M", 2, 1.2, "L", "05/06/2027"], "cell G2 of sheet 'S' holds "
         "'05/06/2027', which may begin with the day or the month"),
        (["X", "Glycerin", "M", 2, 1.2, "L", "31.02.2027"], "cell G2 of sheet 'S' holds "
         "'31.02.2027', expected a date such as"),
        (["X", "Glycerin", "M", 2, 1.2, "L", 46500], "cell G2 of sheet 'S' holds '46500', expected "
         "a date"),
        (["X", "Glycerin", "M", 2, 1.2, None, "2027-05-31"], "cell G2 of sheet 'S' holds the date "
         "2027-05-31 of 'X' without a lot"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named(tmp_path: Path, row: list[object], said: str) -> None:
    assert said in refused(workbook(tmp_path, {"S": [HEAD, row]}))


def test_a_day_above_twelve_settles_the_order_of_dates(tmp_path: Path) -> None:
    rows = [HEAD, ["X", "Glycerin", "M", 2, 1.2, "L1", "05/06/2027"],
            ["X", "Glycerin", "M", 2, 1.2, "L2", "25/06/2027"]]  # fmt: skip
    plan = listed(workbook(tmp_path, {"S": rows}))
    assert [lot.expires_on for lot in plan.lots] == ["2027-06-05", "2027-06-25"]


@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("31 May 2027", "2027-05-31"),
        ("1. März 2027", "2027-03-01"),
        ("juin 2027", "2027-06-30"),
        ("15-dic-27", "2027-12-15"),
        ("2027/02", "2027-02-28"),
        ("3.4.27", "2027-04-03"),
    ],
)
def test_dates_in_words(tmp_path: Path, text: str, date: str) -> None:
    rows = [HEAD, ["X", "Glycerin", "M", 2, 1.2, "L1", text]]
    assert listed(workbook(tmp_path, {"S": rows})).lots[0].expires_on == date


def test_a_lot_twice(tmp_path: Path) -> None:
    rows = [HEAD, ["X", "Glycerin", "M", 2, 1.2, "L1", None], ["Y", "Squalane", "M", 2, 1, "L1"]]
    text = refused(workbook(tmp_path, {"S": rows}))
    assert (
        "cell F3 of sheet 'S' and cell F2 of sheet 'S' both hold the lot 'L1', "
        "expected each lot once" in text
    )


def test_a_list_is_no_formula(tmp_path: Path) -> None:
    path = workbook(tmp_path, {"S": [["Ingredient", "%"], ["Aqua", 100]]})
    assert "holds no list of materials" in refused(path)
