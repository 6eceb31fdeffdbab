"""Briefs: reading and impossible targets."""

from __future__ import annotations

from pathlib import Path

import pytest

from zincite.errors import InputError, OutOfRangeError
from zincite.formula.brief import Brief
from zincite.formula.brief_reading import load_brief
from zincite.formula.writing import brief_text


def write(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "brief.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_keys_at_the_top_or_in_a_table(tmp_path: Path) -> None:
    keys = 'name = "Face"\nlabel_spf = 50\nmarkets = ["eu", "usa"]\nnon_nano = true\n'
    expected = Brief(name="Face", label_spf=50, markets=("eu", "usa"), non_nano=True)
    assert load_brief(write(tmp_path, keys)) == expected
    assert load_brief(write(tmp_path, f"[brief]\n{keys}[search]\nbudget = 100\n")) == expected


def test_a_brief_reads_back(tmp_path: Path) -> None:
    brief = Brief(
        name='Body "light"',
        label_spf=30,
        uva_pf_to_spf_min=1 / 3,
        skin_classes=("light", "dark"),
        cost_max_per_kg=9.5,
        currency="CHF",
        emulsion="water-in-oil",
        excluded_inci=("Dimethicone",),
        note="Zeile mit Umlaut: ä",
    )
    assert load_brief(write(tmp_path, brief_text(brief))) == brief


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("labelspf = 30", InputError, r"line 1: unknown key 'labelspf', expected 'label_spf'"),
        ('label_spf = "30,0"', OutOfRangeError, r"write 30\.0"),
        ("label_spf = 0", OutOfRangeError, r"label_spf = 0.0, expected above 1 to 100"),
        ("natural_origin_min_percent = 120", OutOfRangeError, r"= 120, expected 0 to 100"),
        ("critical_wavelength_min_nm = 37", OutOfRangeError, r"= 37, expected 290 to 400"),
        ('skin_classes = ["pale"]', OutOfRangeError, r"skin class 'pale', expected one of very"),
        ('markets = "eu"', InputError, r"markets is the text 'eu', expected a list of texts"),
        ("markets = [1]", InputError, r"markets is 1, expected a text"),
        ("non_nano = 1", InputError, r"non_nano is 1, expected true or false"),
        ('emulsion = "w/o"', OutOfRangeError, r"emulsion = 'w/o', expected one of water-in-oil"),
        (
            "viscosity_min_mPas = 9\nviscosity_max_mPas = 1",
            OutOfRangeError,
            r"viscosity_min_mPas = 9 above viscosity_max_mPas = 1",
        ),
        ("[brief]\n[other]\n", InputError, r"unknown key 'other'"),
    ],
)
def test_bad_brief(tmp_path: Path, text: str, kind: type[InputError], message: str) -> None:
    with pytest.raises(kind, match=message) as caught:
        load_brief(write(tmp_path, text))
    assert "brief.toml" in str(caught.value)
    assert "\n" not in str(caught.value)
