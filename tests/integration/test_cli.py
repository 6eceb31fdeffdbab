"""The command line as a chemist and a script meet it: contents, widths, JSON, exit statuses."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import zincite
import zincite.data
from zincite.interfaces.cli.app import application

sys.path.insert(0, str(Path(__file__).parent))
from formula_files import formula_file

DEMO = Path(zincite.data.__file__).parent / "demo"
FLUID, COARSE = str(DEMO / "fluid.toml"), str(DEMO / "coarser-grade.toml")


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, [str(a) for a in arguments])


def strict_json(text: str) -> Any:
    """Read JSON as a strict reader does: NaN and infinity are no JSON (RFC 8259)."""

    def refuse(name: str) -> None:
        raise ValueError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


def finite_numbers(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for item in value.values():
            yield from finite_numbers(item)
    elif isinstance(value, list):
        for item in value:
            yield from finite_numbers(item)
    elif isinstance(value, float):
        yield value


def test_version_is_the_packages() -> None:
    assert run("--version").output == f"zincite {zincite.__version__}\n"


def test_help_names_every_command_and_the_exit_statuses() -> None:
    text = run("--help").output
    for name in ("predict", "check", "compare", "tint", "materials", "demo"):
        assert re.search(rf"^  {name} +\S", text, re.MULTILINE), name
    assert "2 bad input" in text
    assert run().output == text


def test_prediction_shows_the_decision_before_the_numbers() -> None:
    lines = run("predict", FLUID).output.splitlines()
    assert lines[0].startswith("OF-4")
    decision = next(n for n, line in enumerate(lines) if line.startswith("PASSES"))
    order = [
        decision,
        *(
            next(n for n, line in enumerate(lines) if line.startswith(heading))
            for heading in (
                "What the brief asks",
                "Numbers",
                "White cast",
                "Levers",
                "Ingredient list",
                "Findings on the formula",
                "What limits this prediction",
                "Lamps and action spectra",
                "Before you rely on this",
            )
        ),
    ]
    assert order == sorted(order)
    assert decision < 4


def test_assumed_values_are_named_so() -> None:
    text = run("predict", FLUID).output
    assert re.search(r"^viscosity, low shear .*mPa s assumed", text, re.MULTILINE)
    assert re.search(r"^raw materials, EUR per kg +9 EUR/kg +prices: invented", text, re.M)


def test_prediction_json_holds_the_contract(tmp_path: Path) -> None:
    """Keys and shapes are those the design document promises to scripts."""
    for path in (FLUID, formula_file(tmp_path)):
        found = strict_json(run("predict", path, "--json").output)
        for key in (
            "spf",
            "uva_pf",
            "uva_pf_to_spf",
            "critical_wavelength_nm",
            "uva_to_uvb",
            "natural_origin_percent",
            "cost_per_kg",
            "density_g_ml",
            "viscosity_mPas",
        ):
            value = found[key]
            assert set(value) >= {"median", "low", "high"} or "value" in value, key
            if "median" in value:
                assert value["low"] <= value["median"] <= value["high"], key
        assert set(found["white_cast"]) == {
            "very light", "light", "intermediate", "tan", "brown", "dark"
        }  # fmt: skip
        for cast in found["white_cast"].values():
            assert set(cast) == {"delta_l", "delta_e00", "delta_ita_deg"}
        assert isinstance(found["warnings"], list)
        assert len(list(finite_numbers(found))) > 100


def test_a_formula_without_brief_is_not_judged(tmp_path: Path) -> None:
    path = formula_file(tmp_path)
    result = run("predict", path)
    assert result.exit_code == 0
    assert "nothing is judged" in result.output
    assert "What the brief asks" not in result.output
    assert strict_json(run("predict", path, "--json").output)["brief"] == []


def test_a_smaller_dose_protects_less() -> None:
    """Every published study of applied amount finds so; common knowledge, no single source."""
    full = strict_json(run("predict", FLUID, "--json").output)
    half = strict_json(run("predict", FLUID, "--json", "--dose", 1).output)
    assert half["spf"]["median"] < 0.75 * full["spf"]["median"]


def test_report_is_written_beside_json(tmp_path: Path) -> None:
    target = tmp_path / "report.html"
    result = run("predict", FLUID, "--json", "--html", target)
    assert strict_json(result.output)["formula"]["code"] == "OF-4"
    page = target.read_text("utf-8")
    assert page.lstrip().lower().startswith("<!doctype html>")
    assert "Invented laboratory" in page


def test_check_passes_and_names_sources(tmp_path: Path) -> None:
    result = run("check", FLUID, "--market", "eu")
    assert result.exit_code == 0
    text = " ".join(result.output.split())
    assert "Commission Regulation (EU) 2016/621" in text
    assert re.search(r"at most 25 %.*2016-04-21", text)
    unverified = run("check", FLUID, "--market", "australia").output
    assert "(unverified)" in unverified


def test_check_fails_above_the_legal_ceiling(tmp_path: Path) -> None:
    """25 % zinc oxide: Annex VI entries 30 and 30a, Regulation (EU) 2016/621."""
    below = formula_file(tmp_path, "below.toml", pigment=25.5)  # 97 % of the powder is oxide
    above = formula_file(tmp_path, "above.toml", pigment=26.5)
    assert run("check", below, "--market", "eu").exit_code == 0
    result = run("check", above, "--market", "eu", "--json")
    assert result.exit_code == 1
    found = strict_json(result.output)
    assert set(found) >= {"formula", "markets", "verdict"}
    assert found["verdict"] == found["markets"][0]["verdict"] == "fails"
    failed = [r for r in found["markets"][0]["requirements"] if r["verdict"] == "fails"]
    assert any("ceiling" in r["topic"] and "25 %" in r["limit"] for r in failed)


def test_check_takes_the_markets_of_the_brief_and_judges_it() -> None:
    found = strict_json(run("check", FLUID, "--json").output)
    assert [market["market"] for market in found["markets"]] == ["eu", "australia"]
    result = run("check", COARSE, "--json")
    assert result.exit_code == 1
    assert "fails" not in {m["verdict"] for m in strict_json(result.output)["markets"]}


def test_compare_shows_what_changed() -> None:
    text = run("compare", FLUID, COARSE).output
    assert re.search(r"^zinc-oxide-250-stearate +0 % +18 % +\+18 %", text, re.MULTILINE)
    found = strict_json(run("compare", FLUID, COARSE, "--json").output)
    assert found["changes_percent"]["zinc-oxide-250-stearate"] == {"from": 0.0, "to": 18.0}
    assert set(found) == {"changes_percent", "first", "second"}


def test_comparison_page_is_written(tmp_path: Path) -> None:
    target = tmp_path / "pair.html"
    assert run("compare", FLUID, COARSE, "--html", target).exit_code == 0
    assert "OF-2" in target.read_text("utf-8")


def test_tint_proposes_and_writes_a_formula_that_is_less_white(tmp_path: Path) -> None:
    start, target = formula_file(tmp_path), tmp_path / "tinted.toml"
    result = run("tint", start, "--skin", "brown", "--limit", 2, "--write", target, "--json")
    found = strict_json(result.output)
    assert 0 < sum(found["iron_oxide_percent"].values()) <= 2.001
    assert found["delta_e00_after"]["brown"] < found["delta_e00_before"]["brown"]
    before, after = (
        strict_json(run("predict", path, "--json").output)["white_cast"]["brown"]["delta_e00"]
        for path in (start, target)
    )
    assert after["median"] < before["median"]
    refused = run("tint", start, "--write", target)
    assert refused.exit_code == 2
    assert "is there already" in refused.stderr
    assert run("tint", start, "--write", target, "--force").exit_code == 0


def test_materials_list_filters() -> None:
    found = strict_json(run("materials", "list", "--function", "dispersant", "--json").output)
    ids = [card["id"] for card in found["materials"]]
    assert "polyhydroxystearic-acid" in ids
    assert "water" not in ids
    pigments = strict_json(run("materials", "list", "--phase", "pigment", "--json").output)
    assert all(card["phase"] == "pigment" for card in pigments["materials"])
    assert "squalane" in run("materials", "list", "--search", "SQUAL").output


def test_material_shows_every_value_with_evidence_and_source() -> None:
    card = strict_json(run("materials", "show", "zinc-oxide-100", "--json").output)
    density = card["properties"]["density_g_ml"]
    # 5.606 g/mL: McCormick 2011, as the library's source S07
    assert (density["value"], density["evidence"], density["source"]) == (
        5.606, "literature", "S07"
    )  # fmt: skip
    text = run("materials", "show", "zinc-oxide-100").output
    for name in card["properties"]:
        assert re.search(rf"^{name} +\S.*(assumed|literature|calculated|data sheet)", text, re.M)


ALL_COMMANDS = [
    ("predict", FLUID),
    ("predict", COARSE),
    ("check", FLUID),
    ("check", COARSE, "--market", "usa", "--market", "japan", "--market", "uk"),
    ("compare", FLUID, COARSE),
    ("tint", FLUID, "--limit", "1"),
    ("materials", "list"),
    ("materials", "show", "isopropyl-myristate"),
    ("materials", "show", "zinc-oxide-30-aggregated"),
    ("materials", "show", "glyceryl-behenate-glyceryl-behenate-eicosadioate"),
    ("--help",),
    ("predict", "--help"),
    ("check", "--help"),
    ("tint", "--help"),
    ("demo", "--help"),
]


@pytest.mark.parametrize("arguments", ALL_COMMANDS, ids=lambda a: " ".join(a[:2])[-60:])
def test_no_line_is_wider_than_100_columns(arguments: tuple[str, ...]) -> None:
    output = run(*arguments).output
    assert len(output) > 100
    assert [line for line in output.splitlines() if len(line) > 100] == []
    assert "\x1b" not in output
    assert "nan" not in output.lower().split()
    assert "\u2026" not in output


@pytest.mark.parametrize("group", ["assay", "making", "materials", "notebook", "trial"])
def test_a_group_alone_shows_what_it_offers(group: str) -> None:
    done = run(group)
    assert done.exit_code == 0
    assert "Commands:" in done.stdout
    assert done.stderr == ""
