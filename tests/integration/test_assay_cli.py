"""`zincite assay`: contracts, closed forms, exit statuses, widths, and lines that can be learnt."""

from __future__ import annotations

import json
import math
import shutil
import statistics
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

import zincite.data
from zincite.evaluation.parameters import shipped_draws
from zincite.formula.reading import load_formula
from zincite.interfaces.cli.app import application
from zincite.learning.posterior import LabPosterior, save_posterior
from zincite.learning.results_file import load_results

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
UVA = ("--before", EXAMPLES / "uva_before.csv", "--after", EXAMPLES / "uva_after.csv")
COMMANDS: dict[str, tuple[tuple[object, ...], int]] = {
    "uva": ((*UVA, "--label-spf", 30), 0),
    "uva before": (("--before", EXAMPLES / "uva_before.csv", "--label-spf", 30), 1),
    "spf": ((EXAMPLES / "spf.csv",), 0),
    "spf ladders": ((EXAMPLES / "spf_ladders.csv",), 0),
    "uva-pf": ((EXAMPLES / "uva_pf.csv", "--label-spf", 30), 0),
    "water": ((EXAMPLES / "water.csv", "--minutes", 40), 0),
    "photostability": ((*UVA, "--limit", 10), 0),
    "photostability limit": ((*UVA, "--limit", 1), 1),
    "double-plate": ((EXAMPLES / "double_plate.csv", "--laboratory-valid"), 0),
    "double-plate unsaid": ((EXAMPLES / "double_plate.csv",), 1),
    "hybrid": ((EXAMPLES / "hybrid.csv", "--laboratory-valid"), 0),
    "broad-spectrum": ((EXAMPLES / "uva_after.csv", "--preirradiated"), 0),
    "broad-spectrum bare": ((EXAMPLES / "uva_after.csv", "--not-preirradiated"), 1),
    "colour": ((EXAMPLES / "colour.csv",), 0),
    "colour limit": ((EXAMPLES / "colour.csv", "--max-delta-e00", 3), 1),
    "contrast": ((EXAMPLES / "contrast.csv",), 0),
    "screening": ((EXAMPLES / "screening.csv", "--control", "uncoated"), 0),
    "size": ((EXAMPLES / "sizes.csv", "--material", "zinc-oxide-100-silane"), 0),
    "flow": ((EXAMPLES / "flow.csv",), 0),
}
WITH_FORMULA = (
    "uva", "spf", "uva-pf", "double-plate", "hybrid", "broad-spectrum", "colour", "contrast", "flow"
)  # fmt: skip


def run(*arguments: object) -> Result:
    return CliRunner().invoke(application, ["assay", *(str(a) for a in arguments)])


def ran(name: str, *more: object) -> Result:
    arguments, status = COMMANDS[name]
    found = run(name.split()[0], *arguments, *more)
    assert found.exit_code == status, found.output + found.stderr
    return found


def strict(text: str) -> Any:
    def refuse(name: str) -> None:
        raise ValueError(f"{name} is not JSON")

    return json.loads(text, parse_constant=refuse)


def as_json(name: str, *more: object) -> Any:
    return strict(ran(name, *more, "--json").stdout)


def spectra(path: Path, absorbance: float, plates: int = 4) -> Path:
    names = ",".join(f"Plate {p} spot {s}" for p in range(1, plates + 1) for s in (1, 2))
    row = ",".join([f"{absorbance:g}"] * 2 * plates)
    rows = [f"Wavelength nm,{names}", *(f"{w},{row}" for w in range(290, 401))]
    path.write_text("Absorbance\n" + "\n".join(rows) + "\n", "utf-8")
    return path


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_fits_100_columns_and_says_its_status(name: str) -> None:
    text = ran(name).stdout
    assert max(map(len, text.splitlines())) <= 100
    assert not any(line != line.rstrip() for line in text.splitlines())
    assert "What was read" in text
    decision = text.splitlines()[1:4]
    assert any(line[:4].isupper() for line in decision)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_json_holds_validity_reasons_marks_and_preview(name: str) -> None:
    found = as_json(name)
    assert found["assay"] == name.split()[0]
    assert isinstance(found["valid"], bool)
    assert isinstance(found["reasons"], list)
    assert isinstance(found["marks"], list)
    assert found["files"][0]["understood"]
    assert found["prediction"] is None
    assert (found["valid"] and not found["missed"]) == (COMMANDS[name][1] == 0)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_mark_from_memory_is_printed(name: str) -> None:
    shown = " ".join(ran(name).stdout.split())
    for mark in as_json(name)["marks"]:
        assert " ".join(mark.split()) in shown


def test_the_help_tells_the_exit_statuses() -> None:
    assert "1 done but the test is not valid" in " ".join(run("--help").output.split())
    for name in sorted({key.split()[0] for key in COMMANDS}):
        words = " ".join(run(name, "--help").output.split())
        assert "0 done and valid, 1 done but not valid or a given limit missed" in words


def test_uva_json_has_the_keys_of_the_contract() -> None:
    found = as_json("uva")
    keys = ("c", "spf_in_vitro", "uva_pf0", "dose_J_cm2", "uva_pf", "critical_wavelength_nm",
            "uva_to_uvb")  # fmt: skip
    assert all(isinstance(found[key], float) for key in keys)
    assert found["valid"] is True
    assert as_json("uva before")["uva_pf"] is None


def test_flat_plates_give_closed_forms(tmp_path: Path) -> None:
    # Flat absorbance A, by the definitions of ISO 24443 as remembered: SPF0 = 10^A,
    # C = log10(30)/A, UVA-PF0 = 30, dose = 1.2 x 30 J/cm2, 90 % of 110 nm, equal UVA and UVB.
    before = spectra(tmp_path / "b.csv", 1.2)
    after = spectra(tmp_path / "a.csv", 1.08)
    found = strict(
        run("uva", "--before", before, "--after", after, "--label-spf", 30, "--json").stdout
    )
    assert found["c"] == pytest.approx(math.log10(30) / 1.2, abs=1e-9)
    assert found["spf_in_vitro"] == pytest.approx(10**1.2)
    assert found["uva_pf0"] == pytest.approx(30.0)
    assert found["dose_J_cm2"] == pytest.approx(36.0)
    assert found["uva_pf"] == pytest.approx(30**0.9)
    assert found["critical_wavelength_nm"] == pytest.approx(290 + 0.9 * 110)
    assert found["uva_to_uvb"] == pytest.approx(1.0)
    assert found["valid"] is True


def test_one_file_may_hold_both_states(tmp_path: Path) -> None:
    names = [f"P{p}S1 {state}" for state in ("before", "after") for p in (1, 2, 3, 4)]
    rows = [f"{w}," + ",".join(["1.2"] * 4 + ["1.08"] * 4) for w in range(290, 401)]
    path = tmp_path / "both.csv"
    path.write_text("Absorbance\nnm," + ",".join(names) + "\n" + "\n".join(rows) + "\n", "utf-8")
    found = strict(run("uva", "--before", path, "--label-spf", 30, "--json").stdout)
    assert found["uva_pf"] == pytest.approx(30**0.9)


def test_the_2012_edition_asks_for_three_plates(tmp_path: Path) -> None:
    # numbers of plates from memory of the two editions
    before, after = (spectra(tmp_path / f"{n}.csv", 1.2, plates=3) for n in "ba")
    asked = ("uva", "--before", before, "--after", after, "--label-spf", 30)
    assert run(*asked, "--edition", "2012").exit_code == 0
    assert run(*asked, "--edition", "2021").exit_code == 1


def test_spf_json_has_the_keys_of_the_contract(tmp_path: Path) -> None:
    ratios = (28.0, 31.0, 34.0, 30.0, 29.0, 33.0, 27.0, 32.0, 30.0, 31.0)
    path = tmp_path / "panel.csv"
    rows = [f"{n},20,{20 * r:g}" for n, r in enumerate(ratios, start=1)]
    path.write_text("subject,med_unprotected,med_protected\n" + "\n".join(rows), "utf-8")
    found = strict(run("spf", path, "--json").stdout)
    # Python's statistics module; t(0.975; 9) = 2.262 of Student's printed table
    mean, sd = statistics.mean(ratios), statistics.stdev(ratios)
    assert found["mean_spf"] == pytest.approx(mean)
    assert found["sd"] == pytest.approx(sd)
    assert found["n"] == 10
    half = 100 * 2.262 * sd / math.sqrt(10) / mean
    assert found["ci95_half_width_percent"] == pytest.approx(half, rel=3e-4)
    assert found["valid"] is True
    assert found["reasons"] == []
    assert found["label_class"]["eu"] == "30"


def test_an_excluded_subject_stays_visible() -> None:
    found = as_json("spf")
    assert found["rejected"] == [
        {"subject": "S07", "reason": "left out by the laboratory: sunburn on the second day"}
    ]
    assert "sunburn" in ran("spf").stdout


def test_references_are_named_with_their_spf() -> None:
    found = as_json("spf", "--reference", "P5=30.4", "--reference", "P2 = 16")
    assert [x["name"] for x in found["references"]] == ["P5", "P2"]
    wrong = run("spf", EXAMPLES / "spf.csv", "--reference", "P5")
    assert wrong.exit_code == 2
    assert "P5=30.2" in wrong.stderr


@pytest.mark.parametrize("name", WITH_FORMULA)
def test_a_formula_lays_its_prediction_over(name: str) -> None:
    found = as_json(name, "--formula", FLUID)["prediction"]
    assert found["formula"].startswith("OF-4")
    for item in found["comparisons"]:
        low, high = item["predicted"]["low"], item["predicted"]["high"]
        assert item["inside_90_percent_interval"] == (low <= item["measured"] <= high)
        if item["quantile"] is not None:
            assert 0 < item["quantile"] < 1
            assert item["crps"] is not None
    text = ran(name, "--formula", FLUID).stdout
    assert "Against the prediction" in text
    assert max(map(len, text.splitlines())) <= 100


def test_the_prediction_laid_over_is_that_of_predict() -> None:
    made = CliRunner().invoke(application, ["predict", str(FLUID), "--json"])
    alone = strict(made.stdout)
    for name, key in (("spf", "spf"), ("uva-pf", "uva_pf")):
        (item,) = as_json(name, "--formula", FLUID)["prediction"]["comparisons"]
        assert item["predicted"] == pytest.approx(alone[key])
    cast = as_json("colour", "--formula", FLUID)["prediction"]["comparisons"]
    tan = next(item for item in cast if item["quantity"] == "delta_e00 tan")
    assert tan["predicted"] == pytest.approx(alone["white_cast"]["tan"]["delta_e00"])


def test_a_panel_s_chance_needs_a_target() -> None:
    told = as_json("spf", "--formula", FLUID, "--label-spf", 50)["prediction"]["panel"]
    assert told["target_spf"] == 50
    assert told["cv_assumed"] is False
    easier = as_json("spf", "--formula", FLUID, "--label-spf", 20)["prediction"]["panel"]
    assert easier["probability"] > told["probability"]


def laboratory(path: Path, **changed: float) -> Path:
    """Write a laboratory's posterior: the shipped draws with some parameters set."""
    even = shipped_draws()
    one = np.ones(even.size)
    columns = {
        name: np.asarray(getattr(even, name))
        for name in ("film_shape", "aggregate_log_nm", "zinc_k", "titanium_k", "aggregate_logit")
    }
    columns |= {
        "plate_shape": 1.1 * one,
        "panel_bias": 0.0 * one,
        "plate_bias": 0.0 * one,
        "scatter": 0.1 * one,
        "method_scatter": 0.0 * one,
    }
    columns |= {name: value * one for name, value in changed.items()}
    save_posterior(LabPosterior("Lab", columns, {}, {}), path)
    return path


@pytest.mark.parametrize(
    ("name", "key", "bias"), [("spf", "spf", "panel_bias"), ("uva", "spf_in_vitro", "plate_bias")]
)
def test_a_laboratory_s_bias_moves_its_prediction(
    tmp_path: Path, name: str, key: str, bias: str
) -> None:
    # by definition of the bias: SPF - 1 grows by its exponential
    seen = []
    for value in (0.0, math.log(2.0)):
        lab = laboratory(tmp_path / "lab.json", **{bias: value})
        found = as_json(name, "--formula", FLUID, "--model", lab)["prediction"]
        assert found["model"].startswith("model of Lab")
        item = next(x for x in found["comparisons"] if x["quantity"] == key)
        seen.append(item["predicted"]["median"] - 1)
    assert seen[1] == pytest.approx(2 * seen[0], rel=1e-6)


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("spf", ["spf-in-vivo"]),
        ("uva-pf", ["uva-pf-in-vivo"]),
        ("uva", ["spf-in-vitro", "critical-wavelength"]),
        ("size", ["aggregate-fraction"]),
    ],
)
def test_lines_to_paste_are_read_by_learning(tmp_path: Path, name: str, kinds: list[str]) -> None:
    shutil.copy(FLUID, tmp_path / "fluid.toml")
    shutil.copy(FLUID.parent / "brief.toml", tmp_path / "brief.toml")
    lines = next(x for x in as_json(name)["lines"] if "zincite learn" in x["purpose"])
    text = lines["toml"].replace("FORMULA.toml", "fluid.toml")
    (tmp_path / "results.toml").write_text('[laboratory]\nname = "L"\n' + text, "utf-8")
    _, observations = load_results(tmp_path / "results.toml")
    assert [x.kind for x in observations] == kinds
    if name != "size":  # one size analysis tells no scatter
        assert all(x.standard_error > 0 for x in observations)


def test_lines_of_an_invalid_test_say_so() -> None:
    assert "the test is not valid" in as_json("uva before")["lines"][0]["toml"]


def test_size_lines_are_read_by_a_card(tmp_path: Path) -> None:
    toml = as_json("size")["lines"][0]["toml"]
    assert tomllib.loads(toml)["aggregate_fraction"]["value"] == pytest.approx(0.163, abs=0.005)
    text = FLUID.read_text("utf-8")
    start = text.index("  aggregate_fraction")
    end = text.index("    [[material.grade.coating]]")
    shutil.copy(FLUID.parent / "brief.toml", tmp_path / "brief.toml")
    (tmp_path / "f.toml").write_text(text[:start] + toml + text[end:], "utf-8")
    grade = load_formula(tmp_path / "f.toml").materials["trial-zinc-oxide-70-silane"].grade
    assert grade is not None
    assert grade.aggregate_fraction is not None
    assert grade.aggregate_fraction.evidence.value == "measured"


def test_constituent_particles_give_no_aggregates() -> None:
    found = strict(run("size", EXAMPLES / "sizes.csv", "--constituent", "--json").stdout)
    assert [x["purpose"] for x in found["lines"]] == ["[material.grade] of the grade's card"]
    values = tomllib.loads(found["lines"][0]["toml"])
    assert set(values) == {"histogram", "weighting"}
    assert len(values["histogram"]["share"]) == len(values["histogram"]["diameter_nm"])


def test_two_readings_of_a_contrast_card_by_hand(tmp_path: Path) -> None:
    # ISO 6504-3 as remembered: 100 x 20/80 = 25 % and 100 x 24/80 = 30 %
    path = tmp_path / "cards.csv"
    path.write_text("card,Y black,Y white\n1,20,80\n2,24,80\n", "utf-8")
    found = strict(run("contrast", path, "--json").stdout)
    assert found["ratios_percent"] == pytest.approx([25.0, 30.0])


def test_half_the_protection_retained_by_hand(tmp_path: Path) -> None:
    # ISO 18861 as remembered: 100 (11 - 1)/(21 - 1) = 50 % for every subject, limit 50 %
    path = tmp_path / "water.csv"
    rows = "".join(f"{n},21,11\n" for n in range(10))
    path.write_text("subject,spf_static,spf_wet\n" + rows, "utf-8")
    found = strict(run("water", path, "--minutes", 80, "--json").stdout)
    assert found["mean_retention_percent"] == pytest.approx(50.0)
    assert found["resistant"] is True
    assert found["baths"] == 4


def test_html_is_written_beside_the_text(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    text = ran("water", "--html", page).stdout
    assert str(page) in text.replace("\n", "")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
