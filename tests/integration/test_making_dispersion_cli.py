"""`zincite making bench`, `mill-base`, `ladder`, `points`: contracts, refusals, pages, docs."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.interfaces.cli.app import application

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples" / "making"
FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
ZINC = "trial-zinc-oxide-70-silane"
COMMANDS = {
    "bench": (FLUID, "--bet", f"{ZINC}=12"),
    "mill-base": (FLUID, "--device", "dissolver"),
    "ladder": (EXAMPLES / "ladder.csv", "--formula", FLUID),
    "points": (EXAMPLES / "points.csv",),
}
PAGE = (ROOT / "docs" / "making" / "dispersion.md").read_text("utf-8")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["making", *(str(a) for a in arguments)])


def ran(name: str, *more: object) -> Result:
    found = run(name, *COMMANDS[name], *more)
    assert found.exit_code == 0, found.output
    return found


def strict(text: str) -> Any:
    def refuse(name: str) -> None:
        raise ValueError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("name", COMMANDS)
def test_terminal_fits_its_width_and_marks_what_is_assumed(name: str) -> None:
    text = ran(name).stdout
    assert max(map(len, text.splitlines())) <= 100
    assert "Assumed  your own measurement replaces these" in text
    assert "Relations used" in text
    assert "…" not in text


@pytest.mark.parametrize("name", COMMANDS)
def test_the_page_stands_alone(name: str, tmp_path: Path) -> None:
    ran(name, "--html", tmp_path / "page.html")
    page = (tmp_path / "page.html").read_text("utf-8")
    assert page.count("<svg") >= 2  # the verdict's mark and the picture
    assert "<script" not in page
    assert not re.search(r"(?:src|href)=\"https?:", page)


def test_bench_json() -> None:
    found = strict(ran("bench", "--json").stdout)
    assert found["making"] == "bench"
    assert found["formula"]["code"] == "OF-4"
    first = found["powders"][0]
    assert (first["material"], first["bet_surface_m2_g"]) == (ZINC, 12)
    assert first["bet_to_geometric"] < 1
    assert set(found["demand_percent_of_formula"]) == {"median", "low", "high"}
    assert found["mill_base"]["solids_percent"] == pytest.approx(100 * 22.1 / 34.9)
    assert {r["id"] for r in found["basis"]["relations"]} >= {"R01", "R03", "R04", "R06", "R07"}
    assert found["basis"]["assumed"]


def test_mill_base_json() -> None:
    found = strict(ran("mill-base", "--json").stdout)
    assert found["device"] == "dissolver"
    assert found["device_viscosity_mPas"] == {"low": 1000, "high": 50000}
    assert sum(round(100 * line["mass_g"]) for line in found["recipe"]) == 10_000
    highest = found["highest_solids_percent"]
    assert highest["low"] < highest["median"] < found["cpvc_solids_percent"]["median"]


def test_ladder_json() -> None:
    found = strict(ran("ladder", "--json").stdout)
    best = found["best_percent_of_pigment"]
    assert best["low"] < best["value"] < best["high"]
    product = found["product"]["dispersant_percent"]
    assert product["value"] == pytest.approx(best["value"] * 0.221)
    assert found["files"] == ["ladder.csv"]


def test_points_json() -> None:
    found = strict(ran("points", "--json").stdout)
    gaps = [item["gap_g_100g"] for item in found["liquids"]]
    assert gaps == sorted(gaps)
    assert [item["rank"] for item in found["liquids"]] == [1, 2, 3, 4, 5]


def refused(*arguments: object) -> str:
    found = run(*arguments)
    assert found.exit_code == 2, found.output
    assert found.stdout == ""
    assert found.stderr.count("\n") == 1
    return found.stderr.removeprefix("zincite: ")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("bench", FLUID, "--bet", "nonsense"), "expected MATERIAL=M2_G"),
        (("bench", FLUID, "--bet", f"{ZINC}=abc"), "expected MATERIAL=M2_G"),
        (("bench", FLUID, "--bet", f"{ZINC}=1", "--bet", f"{ZINC}=2"), "twice"),
        (("bench", FLUID, "--bet", "water=2"), "expected a powder of formula"),
        (("bench", FLUID, "--gamma", "0"), "adsorbed amount is 0 mg/m2"),
        (("mill-base", FLUID, "--device", "spoon"), "expected one of dissolver"),
        (("mill-base", FLUID, "--device", "anchor"), "breaks nothing up"),
        (("mill-base", FLUID, "--device", "dissolver", "--solids", "90"), "above the critical"),
        (("mill-base", FLUID, "--device", "high-pressure", "--oil-viscosity", "500"),
         "the oil alone has 500 mPa s"),
        (("ladder", EXAMPLES / "points.csv"), "names the columns dispersant, viscosity"),
        (("points", EXAMPLES / "ladder.csv"), "names the columns liquid, wet, flow"),
        (("ladder", "no-such-file.csv"), "no-such-file.csv"),
    ],
)  # fmt: skip
def test_bad_input_is_one_sentence(arguments: tuple[object, ...], words: str) -> None:
    assert re.search(words, refused(*arguments))


def test_few_levels_name_the_file(tmp_path: Path) -> None:
    path = tmp_path / "short.csv"
    path.write_text("dispersant % of pigment,viscosity mPas\n1,500\n2,400\n3,450\n", "utf-8")
    assert refused("ladder", path).startswith("short.csv: the ladder has 3 levels")


@pytest.mark.parametrize("line", re.findall(r"^zincite making .*$", PAGE, re.M))
def test_the_lines_of_the_page_run(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in (*EXAMPLES.glob("*.csv"), FLUID, FLUID.with_name("brief.toml")):
        shutil.copy(file, tmp_path)
    monkeypatch.chdir(tmp_path)
    found = CliRunner().invoke(application, shlex.split(line)[1:])
    assert found.exit_code == 0, found.output


def test_the_excerpts_of_the_page_are_what_is_printed() -> None:
    shown = "".join(
        run(*arguments).stdout
        for arguments in (
            ("bench", FLUID),
            ("ladder", EXAMPLES / "ladder.csv", "--formula", FLUID),
            ("mill-base", FLUID, "--device", "bead-mill"),
        )
    )
    blocks = re.findall(r"```\n(.*?)```", re.sub(r"```sh\n.*?```", "", PAGE, flags=re.S), re.S)
    lines = [line for block in blocks for line in block.splitlines()]
    assert len(lines) >= 6
    assert [line for line in lines if line not in shown] == []


def test_the_examples_say_that_they_are_invented() -> None:
    for name in ("ladder.csv", "points.csv"):
        assert (EXAMPLES / name).read_text("utf-8").startswith("Invented example")
