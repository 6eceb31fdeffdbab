"""Formula files: the format, and one clear sentence for each way in which one can be wrong."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from zincite.errors import FormulaError, InputError, OutOfRangeError, UnknownMaterialError
from zincite.formula.reading import MAX_INGREDIENTS, load_formula, parse_formula
from zincite.sources import Evidence

HEAD = """\
[formula]
code = "K-07"
name = "Fluid mineral cream"
emulsion = "water-in-oil"
"""
PHASES = """\
[[phase]]
name = "A"
kind = "oil"
temperature_C = 50
  [[phase.ingredient]]
  material = "zinc-oxide-120-stearate"
  percent = 18.0
  [[phase.ingredient]]
  material = "polyglyceryl-3-diisostearate"
  percent = 4
[[phase]]
name = "B"
kind = "water"
  [[phase.ingredient]]
  material = "water"
  percent = "rest"
"""
GOOD = HEAD + PHASES


def test_the_format_of_the_design(tmp_path: Path) -> None:
    file = tmp_path / "x.toml"
    (tmp_path / "brief.toml").write_text('name = "Face 30"\nlabel_spf = 30\nmarkets = ["eu"]\n')
    text = HEAD + 'brief = "brief.toml"\n' + PHASES
    text += """
[[material]]
id = "my-oil"
inci = "Squalane"
density_g_ml = 0.81
[process]
  [[process.step]]
  device = "rotor-stator"
  tip_speed_m_s = 18
  minutes = 5
[prices]
currency = "CHF"
water = 0.02
"""
    file.write_text(text, encoding="utf-8")
    formula = load_formula(file)
    assert (formula.code, formula.emulsion, formula.path) == ("K-07", "water-in-oil", file)
    assert [p.kind for p in formula.phases] == ["oil", "water"]
    assert formula.phases[0].temperature_C == 50
    assert formula.ingredients[2].percent == pytest.approx(78.0)
    assert formula.ingredients[2].is_rest
    assert formula.brief is not None
    assert formula.brief.label_spf == 30
    assert formula.process[0].settings == {"tip_speed_m_s": 18.0, "minutes": 5.0}
    price = formula.prices_per_kg["water"]
    assert (price.value, price.unit, price.source) == (0.02, "CHF/kg", "own file")
    assert price.evidence is Evidence.DATA_SHEET
    assert set(formula.materials) == {
        "zinc-oxide-120-stearate",
        "polyglyceryl-3-diisostearate",
        "water",
    }


def test_byte_order_mark_and_crlf_are_accepted(tmp_path: Path) -> None:
    file = tmp_path / "bom.toml"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert load_formula(str(file)).code == "K-07"


def test_inline_brief_and_default_names() -> None:
    text = GOOD.replace('code = "K-07"\n', "").replace('name = "Fluid mineral cream"\n', "")
    formula = parse_formula(text + "[brief]\nlabel_spf = 50\n")
    assert formula.brief is not None
    assert formula.brief.label_spf == 50
    assert formula.name == formula.code == "unnamed"


def test_cards_of_a_folder_come_before_the_library(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('[[material]]\nid = "water"\ninci = "Aqua"\n')
    formula = parse_formula(GOOD, cards=tmp_path)
    assert formula.materials["water"].properties == {}
    assert formula.replaced_cards == ("water",)
    assert parse_formula(GOOD).replaced_cards == ()


def test_inline_card_comes_before_the_folder(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('[[material]]\nid = "water"\ninci = "Aqua"\n')
    own = '[[material]]\nid = "water"\ninci = "Aqua"\ndensity_g_ml = 1.1\n'
    formula = parse_formula(GOOD + own, cards=tmp_path)
    assert formula.materials["water"].property_value("density_g_ml") == 1.1


def test_parts_of_blends_are_among_the_cards() -> None:
    blend = "zinc-oxide-120-in-caprylic-capric-triglyceride-50"
    formula = parse_formula(GOOD.replace("zinc-oxide-120-stearate", blend))
    assert {"zinc-oxide-120", "caprylic-capric-triglyceride"} <= set(formula.materials)


CIRCLE = """
[[material]]
id = "a"
inci = "A"
composition = [ { material = "b", percent = 100 } ]
[[material]]
id = "b"
inci = "B"
composition = [ { material = "a", percent = 100 } ]
"""


def swap(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


BAD: dict[str, tuple[str, type[InputError], str]] = {
    "sum too low": (
        swap('percent = "rest"', "percent = 70"),
        FormulaError,
        r"percentages sum to 92 %, expected 100 %",
    ),
    "sum just outside the tolerance": (
        swap('percent = "rest"', "percent = 78.02"),
        FormulaError,
        r"sum to 100.02 %",
    ),
    "two rests": (
        swap("percent = 4", 'percent = "rest"'),
        FormulaError,
        r"2 ingredients say percent = \"rest\"",
    ),
    "rest would be negative": (
        swap("percent = 18.0", "percent = 97.5"),
        FormulaError,
        r"line 18: ingredient 'water': the other ingredients already sum to 101.5 %",
    ),
    "negative percent": (
        swap("percent = 18.0", "percent = -18.0"),
        OutOfRangeError,
        r"line 11: ingredient 'zinc-oxide-120-stearate': percent is -18, expected .*0 to 100",
    ),
    "nan percent": (
        swap("percent = 18.0", "percent = nan"),
        OutOfRangeError,
        r"not a number",
    ),
    "infinite percent": (
        swap("percent = 18.0", "percent = inf"),
        OutOfRangeError,
        r"percent is inf",
    ),
    "text percent": (
        swap("percent = 18.0", 'percent = "a lot"'),
        OutOfRangeError,
        r"the text 'a lot', expected a number",
    ),
    "decimal comma in quotes": (
        swap("percent = 18.0", 'percent = "18,5"'),
        OutOfRangeError,
        r"decimal comma \(write 18\.5",
    ),
    "decimal comma without quotes": (
        swap("percent = 18.0", "percent = 18,5"),
        InputError,
        r"line 11, column \d+: .*decimal comma",
    ),
    "true as percent": (
        swap("percent = 18.0", "percent = true"),
        OutOfRangeError,
        r"percent is true, expected",
    ),
    "huge integer": (
        swap("percent = 18.0", "percent = 1" + "0" * 400),
        OutOfRangeError,
        r"too large",
    ),
    "percent missing": (
        swap("  percent = 18.0\n", ""),
        InputError,
        r"line 9: ingredient 'zinc-oxide-120-stearate': has no percent",
    ),
    "material missing": (
        swap('  material = "water"\n', ""),
        InputError,
        r"has no material",
    ),
    "unknown material": (
        swap("zinc-oxide-120-stearate", "zinc-oxyde-120-stearate"),
        UnknownMaterialError,
        r"line 10: phase 'A', .*'zinc-oxyde-120-stearate', .*zinc-oxide-120-stearate",
    ),
    "INCI name in place of an id": (
        swap("polyglyceryl-3-diisostearate", "Polyglyceryl-3 Diisostearate"),
        UnknownMaterialError,
        r"such as polyglyceryl-3-diisostearate",
    ),
    "number as material": (
        swap('material = "water"', "material = 7"),
        InputError,
        r"material is 7, expected a text",
    ),
    "unknown emulsion": (
        swap("water-in-oil", "w/o"),
        InputError,
        r"line 4: \[formula\]: emulsion is 'w/o', expected one of water-in-oil",
    ),
    "no emulsion": (swap('emulsion = "water-in-oil"\n', ""), InputError, r"has no emulsion"),
    "no formula table": (PHASES, InputError, r"has no \[formula\]"),
    "no phase": (HEAD, FormulaError, r"has no \[\[phase\]\]"),
    "empty phase": (
        GOOD + '[[phase]]\nname = "C"\nkind = "cool-down"\n',
        FormulaError,
        r"line 21: phase 'C': has no ingredients",
    ),
    "unknown phase kind": (
        swap('kind = "oil"', 'kind = "fat"'),
        InputError,
        r"line 7: phase 'A': kind is 'fat', expected one of oil, water, pigment, cool-down",
    ),
    "phase is no table": (HEAD + "phase = 3\n", InputError, r"unknown key 'phase'|\[\[phase\]\]"),
    "impossible temperature": (
        swap("temperature_C = 50", "temperature_C = 500"),
        OutOfRangeError,
        r"temperature_C is 500, expected a number from -20 to 150",
    ),
    "unknown key": (
        swap("temperature_C = 50", "temperature = 50"),
        InputError,
        r"line 8: phase 'A': unknown key 'temperature', expected 'temperature_C'",
    ),
    "unknown table": (GOOD + "[proces]\n", InputError, r"unknown key 'proces', .*'process'"),
    "doubled card": (
        GOOD + '[[material]]\nid = "x"\ninci = "X"\n' * 2,
        InputError,
        r"material 'x': stands twice",
    ),
    "circle of compositions": (
        GOOD.replace('"zinc-oxide-120-stearate"', '"a"') + CIRCLE,
        FormulaError,
        r"circle \(a -> b -> a\)",
    ),
    "blend of unknown parts": (
        GOOD.replace('"zinc-oxide-120-stearate"', '"a"')
        + '[[material]]\nid = "a"\ninci = "A"\n'
        + 'composition = [{ material = "squalan", percent = 100 }]\n',
        UnknownMaterialError,
        r"composition of 'a': .*'squalan', .*squalane",
    ),
    "brief twice": (
        swap('code = "K-07"', 'code = "K-07"\nbrief = "b.toml"') + "[brief]\n",
        InputError,
        r"expected one of them",
    ),
    "brief file beside a text": (
        swap('code = "K-07"', 'code = "K-07"\nbrief = "b.toml"'),
        InputError,
        r"inline \[brief\]",
    ),
    "impossible brief": (
        GOOD + "[brief]\nlabel_spf = 500\n",
        OutOfRangeError,
        r"label_spf = 500.*, expected above 1 to 100",
    ),
    "price of an unknown material": (
        GOOD + "[prices]\nwatr = 1\n",
        UnknownMaterialError,
        r"'watr'.*water",
    ),
    "negative price": (GOOD + "[prices]\nwater = -1\n", OutOfRangeError, r"water is -1, expected"),
    "strange currency": (
        GOOD + '[prices]\ncurrency = "euro"\n',
        InputError,
        r"currency is 'euro', expected three capital letters",
    ),
    "step without device": (
        GOOD + "[[process.step]]\nminutes = 5\n",
        InputError,
        r"process step 1: has no device",
    ),
    "negative minutes": (
        GOOD + '[[process.step]]\ndevice = "rotor-stator"\nminutes = -5\n',
        InputError,
        r"minutes is -5, expected",
    ),
    "line break in a key": (
        GOOD + '[[process.step]]\ndevice = "x"\n"a\\nb" = true\n',
        InputError,
        r"unknown key 'a.*b', expected one of",
    ),
    "endless name": (
        swap('name = "A"', f'name = "{"A" * 5000}"'),
        InputError,
        r"name has 5000 characters, expected at most 2000",
    ),
    "syntax error": (
        GOOD + "[[process.step]\n",
        InputError,
        r"line 21, column \d+: not valid TOML",
    ),
    "open bracket at the end": (GOOD + "x = [", InputError, r"not valid TOML"),
    "nested beyond reason": ("x = " + "[" * 100_000, InputError, r"nested too deeply"),
    "empty file": ("", InputError, r"has no \[formula\]"),
}


@pytest.mark.parametrize(("text", "kind", "message"), BAD.values(), ids=BAD.keys())
def test_bad_formula_gives_one_sentence(text: str, kind: type[InputError], message: str) -> None:
    with pytest.raises(kind, match=message) as caught:
        parse_formula(text, name="k07.toml")
    said = str(caught.value)
    assert said.startswith("k07.toml")
    assert "\n" not in said
    assert "expected" in said
    assert len(said) < 400


def test_there_are_many_bad_cases() -> None:
    assert len(BAD) >= 25


def test_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.toml: no such file, expected a formula"):
        load_formula(tmp_path / "none.toml")


def test_folder_in_place_of_a_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder, expected a formula"):
        load_formula(tmp_path)


def test_name_with_a_null_character() -> None:
    with pytest.raises(InputError, match=r"no such file|cannot be read"):
        load_formula("x\0.toml")


def test_wrong_encoding_names_the_line(tmp_path: Path) -> None:
    file = tmp_path / "latin.toml"
    file.write_bytes(GOOD.replace("Fluid", "Flüssig").encode("latin-1"))
    with pytest.raises(InputError, match=r"line 3: byte 0xfc is not UTF-8"):
        load_formula(file)


def test_file_above_the_size_limit(tmp_path: Path) -> None:
    file = tmp_path / "big.toml"
    file.write_text(GOOD + "#" * 5_000_001)
    with pytest.raises(InputError, match=r"has 5\.0 MB, expected at most 5 MB"):
        load_formula(file)


def test_missing_brief_file(tmp_path: Path) -> None:
    file = tmp_path / "x.toml"
    file.write_text(swap('code = "K-07"', 'brief = "none.toml"'))
    with pytest.raises(InputError, match=r"none\.toml: no such file, expected a brief"):
        load_formula(file)


@pytest.mark.parametrize("style", ["headers", "inline"])
def test_ten_thousand_ingredients_are_refused_quickly(style: str) -> None:
    one = 'material = "squalane"\npercent = 0.01\n'
    text = HEAD + '[[phase]]\nname = "A"\nkind = "oil"\n'
    if style == "headers":
        text += ("[[phase.ingredient]]\n" + one) * 10_000
    else:
        text += "ingredient = [" + "{" + one.replace("\n", ",")[:-1] + "}," + "]"
        text = text.replace("},]", "}," + ("{" + one.replace("\n", ",")[:-1] + "},") * 9_999 + "]")
    limit = re.escape(f"has 10000 ingredients, expected at most {MAX_INGREDIENTS}")
    with pytest.raises(InputError, match=limit):
        parse_formula(text)


def test_many_duplicates_add_up() -> None:
    text = GOOD.replace(
        "percent = 4",
        "percent = 2\n  [[phase.ingredient]]\n"
        '  material = "polyglyceryl-3-diisostearate"\n  percent = 2',
    )
    assert parse_formula(text).percent_by_material()["polyglyceryl-3-diisostearate"] == 4


STEP = GOOD + '[[process.step]]\ndevice = "Three-roll mill"\n'


def test_process_steps_add_phases_and_name_the_device_as_the_models_do() -> None:
    formula = parse_formula(
        GOOD
        + '[process]\nbatch_kg = 1\n[[process.step]]\ndevice = "Three-roll mill"\nphases = ["A"]\n'
    )
    assert formula.process_batch_kg == 1
    assert formula.process[0].device == "three-roll-mill"
    assert formula.process[0].phases == ("A",)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ('phases = ["Z"]', r"process step 1: adds phase 'Z', expected one of the formula's"),
        ('phases = ["A", "A"]', r"adds phase 'A' a second time, expected each phase once"),
        ("tip_speed = 5", r"unknown key 'tip_speed', expected 'tip_speed_m_s'"),
        ("tip_speed_m_s = 200", r"tip_speed_m_s is 200, expected a number from 0 to 100"),
    ],
)
def test_impossible_step_gives_one_sentence(line: str, message: str) -> None:
    with pytest.raises(InputError, match=message):
        parse_formula(f"{STEP}{line}\n")
