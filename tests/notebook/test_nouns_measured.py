"""Figures that evaluated tests and plain readings give, against the evaluations themselves."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from zincite.errors import InputError
from zincite.interfaces.cli.app import application
from zincite.interfaces.cli.assay import assay
from zincite.notebook.measured import ASSAYS, measured_values, plain_value
from zincite.notebook.quantities import MeasuredValue

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
UVA = ("--before", EXAMPLES / "uva_before.csv", "--after", EXAMPLES / "uva_after.csv")
RUNS: dict[str, tuple[object, ...]] = {
    "uva": (*UVA, "--label-spf", 30),
    "spf": (EXAMPLES / "spf.csv",),
    "uva-pf": (EXAMPLES / "uva_pf.csv",),
    "water": (EXAMPLES / "water.csv", "--minutes", 40),
    "photostability": UVA,
    "double-plate": (EXAMPLES / "double_plate.csv", "--laboratory-valid"),
    "hybrid": (EXAMPLES / "hybrid.csv", "--laboratory-valid"),
    "broad-spectrum": (EXAMPLES / "uva_after.csv", "--preirradiated"),
    "colour": (EXAMPLES / "colour.csv",),
    "contrast": (EXAMPLES / "contrast.csv",),
    "screening": (EXAMPLES / "screening.csv",),
    "size": (EXAMPLES / "sizes.csv",),
    "flow": (EXAMPLES / "flow.csv",),
}


def evaluated(kind: str) -> Any:
    found = CliRunner().invoke(application, ["assay", kind, *map(str, RUNS[kind]), "--json"])
    return json.loads(found.stdout)


def test_every_assay_has_its_figures() -> None:
    assert set(ASSAYS) == set(assay.commands) == set(RUNS)


@pytest.mark.parametrize("kind", RUNS)
def test_figures_are_those_of_the_evaluation(kind: str) -> None:
    said = evaluated(kind)
    found = measured_values(kind, said)
    assert found
    numbers = set(_numbers(said))
    for value in found:
        assert {value.value, value.low, value.high} - {None} <= numbers
        assert value.low is None or value.value is None or value.low <= value.value
        assert value.high is None or value.value is None or value.high >= value.value
    assert len({value.quantity for value in found}) == len(found)


def _numbers(said: Any) -> list[float]:
    if isinstance(said, dict):
        return [number for item in said.values() for number in _numbers(item)]
    if isinstance(said, list):
        return [number for item in said for number in _numbers(item)]
    return [said] if isinstance(said, int | float) and not isinstance(said, bool) else []


def test_figures_bear_the_names_that_predictions_use() -> None:
    by = {kind: {v.quantity: v for v in measured_values(kind, evaluated(kind))} for kind in RUNS}
    assert by["spf"]["spf"].value == evaluated("spf")["mean_spf"]
    assert by["uva-pf"]["uva_pf"].value == evaluated("uva-pf")["mean_uva_pf"]
    assert by["uva"]["critical_wavelength_nm"].unit == "nm"
    assert by["contrast"]["contrast_ratio_percent"].unit == "%"
    assert by["flow"]["viscosity_mPas"].unit == "mPa s"
    first = next(iter(evaluated("flow")["viscosity_mPas"].values()))
    assert by["flow"]["viscosity_mPas"].value == first
    assert {name.split(" ", 1)[0] for name in by["colour"]} == {
        "delta_l", "delta_e00", "delta_ita_deg",
    }  # fmt: skip
    predicted = CliRunner().invoke(application, ["predict", str(_fluid()), "--json"])
    keys = set(json.loads(predicted.stdout))
    same = {"spf", "uva_pf", "critical_wavelength_nm", "contrast_ratio_percent", "viscosity_mPas"}
    assert same <= keys


def _fluid() -> Path:
    import zincite.data

    return Path(zincite.data.__file__).parent / "demo" / "fluid.toml"


@pytest.mark.parametrize(
    ("quantity", "value", "unit", "kept"),
    [
        ("viscosity", 12, "Pa s", MeasuredValue("viscosity_mPas", 12000.0, unit="mPa s")),
        ("Viscosity", 12, "Pa.s", MeasuredValue("viscosity_mPas", 12000.0, unit="mPa s")),
        ("viscosity", 12, "mPas", MeasuredValue("viscosity_mPas", 12.0, unit="mPa s")),
        ("viscosity", 12, "cP", MeasuredValue("viscosity_mPas", 12.0, unit="mPa s")),
        ("density", 1100, "kg/m3", MeasuredValue("density_g_ml", 1.1, unit="g/mL")),
        ("pH", 6.4, "", MeasuredValue("ph", 6.4)),
        ("droplet size", 2500, "nm", MeasuredValue("droplet_um", 2.5, unit="um")),
        ("droplet_size", 2.5, "\u00b5m", MeasuredValue("droplet_um", 2.5, unit="um")),
        ("wear test score", 4, "points", MeasuredValue("wear test score", 4.0, unit="points")),
    ],
)
def test_plain_readings_are_kept_in_one_unit(
    quantity: str, value: float, unit: str, kept: MeasuredValue
) -> None:
    found = plain_value(quantity, value, unit)
    assert found.value == pytest.approx(kept.value)
    assert (found.quantity, found.unit) == (kept.quantity, kept.unit)


@pytest.mark.parametrize(("quantity", "unit"), [("viscosity", ""), ("density", "g"), ("ph", "%")])
def test_a_plain_reading_in_another_unit_is_refused(quantity: str, unit: str) -> None:
    with pytest.raises(InputError, match=f"{quantity} has the unit '{unit}', expected"):
        plain_value(quantity, 1.0, unit)


def test_a_kind_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="kind of result is 'taste', expected one of uva,"):
        measured_values("taste", {"a": 1})
