"""`zincite making deagglomeration` and `making fit` as met by a chemist, and as on their page."""

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

TEXT = (Path(__file__).parents[2] / "docs" / "making" / "deagglomeration.md").read_text("utf-8")
DEMO = Path(zincite.data.__file__).parent / "demo"


def blocks(kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", TEXT, re.DOTALL)


LINES = [line for block in blocks("sh") for line in block.splitlines()]


@pytest.fixture(autouse=True)
def _files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "mill.toml").write_text(blocks("toml")[0])
    (tmp_path / "sizes.csv").write_text(blocks("csv")[0])
    monkeypatch.chdir(tmp_path)


def run(line: str) -> Result:
    return CliRunner().invoke(application, shlex.split(line), terminal_width=100)


def answer(line: str) -> Any:
    result = run(f"{line} --json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def plain(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


def test_the_pages_lines_run_and_its_excerpts_are_real() -> None:
    shown: list[str] = []
    for line in LINES:
        result = run(line.removeprefix("zincite "))
        assert result.exit_code == 0, result.output
        assert max(map(len, result.output.splitlines())) <= 100
        shown += plain(result.output)
    for block in blocks("text"):
        for line in plain(block):
            assert line in shown


def test_answer_says_what_a_change_does_to_spf_and_whiteness() -> None:
    found = answer("making deagglomeration mill.toml --minutes-more 5")
    written, longer = found["cases"]
    assert longer["case"] == "5 min more on step 1"
    assert longer["energy_J_mL"] > written["energy_J_mL"]
    assert longer["optics"]["spf"]["median"] > written["optics"]["spf"]["median"]
    assert longer["optics"]["delta_l"]["median"] < written["optics"]["delta_l"]["median"]
    first, then = (case["grades"][0] for case in (written, longer))
    assert then["aggregate_percent"]["median"] < first["aggregate_percent"]["median"]
    assert then["fines_percent"] == pytest.approx(100 - then["aggregate_percent"]["median"])
    assert longer["exposed_m2_per_kg_product"] > written["exposed_m2_per_kg_product"]
    assert first["assumed"] is True
    assert {"R26", "R28", "R31", "R32"} <= {r["id"] for r in found["basis"]["relations"]}
    assert any("assumed; none were found in print" in said for said in found["basis"]["assumed"])


def test_prediction_meets_the_what_if() -> None:
    """Both answers must be the same number: one model, two doors."""
    case = answer("making deagglomeration mill.toml")["cases"][0]
    predicted = answer("predict mill.toml")
    assert case["optics"]["spf"]["median"] == pytest.approx(predicted["spf"]["median"], rel=1e-9)
    assert any("worked out from the process steps" in said for said in predicted["warnings"])
    assert not any("ordinary processing" in said for said in predicted["warnings"])


def test_fit_narrows_the_answer_and_is_named() -> None:
    assert run("making fit sizes.csv -o fit.json").exit_code == 0
    wide = answer("making deagglomeration mill.toml")
    close = answer("making deagglomeration mill.toml --fit fit.json")
    widths = [
        found["cases"][0]["grades"][0]["aggregate_percent"]["high"]
        - found["cases"][0]["grades"][0]["aggregate_percent"]["low"]
        for found in (wide, close)
    ]
    assert widths[1] < 0.7 * widths[0]
    evidence = {item["device"]: item["evidence"] for item in close["devices"]}
    assert evidence["rotor-stator"] == "measured"
    assert evidence["bead-mill"] == "assumed"
    assert close["files"] == ["fit.json"]
    one, other = answer("predict mill.toml"), answer("predict mill.toml --process-fit fit.json")
    assert other["spf"]["median"] != one["spf"]["median"]


def test_page_holds_the_curves_and_no_outside(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    assert run(f"making deagglomeration mill.toml --html {page}").exit_code == 0
    text = page.read_text("utf-8")
    assert "Freed pigment against energy" in text
    assert "<svg" in text
    assert "http" not in text.replace("http://www.w3.org/", "")


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("mill.toml --device spoon", "device is 'spoon', expected one of anchor"),
        ("mill.toml --device rotor-stator --tip-speed 200", "no batch rotor-stator is built for"),
        ("mill.toml --minutes-more 5 --step 7", "step is 7, expected 1 to 3"),
        ("mill.toml --minutes-more 5 --device anchor", "expected one of them"),
        ("mill.toml --passes 3", "expected more minutes or a device"),
        ("mill.toml --minutes-more -50", "-45 minutes, expected 0 to"),
        ("mill.toml --fit sizes.csv", "expected the file that"),
        ("mill.toml --device anchor --step 1 --minutes 5 --no-optics", ""),
    ],
)
def test_impossible_questions_are_answered_in_a_sentence(line: str, message: str) -> None:
    result = run(f"making deagglomeration {line}")
    if not message:
        assert result.exit_code == 0, result.output
        return
    assert result.exit_code == 2
    assert message in result.output
    assert len(result.output.strip().splitlines()) == 1


def test_formula_without_process_is_told_what_to_add(tmp_path: Path) -> None:
    text = blocks("toml")[0].partition("[process]")[0]
    (tmp_path / "plain.toml").write_text(text)
    result = run("making deagglomeration plain.toml")
    assert result.exit_code == 2
    assert '[[process.step]] device = "rotor-stator", minutes = 5' in result.output


def test_bought_dispersion_is_said_to_start_from_its_own_state(tmp_path: Path) -> None:
    text = blocks("toml")[0].replace(
        '"zinc-oxide-100-silane", percent = 18',
        '"zinc-oxide-120-in-caprylic-capric-triglyceride-60", percent = 25',
    )
    (tmp_path / "bought.toml").write_text(text)
    warnings = answer("predict bought.toml")["warnings"]
    assert any("comes in a bought dispersion" in said for said in warnings)
