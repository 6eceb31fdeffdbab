"""The demo: one formula meets its brief, each other fails for the reason it is there."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite import check, load_formula, predict, tint
from zincite.evaluation.prediction import Prediction
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves
from zincite.interfaces.cli.app import application
from zincite.interfaces.cli.demo_files import BRIEF_FILE, FORMULA_FILES, REPORT_FILE

DEMO = Path(zincite.data.__file__).parent / "demo"
FLUID, COARSE, TITANIUM, POOR = FORMULA_FILES


@pytest.fixture(scope="module")
def made() -> dict[str, Prediction]:
    return {name: predict(load_formula(DEMO / name)) for name in FORMULA_FILES}


def _verdicts(prediction: Prediction) -> dict[str, str]:
    return {f"{line.topic} {line.sense}": line.verdict for line in prediction.brief}


def _white(prediction: Prediction, skin: str = "dark") -> float:
    return prediction.white_cast[skin].delta_e00.median


def test_the_chosen_formula_meets_every_line_of_its_brief(made: dict[str, Prediction]) -> None:
    lines = made[FLUID].brief
    assert len(lines) >= 10
    assert {line.verdict for line in lines} == {"passes"}
    assert {line.topic.split(",")[0] for line in lines} >= {
        "SPF",
        "UVA-PF",
        "critical wavelength",
        "white cast dE00",
        "natural origin content",
        "raw-material cost",
        "highest process temperature",
    }


def test_its_markets_fail_nothing(made: dict[str, Prediction]) -> None:
    found = check(made[FLUID].formula, prediction=made[FLUID])
    assert [market.market for market in found] == ["eu", "australia"]
    assert "fails" not in {r.verdict for market in found for r in market.requirements}


def test_the_coarser_grade_is_whiter(made: dict[str, Prediction]) -> None:
    verdicts = _verdicts(made[COARSE])
    assert verdicts["white cast dE00, dark skin at most"] == "fails"
    assert _white(made[COARSE]) > 1.5 * _white(made[FLUID])
    assert made[COARSE].cost.per_kg.to_dict()["value"] < 8.85  # what it was tried for


def test_fine_titanium_dioxide_alone_lacks_uva(made: dict[str, Prediction]) -> None:
    verdicts = _verdicts(made[TITANIUM])
    assert verdicts["SPF at least"] == "passes"
    assert verdicts["UVA-PF at least"] in ("short", "fails")
    line = next(line for line in made[TITANIUM].brief if line.topic == "UVA-PF")
    assert line.probability is not None
    assert line.probability < 0.25


def test_the_poor_dispersion_is_weaker_and_whiter(made: dict[str, Prediction]) -> None:
    """The same formula; only the state of its zinc oxide differs."""
    same = (made[POOR].formula.percent_by_material(), made[FLUID].formula.percent_by_material())
    assert same[0] == same[1]
    assert _verdicts(made[POOR])["SPF at least"] in ("short", "fails")
    assert made[POOR].spf.median < 0.7 * made[FLUID].spf.median
    assert _verdicts(made[POOR])["white cast dE00, dark skin at most"] in ("short", "fails")
    assert _white(made[POOR]) > _white(made[FLUID])


def _share(formula: Formula, function: str) -> float:
    return math.fsum(percent for card, percent in leaves(formula) if function in card.functions)


@pytest.mark.parametrize("name", FORMULA_FILES)
def test_a_chemist_would_believe_the_formula(name: str) -> None:
    """Levels of common practice, no single source; 0.7 % magnesium sulfate: trade source S02."""
    formula = load_formula(DEMO / name)
    shares = formula.percent_by_material()
    pigment = math.fsum(percent for card, percent in leaves(formula) if card.grade is not None)
    assert 0.02 * pigment <= shares["polyhydroxystearic-acid"] <= 0.08 * pigment
    assert 2 <= _share(formula, "W/O emulsifier") <= 5
    assert shares["magnesium-sulfate"] == pytest.approx(0.7)
    hottest = max(phase.temperature_C or 0 for phase in formula.phases)
    for phase in formula.phases:
        for item in phase.ingredients:
            melting = formula.materials[item.material].property_value("melting_point_C")
            assert melting is None or melting < hottest, item.material
    levels = {finding.level for finding in predict(formula).findings}
    assert levels <= {"note"}


def test_the_cost_is_the_sum_of_the_invented_prices() -> None:
    """Worked out from the file itself with a general TOML reader, not with our own."""
    data = tomllib.loads((DEMO / FLUID).read_text("utf-8"))
    prices = {key: value["value"] for key, value in data["prices"].items() if key != "currency"}
    parts = [item for phase in data["phase"] for item in phase["ingredient"]]
    known = {item["material"]: item["percent"] for item in parts if item["percent"] != "rest"}
    known["water"] = 100 - math.fsum(known.values())
    total = math.fsum(percent / 100 * prices[name] for name, percent in known.items())
    found = predict(load_formula(DEMO / FLUID)).cost.per_kg.to_dict()
    assert found == {"value": pytest.approx(total, abs=1e-9)}


def test_the_tint_is_near_the_tint_solvers() -> None:
    """The laboratory adds a little black for dark skin; the solver can hardly better it."""
    formula = load_formula(DEMO / FLUID)
    held = sum(
        p for name, p in formula.percent_by_material().items() if "77" in name or "red" in name
    )
    proposal = tint(formula, limit_percent=held)
    before, after = (
        math.sqrt(sum(v**2 for v in found.values()) / len(found))
        for found in (proposal.delta_e00_before, proposal.delta_e00_after)
    )
    assert after <= before <= 1.15 * after
    assert sum(proposal.percent.values()) <= held + 1e-3


@pytest.mark.parametrize("name", [*FORMULA_FILES, BRIEF_FILE])
def test_every_file_says_that_it_is_invented(name: str) -> None:
    text = (DEMO / name).read_text("utf-8")
    assert "# Invented laboratory, invented trials" in text
    data = tomllib.loads(text)
    head = data.get("formula") or data["brief"]
    assert head["note"].startswith("Invented laboratory, invented trials")
    assert "invented" in head["name"]
    for price in (p for key, p in data.get("prices", {}).items() if key != "currency"):
        assert price["source"] == "invented offer"
    for card in data.get("material", []):
        assert "invented" in card["grade"]["source"]


def _run(folder: Path, *more: str) -> Result:
    # the notebook takes most of the time and has tests of its own
    arguments = ["demo", "--folder", str(folder), "--without-notebook", *more]
    return CliRunner().invoke(application, arguments)


def test_demo_shows_the_choice_and_writes_files_to_edit(tmp_path: Path) -> None:
    folder = tmp_path / "try"
    result = _run(folder)
    assert result.exit_code == 0
    lines = result.output.splitlines()
    assert "Invented laboratory, invented trials" in lines[1]
    assert any(line.startswith("PASSES") for line in lines[:6])
    assert sum("invented" in line.lower() for line in lines) >= 3
    assert max(len(line) for line in lines) <= 100 + len(str(folder))  # a path is never cut
    assert str(folder / REPORT_FILE) in " ".join(lines[-3:])
    assert {path.name for path in folder.iterdir()} == {*FORMULA_FILES, BRIEF_FILE, REPORT_FILE}
    page = (folder / REPORT_FILE).read_text("utf-8")
    for code in ("OF-1", "OF-2", "OF-3", "OF-4"):
        assert code in page
    assert "Invented laboratory, invented trials" in page
    for name in FORMULA_FILES:
        again = CliRunner().invoke(application, ["predict", str(folder / name)])
        assert again.exit_code == 0
        assert "Invented laboratory, invented trials" in again.output


def test_demo_json(tmp_path: Path) -> None:
    found = json.loads(_run(tmp_path, "--json").output)
    assert found["note"] == "Invented laboratory, invented trials"
    assert Path(found["report"]).is_file()
    assert [f["verdict"] == "passes" for f in found["formulas"]] == [True, False, False, False]
    assert found["formulas"][0]["reasons_against"] == []
    assert all(f["reasons_against"] for f in found["formulas"][1:])


def test_demo_keeps_a_users_changes(tmp_path: Path) -> None:
    assert _run(tmp_path).exit_code == 0
    assert _run(tmp_path).exit_code == 0
    changed = tmp_path / FLUID
    mine = changed.read_text("utf-8").replace("percent = 18", "percent = 17")
    changed.write_text(mine, "utf-8")
    refused = _run(tmp_path)
    assert refused.exit_code == 2
    assert refused.stderr.count("\n") == 1
    assert FLUID in refused.stderr
    assert changed.read_text("utf-8") == mine
    assert _run(tmp_path, "--force").exit_code == 0
    assert changed.read_bytes() == (DEMO / FLUID).read_bytes()


def test_demo_takes_no_report_that_is_not_its_own(tmp_path: Path) -> None:
    (tmp_path / REPORT_FILE).write_text("a report of mine", "utf-8")
    assert REPORT_FILE in _run(tmp_path).stderr
    assert (tmp_path / REPORT_FILE).read_text("utf-8") == "a report of mine"


def test_demo_needs_a_folder(tmp_path: Path) -> None:
    taken = tmp_path / "file"
    taken.write_text("x", "utf-8")
    for target in (taken, taken / "inside"):
        result = _run(target)
        assert result.exit_code == 2
        assert result.stderr.count("\n") == 1
