"""`zincite making process` and `scale-up`: contracts, odd formulas, refusals, pages."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application

FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"

CREAM = """
[formula]
code = "W-1"
name = "Cream with waxes, invented"
emulsion = "water-in-oil"
[[phase]]
name = "A"
kind = "pigment"
ingredient = [{material="zinc-oxide-100-silane", percent=20},
              {material="caprylic-capric-triglyceride", percent=14}]
[[phase]]
name = "B"
kind = "oil"
temperature_C = 70
ingredient = [{material="hydrogenated-castor-oil", percent=1}, {material="cera-alba", percent=2},
              {material="polyglyceryl-3-beeswax", percent=1},
              {material="coco-caprylate", percent=10},
              {material="polyglyceryl-3-diisostearate", percent=3}]
[[phase]]
name = "C"
kind = "water"
temperature_C = 70
ingredient = [{material="water", percent="rest"}]
[[phase]]
name = "D"
kind = "cool-down"
ingredient = [{material="tocopherol", percent=0.2}]
[process]
batch_kg = 3
[[process.step]]
device = "rotor-stator"
phases = ["A"]
minutes = 10
tip_speed_m_s = 15
diameter_m = 0.04
[[process.step]]
device = "rotor-stator"
phases = ["B", "C"]
minutes = 5
tip_speed_m_s = 15
diameter_m = 0.06
[[process.step]]
device = "anchor"
phases = ["D"]
minutes = 30
temperature_C = 35
"""

ANHYDROUS = """
[formula]
code = "AN"
name = "Balm, invented"
emulsion = "anhydrous"
[[phase]]
name = "A"
kind = "oil"
temperature_C = 90
ingredient = [{material="cera-alba", percent=10}, {material="zinc-oxide-100-silane", percent=20},
              {material="caprylic-capric-triglyceride", percent=70}]
"""

WATER = """
[formula]
code = "W"
name = "Water, invented"
emulsion = "oil-in-water"
[[phase]]
name = "A"
kind = "water"
ingredient = [{material="water", percent=100}]
"""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["making", *(str(a) for a in arguments)])


def shown(*arguments: object) -> dict[str, Any]:
    found = run(*arguments, "--json")
    assert found.exit_code == 0, found.output + found.stderr
    result: dict[str, Any] = json.loads(found.stdout)
    return result


@pytest.fixture
def cream(tmp_path: Path) -> Path:
    path = tmp_path / "cream.toml"
    path.write_text(CREAM, "utf-8")
    return path


def test_process_tells_what_stays_solid_and_what_to_do(cream: Path) -> None:
    found = shown("process", cream)
    assert found["verdict"] == "fails"
    by_name = {line["material"]: line for line in found["melting"]}
    assert by_name["hydrogenated-castor-oil"]["verdict"] == "stays solid"
    assert by_name["cera-alba"]["verdict"] == "melts"
    assert found["unknown_melting"] == ["polyglyceryl-3-beeswax"]
    said = " ".join(found["basis"]["warnings"])
    assert "heat phase B to 92 degC" in said
    assert "polyglyceryl-3-beeswax" in said
    assert "Put a cooling step before" in said  # phase D into contents above 40 degC


def test_process_counts_ways_and_energy(cream: Path) -> None:
    found = shown("process", cream, "--hot", 95, "--warm", 60)
    ways = {way["way"]: way for way in found["heat"]}
    assert list(ways) == ["as written", "hot/hot", "warm", "hot-cold", "lowest", "cold"]
    assert ways["hot/hot"]["phase_temperatures_C"] == {"A": 95, "B": 95, "C": 95, "D": 20}
    assert ways["hot/hot"]["stays_solid"] == []
    assert ways["warm"]["stays_solid"] == ["hydrogenated-castor-oil", "cera-alba"]
    assert ways["cold"]["heat_MJ_kg"]["value"] == 0
    for way in ways.values():
        heat = way["heat_MJ_kg"]
        assert heat["low"] <= heat["value"] <= heat["high"]
        assert way["heat_kWh_kg"] == pytest.approx(heat["value"] / 3.6)
    # what the devices bring in is power times time over the batch
    steps = found["steps"]
    assert sum(s["energy_kJ_kg"] for s in steps) == pytest.approx(found["devices_kJ_kg"])


def test_warm_way_beyond_the_brief_is_marked() -> None:
    """The demo's brief allows 50 degC."""
    ways = {way["way"]: way for way in shown("process", FLUID)["heat"]}
    assert ways["hot/hot"]["beyond_brief"]
    assert not ways["as written"]["beyond_brief"]


def test_brief_limit_fails_a_hotter_phase(tmp_path: Path) -> None:
    path = tmp_path / "f.toml"
    path.write_text(CREAM.replace("hydrogenated-castor-oil", "squalane")
                    + "[brief]\nprocess_max_temperature_C = 60\n", "utf-8")  # fmt: skip
    found = shown("process", path)
    assert found["verdict"] == "fails"
    lines = [w for w in found["windows"] if w["where"] == "phase C"]
    assert [(w["verdict"], w["high_why"]) for w in lines] == [("above", "brief")]
    closed = next(w for w in found["windows"] if w["where"] == "phase B")
    assert closed["verdict"] == "closed"  # beeswax needs 68.5 degC


@pytest.mark.parametrize(("text", "first"), [(ANHYDROUS, "hot"), (WATER, "hot")])
def test_odd_formulas_have_no_hot_cold(tmp_path: Path, text: str, first: str) -> None:
    path = tmp_path / "f.toml"
    path.write_text(text, "utf-8")
    found = shown("process", path)
    names = [way["way"] for way in found["heat"]]
    assert names[1] == first
    assert "hot-cold" not in names
    assert "R59" not in [r["id"] for r in found["basis"]["relations"]]
    assert run("process", path).exit_code == 0


def test_scale_up_keeps_what_the_rule_names(cream: Path) -> None:
    found = shown("scale-up", cream, "--rule", "energy", "--to", 30, "--to", "300:0.2")
    assert found["step"] == 1  # brings in most energy
    assert [s["batch_kg"] for s in found["scales"]] == [30, 300]
    for scale in found["scales"]:
        assert scale["ratios"]["energy_J_mL"] == pytest.approx(1)
        assert scale["rule_kept"]
    assert found["scales"][1]["diameter_m"] == 0.2
    assert "energy density" in found["kept"]
    assert "time" in found["not_kept"]


def test_scale_up_says_what_a_machine_cannot_do(cream: Path) -> None:
    arguments = ("scale-up", cream, "--rule", "tip-speed", "--to", 300, "--max-rpm", 500)
    found = shown(*arguments)
    assert found["verdict"] == "fails"
    assert "500 1/min" in found["scales"][0]["limit"]
    assert "CANNOT BE KEPT" in run(*arguments).stdout


REFUSED: dict[str, tuple[tuple[object, ...], str]] = {
    "no process": (("scale-up", FLUID, "--rule", "energy", "--to", 100), "no step on a known"),
    "no size": (("scale-up", "CREAM", "--rule", "energy", "--to", "big"), "is no size"),
    "negative": (("scale-up", "CREAM", "--rule", "energy", "--to=-5"), "target batch is -5 kg"),
    "nan": (("scale-up", "CREAM", "--rule", "energy", "--to", "nan"), "target batch is nan kg"),
    "no such step": (
        ("scale-up", "CREAM", "--rule", "energy", "--to", 9, "--step", 7), "one of 1, 2, 3"),
    "no lab": (
        ("scale-up", "CREAM", "--rule", "energy", "--to", 9, "--from", 0), "expected above 0"),
    "no power": (
        ("scale-up", "CREAM", "--rule", "energy", "--to", 9, "--max-power", 0), "highest power"),
    "too hot": (("process", "CREAM", "--hot", 400), "the hot way is 400 degC"),
    "warmer than hot": (("process", "CREAM", "--hot", 60, "--warm", 70), "warm below hot"),
    "no heating": (("process", "CREAM", "--warm", 10), "the warm way is 10 degC"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refusals_are_one_sentence(cream: Path, name: str) -> None:
    arguments, said = REFUSED[name]
    if name == "no process":
        arguments = (arguments[0], cream.with_name("w.toml"), *arguments[2:])
        cream.with_name("w.toml").write_text(WATER, "utf-8")
    found = run(*(cream if a == "CREAM" else a for a in arguments))
    assert found.exit_code == 2
    assert said in found.stderr
    assert len(found.stderr.strip().splitlines()) == 1


def test_a_tip_speed_of_200_is_refused_where_it_stands(cream: Path) -> None:
    fast = CREAM.replace("tip_speed_m_s = 15\ndiameter_m = 0.04",
                         "speed_rpm = 95500\ndiameter_m = 0.04")  # fmt: skip
    cream.write_text(fast, "utf-8")
    found = run("process", cream)
    assert found.exit_code == 2
    assert "tip speed of 200 m/s" in found.stderr


def test_terminal_keeps_to_100_columns_and_pages_hold_both_pictures(
    cream: Path, tmp_path: Path
) -> None:
    page = tmp_path / "p.html"
    for arguments, pictures in (
        (("process", cream), ("heat", "windows")),
        (("scale-up", cream, "--rule", "turnovers", "--to", 300), ("scale-ratios",)),
    ):
        found = run(*arguments, "--html", page)
        assert found.exit_code == 0, found.stderr
        assert max(map(len, found.stdout.splitlines())) <= 100
        text = page.read_text("utf-8")
        for key in pictures:
            assert f'id="{key}-title"' in text


ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "making" / "process.md").read_text("utf-8")


def test_the_page_shows_what_the_commands_print(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    commands = [
        shlex.split(line)
        for block in re.findall(r"```sh\n(.*?)```", PAGE, re.DOTALL)
        for line in block.splitlines()
    ]
    printed = [run(*command[2:]) for command in commands]
    assert len(printed) == 3
    assert all(found.exit_code == 0 for found in printed)
    lines = {line.rstrip() for found in printed for line in found.stdout.splitlines()}
    excerpts = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)
    assert len(excerpts) == 4
    for line in "".join(excerpts).splitlines():
        assert line in lines
