"""Material cards: the format and its errors."""

from __future__ import annotations

from pathlib import Path

import pytest

from zincite.errors import InputError, OutOfRangeError
from zincite.formula.card_reading import read_materials
from zincite.formula.documents import parse_document
from zincite.formula.library import read_cards
from zincite.formula.material import Material
from zincite.sources import Evidence

CARD = """\
[[material]]
id = "my-zinc-oxide"
inci = "Zinc Oxide"
functions = ["UV filter"]
phase = "pigment"
density_g_ml = 5.4
natural_origin_index = { value = 0.98, low = 0.97, high = 0.99, evidence = "measured" }
[material.grade]
core = "zinc-oxide"
primary_median_nm = 120
primary_gsd = 1.6
weighting = "volume"
aggregate_fraction = 0.3
aggregate_median_nm = 500
extinction = { wavelength_nm = [308, 360, 524], L_per_g_cm = [15.0, 14.0, 2.0] }
index = { gap_eV = 3.37, binding_meV = 60, urbach_meV = 40 }
[[material.grade.coating]]
inci = "Stearic Acid"
mass_percent = 3.0
density_g_ml = 0.95
"""


def read(text: str) -> Material:
    (card,) = read_materials(parse_document(text, "cards.toml"))
    return card


def test_every_key_arrives() -> None:
    card = read(CARD)
    grade = card.grade
    assert grade is not None
    density = card.properties["density_g_ml"]
    assert (density.value, density.unit, density.source) == (5.4, "g/mL", "own file")
    assert density.evidence is Evidence.DATA_SHEET
    index = card.properties["natural_origin_index"]
    assert (index.low, index.high, index.evidence) == (0.97, 0.99, Evidence.MEASURED)
    assert (grade.primary_median_nm, grade.primary_gsd) == (120, 1.6)
    assert grade.aggregate_fraction is not None
    assert grade.aggregate_fraction.value == 0.3
    assert grade.extinction_nm == (308, 360, 524)
    assert grade.index_model.urbach_meV == 40
    assert grade.coatings[0].density_g_ml == 0.95
    assert grade.core_mass_fraction == pytest.approx(0.97)


def test_a_histogram_replaces_the_lognormal() -> None:
    text = CARD.replace("primary_median_nm = 120\n", "").replace(
        "primary_gsd = 1.6", "histogram = { diameter_nm = [300, 100, 200], share = [1, 1, 3] }"
    )
    grade = read(text).grade
    assert grade is not None
    assert grade.histogram_share == (1, 1, 3)
    assert grade.primary_median_nm == 200  # half of the shares is reached in the class at 200 nm


def test_dispersion_shape_and_absent_values() -> None:
    card = read('[[material]]\nid = "x"\ninci = "X"\ndispersion_shape = "silicone"\n')
    assert card.dispersion_shape == "silicone"
    assert card.property_value("density_g_ml") is None


def change(old: str, new: str) -> str:
    assert old in CARD
    return CARD.replace(old, new, 1)


BAD: dict[str, tuple[str, type[InputError], str]] = {
    "unknown key": (
        change("density_g_ml = 5.4", "density = 5.4"),
        InputError,
        r"line 6: material 'my-zinc-oxide': unknown key 'density', expected 'density_g_ml'",
    ),
    "unknown key far from all": (
        change("density_g_ml = 5.4", "qqq = 5.4"),
        InputError,
        r"unknown key 'qqq', expected one of",
    ),
    "unknown grade key": (
        change("primary_gsd", "gsd"),
        InputError,
        r"grade: unknown key 'gsd', expected",
    ),
    "unknown coating key": (
        change("mass_percent = 3.0", "percent = 3.0"),
        InputError,
        r"coating 'Stearic Acid': unknown key 'percent', expected 'mass_percent'",
    ),
    "unknown value key": (
        change("low = 0.97", "lower = 0.97"),
        InputError,
        r"natural_origin_index: unknown key 'lower', expected 'low'",
    ),
    "text for a number": (
        change("density_g_ml = 5.4", 'density_g_ml = "heavy"'),
        OutOfRangeError,
        r"line 6: .*density_g_ml is the text 'heavy', expected a number from 0.1 to 12",
    ),
    "true for a number": (
        change("density_g_ml = 5.4", "density_g_ml = true"),
        OutOfRangeError,
        r"density_g_ml is true",
    ),
    "nan": (change("5.4", "nan"), OutOfRangeError, r"not a number \(nan\)"),
    "negative": (change("5.4", "-5.4"), OutOfRangeError, r"density_g_ml is -5.4"),
    "index above 1": (change("value = 0.98", "value = 98"), OutOfRangeError, r"value is 98"),
    "range backwards": (change("low = 0.97", "low = 0.995"), InputError, r"above high"),
    "value outside its range": (change("value = 0.98", "value = 0.5"), InputError, r"lies outside"),
    "unknown evidence": (change('"measured"', '"certain"'), InputError, r"evidence is 'certain'"),
    "value missing": (change("value = 0.98, ", ""), InputError, r"has no value"),
    "unknown core": (
        change('"zinc-oxide"', '"zinc"'),
        OutOfRangeError,
        r"line 1: material 'my-zinc-oxide': grade says core = 'zinc'",
    ),
    "impossible size": (change("= 120", "= 0"), OutOfRangeError, r"primary_median_nm = 0.0"),
    "impossible width": (change("= 1.6", "= 0.5"), OutOfRangeError, r"primary_gsd = 0.5"),
    "no size": (change("primary_median_nm = 120\n", ""), InputError, r"has no primary_median_nm"),
    "no core": (change('core = "zinc-oxide"\n', ""), InputError, r"has no core"),
    "coating of everything": (change("= 3.0", "= 100"), OutOfRangeError, r"mass_percent = 100"),
    "coating without name": (change('inci = "Stearic Acid"\n', ""), InputError, r"misses inci"),
    "uneven extinction": (
        change("[15.0, 14.0, 2.0]", "[15.0, 14.0]"),
        OutOfRangeError,
        r"as many wavelengths",
    ),
    "extinction is a number": (
        change("{ wavelength_nm = [308, 360, 524], L_per_g_cm = [15.0, 14.0, 2.0] }", "15"),
        InputError,
        r"extinction is no table",
    ),
    "impossible gap": (change("3.37", "33.7"), OutOfRangeError, r"gap_eV is 33.7"),
    "unknown phase": (change('"pigment"', '"powder"'), InputError, r"phase is 'powder'"),
    "no inci": (change('inci = "Zinc Oxide"\n', ""), InputError, r"has no inci"),
    "no id": (change('id = "my-zinc-oxide"\n', ""), InputError, r"material number 1: has no id"),
    "blank in the id": (
        change("my-zinc-oxide", "my zinc oxide"),
        InputError,
        r"id is 'my zinc oxide', expected .* without blanks",
    ),
    "functions as text": (change('["UV filter"]', '"UV filter"'), InputError, r"a list of texts"),
    "volatile as text": (
        change('phase = "pigment"', 'volatile = "yes"'),
        InputError,
        r"volatile is the text 'yes', expected true or false",
    ),
    "composition and grade": (
        change('phase = "pigment"', 'composition = [{ material = "water", percent = 100 }]'),
        OutOfRangeError,
        r"both a composition and a grade",
    ),
    "use range backwards": (
        change("density_g_ml = 5.4", "use_low_percent = 5\nuse_high_percent = 1"),
        InputError,
        r"use_low_percent = 5 is above use_high_percent = 1",
    ),
    "material is no table": ("material = 3\n", InputError, r"expected \[\[material\]\]"),
}


@pytest.mark.parametrize(("text", "kind", "message"), BAD.values(), ids=BAD.keys())
def test_bad_card_gives_one_sentence(text: str, kind: type[InputError], message: str) -> None:
    with pytest.raises(kind, match=message) as caught:
        read_materials(parse_document(text, "cards.toml"))
    said = str(caught.value)
    assert said.startswith("cards.toml")
    assert "\n" not in said


def test_composition_that_does_not_sum() -> None:
    text = (
        '[[material]]\nid = "x"\ninci = "X"\ncomposition = [{ material = "water", percent = 99 }]'
    )
    with pytest.raises(OutOfRangeError, match="composition of 'x' sums to 99 %, expected 100 %"):
        read_materials(parse_document(text, "cards.toml"))


def test_folder_of_cards(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('[[material]]\nid = "a"\ninci = "A"\n')
    (tmp_path / "b.toml").write_text('[[material]]\nid = "b"\ninci = "B"\n')
    assert list(read_cards(tmp_path)) == ["a", "b"]
    (tmp_path / "c.toml").write_text('[[material]]\nid = "a"\ninci = "A"\n')
    with pytest.raises(InputError, match=r"c\.toml: material 'a' stands in a\.toml already"):
        read_cards(tmp_path)


def test_empty_folder_and_file_without_cards(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"holds no \.toml file"):
        read_cards(tmp_path)
    (tmp_path / "a.toml").write_text("# nothing\n")
    with pytest.raises(InputError, match=r"holds no \[\[material\]\]"):
        read_cards(tmp_path)
    (tmp_path / "a.toml").write_text('title = "x"\n')
    with pytest.raises(InputError, match="unknown key 'title'"):
        read_cards(tmp_path / "a.toml")
