"""`zincite making emulsion` and `feel` as a chemist and a script meet them."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application

sys.path.insert(0, str(Path(__file__).parent.parent / "unit" / "making"))
from emulsions import write_formula

FLUID = str(Path(zincite.data.__file__).parent / "demo" / "fluid.toml")
CCT = "caprylic-capric-triglyceride"
ODD = {
    "oil-in-water": (
        "oil-in-water",
        (("zinc-oxide-120", 10), (CCT, 8), ("polysorbate-80", 2)),
        (("water", "rest"), ("xanthan-gum", 0.3)),
    ),
    "anhydrous": ("anhydrous", (("zinc-oxide-120", 20), (CCT, "rest"), ("cera-alba", 8)), ()),
    "powder alone": ("anhydrous", (("zinc-oxide-120", 100),), ()),
    "no pigment": (
        "water-in-oil", ((CCT, 30), ("sorbitan-oleate", 3)), (("water", "rest"),)
    ),
    "no water": ("water-in-oil", (("zinc-oxide-120", 20), (CCT, "rest")), ()),
    "no oil": ("oil-in-water", (), (("water", "rest"), ("glycerin", 5))),
    "drowned": ("water-in-oil", ((CCT, 7), ("sorbitan-oleate", 3)), (("water", "rest"),)),
    "dispersions": (
        "water-in-oil",
        (("zinc-oxide-60-dimethicone-in-cyclopentasiloxane-60", 30), ("dimethicone", 10),
         ("peg-10-dimethicone", 3), ("talc", 3)),
        (("water", "rest"), ("magnesium-sulfate", 0.5)),
    ),
}  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["making", *(str(a) for a in arguments)])


def numbers(*arguments: object) -> Any:
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output

    def refuse(name: str) -> None:
        raise ValueError(f"{name} is not JSON")

    return json.loads(result.output, parse_constant=refuse)


def test_the_decision_comes_first() -> None:
    text = run("emulsion", FLUID).output
    assert text.startswith("Emulsion ")
    places = [text.index(w) for w in ("NOTHING SPEAKS AGAINST IT", "Numbers", "Relations used")]
    assert places == sorted(places)
    assert max(map(len, text.splitlines())) <= 100


def test_assumptions_show_on_terminal_and_in_json() -> None:
    assert "Interfacial tension with emulsifier 3 mN/m (1 to 5)" in run("emulsion", FLUID).output
    found = numbers("emulsion", FLUID)
    assert any("Drop size against energy" in said for said in found["basis"]["assumed"])
    assert found["drops"]["known_from"] == "process"


def test_json_carries_units_and_the_series() -> None:
    found = numbers("emulsion", FLUID, "--measured-viscosity", 9000, "--d32-um", 1.5)
    assert found["making"] == "emulsion"
    assert found["viscosity"]["measured_mPas"] == 9000
    for model in found["viscosity"]["models"]:
        assert model["viscosity_mPas"] == pytest.approx(9000)
        flows = [c["viscosity_mPas"] for c in model["curve"] if c["viscosity_mPas"] is not None]
        assert flows == sorted(flows)
    assert found["drops"]["d32_um"]["median"] == 1.5
    assert {"hindered_mm_day", "needs_low_Pa"} <= set(found["settling"]["bodies"][0])


def test_a_yield_stress_is_compared_and_none_is_invented() -> None:
    without = numbers("emulsion", FLUID)["settling"]
    assert without["yield_stress_Pa"] is None
    assert [g["inci"] for g in without["gellants"]] == ["Disteardimonium Hectorite"]
    assert {body["held"] for body in without["bodies"]} == {None}
    given = numbers("emulsion", FLUID, "--yield-stress-pa", 5)["settling"]
    assert {body["held"] for body in given["bodies"]} == {"held"}


@pytest.mark.parametrize("command", ["emulsion", "feel"])
@pytest.mark.parametrize("name", ODD)
def test_odd_formulas_get_an_answer(tmp_path: Path, command: str, name: str) -> None:
    path = write_formula(tmp_path, *ODD[name])  # type: ignore[arg-type]
    page = tmp_path / "page.html"
    result = run(command, path, "--html", page)
    assert result.exit_code == 0, result.output
    assert max(map(len, result.output.splitlines())) <= 100
    assert "nan" not in re.findall(r"\w+", result.output)
    assert "nan" not in re.findall(r"\w+", page.read_text("utf-8"))
    numbers(command, path)


def test_ninety_percent_water_is_explained(tmp_path: Path) -> None:
    text = run("emulsion", write_formula(tmp_path, *ODD["drowned"])).output  # type: ignore[arg-type]
    assert "NO SUCH EMULSION" in text
    assert "take out water" in " ".join(text.split())
    assert "Viscosity by model" not in text


def test_page_has_curves_and_map(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    run("emulsion", FLUID, "--measured-viscosity", 9000, "--html", page)
    text = page.read_text("utf-8")
    for words in ("Viscosity against drops", "Settling map", "water phase, % by mass",
                  "diameter, µm", "speed in this crowd, mm a day", "viscosity, mPa s"):  # fmt: skip
        assert words in text, words


def test_feel_names_indicators_and_coverage(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    text = run("feel", FLUID, "--html", page).output
    assert text.startswith("Feel, by indicators")
    assert "Spreading is known for 29 % of the oil" in " ".join(text.split())
    assert "Spreading cascade" in page.read_text("utf-8")
    found = numbers("feel", FLUID)
    cascade = found["cascade"]
    parts = [cascade[f"{kind}_percent"] for kind in ("fast", "medium", "slow", "unknown")]
    assert sum(parts) == pytest.approx(cascade["oil_percent"])


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("--measured-viscosity", "-5", "measured viscosity is -5 mPa s"),
        ("--measured-viscosity", "nan", "measured viscosity is nan mPa s"),
        ("--d32-um", "0", "d32 is 0 um"),
        ("--yield-stress-pa", "-1", "yield stress is -1 Pa"),
    ],
)
def test_bad_measurements_are_one_sentence(option: str, value: str, words: str) -> None:
    result = run("emulsion", FLUID, option, value)
    assert result.exit_code == 2
    shown = result.output + (result.stderr or "")
    assert words in shown
    assert "expected" in shown
    assert "Traceback" not in shown
