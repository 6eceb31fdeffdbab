"""Files that are no sheets, and answers that fit nothing: one sentence each."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from lab_sheets import EMULSIFIER, FIXED, OIL, SALT, ZINC, only, refused, understood, workbook

from zincite.errors import InputError

HEAD = ["Phase", "Ingredient", "% w/w"]
ROWS: list[list[Any]] = [[p, card, percent] for p, card, percent, _ in FIXED]


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("old.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 600, "old binary or a password"),
        ("empty.xlsx", b"", "is empty"),
        ("text.xlsx", b"Ingredient;%\nAqua;100\n", "is named .xlsx but is no such workbook"),
        ("cut.xlsx", b"PK\x03\x04" + b"x" * 300, "truncated or damaged"),
        ("bytes.csv", bytes(range(256)) * 4, "zero bytes"),
        ("blank.csv", b"  \n \n", "blank space"),
        ("words.csv", b"once;upon\na;time\n", "holds no table of a formula"),
    ],
)
def test_files_that_are_no_sheets(tmp_path: Path, name: str, content: bytes, said: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert said in refused(path)


def test_other_kinds_of_workbooks(tmp_path: Path) -> None:
    for entries, said in (
        (("mimetype", "content.xml"), "OpenDocument"),
        (("xl/workbook.bin", "[Content_Types].xml"), "binary workbook"),
        (("word/document.xml", "[Content_Types].xml"), "without a workbook"),
    ):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w") as archive:
            for entry in entries:
                archive.writestr(entry, "x")
        path = tmp_path / "other.xlsx"
        path.write_bytes(stream.getvalue())
        assert said in refused(path)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "none.xlsx")
    assert "is a folder" in refused(tmp_path)


def test_answers_that_fit_nothing(tmp_path: Path) -> None:
    path = workbook(tmp_path, {"F": [HEAD, *ROWS]})
    assert "has no sheet 'G', expected one of 'F'" in refused(path, sheet="G")
    assert "has no column" in refused(path, columns=("Menge=percent",))
    with pytest.raises(InputError, match="no card has the id 'zinc-oxide-1'"):
        understood(path, f"{ZINC}=zinc-oxide-1")
    with pytest.raises(InputError, match="--map is 'x', expected 'Name=card-id'"):
        understood(path, "x")
    with pytest.raises(InputError, match="role is 'percentage', expected one of"):
        understood(path, columns=("D=percentage",))


def test_an_emulsion_that_no_card_tells(tmp_path: Path) -> None:
    rows = [HEAD, ["A", ZINC, 18], ["A", OIL, 12], ["B", "Water", 70]]
    path = workbook(tmp_path, {"F": rows})
    assert "expected --emulsion water-in-oil, oil-in-water or anhydrous" in refused(path)
    assert len(only(path, emulsion="oil-in-water")) == 3


def test_names_are_asked_for_in_one_sentence(tmp_path: Path) -> None:
    from zincite.workbench.sheets import refuse_unnamed

    rows = [HEAD, ["A", "Zinc Oxide", 18], ["A", "Mystery oil", 12.5], ["A", EMULSIFIER, 3],
            ["B", "Water", 65.8], ["B", SALT, 0.7]]  # fmt: skip
    plan = understood(workbook(tmp_path, {"F": rows}))
    with pytest.raises(InputError) as caught:
        refuse_unnamed(plan)
    text = str(caught.value)
    assert "cell B2 of sheet 'F' says 'Zinc Oxide', which names no card (7 cards have this" in text
    assert "nor does 'Mystery oil'" in text
    assert "--map 'Zinc Oxide=ID' for each or --new-cards" in text
    # a grade is never made up: only the oil gets a card of its own
    plan = understood(tmp_path / "lab.xlsx", new_cards=True)
    assert [card.id for card in plan.cards] == ["mystery-oil"]
    assert [match.name for match in plan.unnamed] == ["Zinc Oxide"]
