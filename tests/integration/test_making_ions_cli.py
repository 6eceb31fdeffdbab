"""`zincite making ions` as a chemist and a script meet it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application

FLUID = str(Path(zincite.data.__file__).parent / "demo" / "fluid.toml")

OIL_IN_WATER = """
[formula]
code = "OW-1"
name = "All that zinc oxide dislikes (invented)"
emulsion = "oil-in-water"
water_phase_ph = 6.5
[[phase]]
name = "A"
kind = "oil"
ingredient = [
  {material = "zinc-oxide-120-in-caprylic-capric-triglyceride-60", percent = 25},
  {material = "stearic-acid", percent = 2},
  {material = "potassium-cetyl-phosphate", percent = 2},
]
[[phase]]
name = "B"
kind = "water"
ingredient = [
  {material = "water", percent = "rest"},
  {material = "disodium-edta", percent = 0.1},
  {material = "sodium-benzoate", percent = 0.4},
]
"""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["making", "ions", *(str(a) for a in arguments)])


def test_json_without_a_formula_gives_zinc() -> None:
    """Trade relation R36: 14.6 mg/L at pH 7.5, table 14.58."""
    result = run("--ph", 7.5, "--json")
    assert result.exit_code == 0
    found = json.loads(result.stdout)
    assert found["zinc_mg_l"] == pytest.approx(14.58, abs=0.005)
    assert found["ph"] == 7.5
    assert found["activity"] == "ideal"
    assert isinstance(found["aluminium_mg_l"], float)
    assert sum(found["species"]["zinc"].values()) == pytest.approx(1, abs=2e-3)
    assert {"ph", "zinc_plain_water_mg_l"} <= set(found["curve"])
    assert len(found["curve"]["ph"]) == 29


def test_demo_formula_shows_decision_numbers_and_grounds() -> None:
    result = run(FLUID)
    assert result.exit_code == 0
    for words in ("dissolved zinc", "Davies", "Advice", "Magnesium Sulfate", "Assumed", "R36"):
        assert words in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= 100


def test_page_holds_both_figures_and_marks_assumptions(tmp_path: Path) -> None:
    page = tmp_path / "ions.html"
    assert run(FLUID, "--html", page).exit_code == 0
    html = page.read_text("utf-8")
    assert html.count("<svg") >= 2
    assert "Forms of dissolved zinc" in html
    assert "Constants from memory" in html


def test_formula_with_everything_wrong_is_told_so(tmp_path: Path) -> None:
    path = tmp_path / "ow.toml"
    path.write_text(OIL_IN_WATER, "utf-8")
    found = json.loads(run(path, "--json").stdout)
    levels = {advice["topic"]: advice["level"] for advice in found["advice"]}
    assert levels["phosphate"] == "act"
    assert levels["preservative"] == "act"
    assert {"pH", "soap", "chelator"} <= set(levels)
    assert found["ph"] == 6.5
    assert found["ph_at_equilibrium"] > 7
    assert all(advice["trigger"] for advice in found["advice"])


def test_strength_and_exposed_share_are_taken(tmp_path: Path) -> None:
    ideal = json.loads(run("--ph", 7.5, "--json").stdout)
    salty = json.loads(run("--ph", 7.5, "--ionic-strength", "0.1", "--json").stdout)
    assert salty["zinc_mg_l"] > 2 * ideal["zinc_mg_l"]
    assert salty["activity"] == "Davies"
    half = json.loads(run("--ph", 7.5, "--exposed", "0.5", "--json").stdout)
    assert half["zinc_mg_l"] == ideal["zinc_mg_l"]
    assert "no rate constant" in half["advice"][0]["advice"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--ph", "3"), "expected 4 to 13"),
        (("--ph", "14"), "expected 4 to 13"),
        (("--ionic-strength", "much"), "expected a number of mol/L or auto"),
        (("--ionic-strength", "3"), "Davies"),
        (("--exposed", "2"), "expected 0 to 1"),
        (("no-such.toml",), "no-such.toml"),
    ],
)
def test_bad_input_gets_one_sentence(arguments: tuple[str, ...], said: str) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


def test_output_quoted_in_the_docs_is_real() -> None:
    text = (Path(__file__).parents[2] / "docs" / "making" / "ions.md").read_text("utf-8")
    blocks = [part.split("```")[0] for part in text.split("```text\n")[1:]]
    assert len(blocks) == 2
    for block, arguments in zip(blocks, (("--ph", 7.5), (FLUID,)), strict=True):
        printed = run(*arguments).stdout
        for line in block.strip().splitlines():
            assert line in printed
