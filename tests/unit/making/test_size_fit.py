"""Fitting of devices: known kinetics come back, intervals narrow, the prior stays without data."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from zincite.errors import InputError, MissingDataError
from zincite.evaluation.making.stress.kinetics import assumed_kinetics
from zincite.evaluation.making.stress.size_file import fit_sizes
from zincite.evaluation.making.stress.size_fit import SizePoint, fit_devices
from zincite.evaluation.making.stress.size_fit_file import load_size_fit, save_size_fit

K, LIMIT, END = 0.028, 0.70, 340.0
ENERGIES = (0.0, 10.0, 25.0, 50.0, 90.0, 160.0, 300.0)


def synthetic(noise: float = 0.0, seed: int = 3) -> list[SizePoint]:
    """Analyses of a device whose kinetics are known, by the closed form itself."""
    rng = np.random.default_rng(seed)
    points = []
    for ev in ENERGIES:
        left = math.exp(-K * ev)
        share = (1 - LIMIT) + (0.97 - (1 - LIMIT)) * left + noise * rng.standard_normal()
        size = math.exp(math.log(END) + (math.log(5000) - math.log(END)) * left)
        points.append(SizePoint("rotor-stator", ev, float(np.clip(share, 0, 1)), 0.02, size))
    return points


@pytest.mark.parametrize("seed", range(4))
def test_known_kinetics_lie_in_the_interval_and_it_narrows(seed: int) -> None:
    found = fit_devices(synthetic(0.02, seed))["rotor-stator"]
    before = assumed_kinetics()["rotor-stator"]
    truth = (math.log(K), math.log(LIMIT / (1 - LIMIT)), math.log(END))
    for mean, sd, prior_sd, true in zip(found.mean, found.sd, before.sd, truth, strict=True):
        assert abs(mean - true) < 3 * sd
        assert sd < 0.5 * prior_sd
    assert not found.is_assumed
    assert found.points == len(ENERGIES)


def test_exact_data_are_met_closely() -> None:
    k, limit, end = (v[0] for v in fit_devices(synthetic())["rotor-stator"].intervals().values())
    assert k == pytest.approx(K, rel=0.05)
    assert limit == pytest.approx(LIMIT, abs=0.02)
    assert end == pytest.approx(END, rel=0.05)


def test_without_data_the_prior_comes_back() -> None:
    assert fit_devices([]) == assumed_kinetics()
    assert fit_devices(synthetic())["bead-mill"] == assumed_kinetics()["bead-mill"]


def test_one_analysis_without_size_leaves_the_end_size_assumed() -> None:
    found = fit_devices([SizePoint("bead-mill", 100.0, 0.5)])["bead-mill"]
    before = assumed_kinetics()["bead-mill"]
    assert found.mean[2] == pytest.approx(before.mean[2], abs=1e-6)
    assert found.sd[2] == pytest.approx(before.sd[2], rel=1e-6)
    assert found.sd[0] < before.sd[0]


def test_anchor_cannot_be_fitted() -> None:
    with pytest.raises(MissingDataError, match="frees nothing"):
        fit_devices([SizePoint("anchor", 1.0, 0.9)])


def test_file_by_power_and_time_gives_the_energy_by_hand(tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text(
        "device,minutes,power_W,volume_mL,aggregate_fraction\nRotor stator,5,100,300,0.4\n"
    )
    found = fit_sizes(path)
    assert found.points[0].point.energy_J_mL == pytest.approx(100 * 300 / 300)  # trade R28
    assert found.points[0].point.device == "rotor-stator"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("device,energy_J_mL,aggregate_fraction\nspoon,5,0.4\n", "names device 'spoon', expected"),
        ("device,energy_J_mL,aggregate_fraction\nbead-mill,-5,0.4\n", "-5 J/mL, expected 0 or"),
        ("device,energy_J_mL,aggregate_fraction\nbead-mill,5,1.4\n", "expected 0 to 1"),
        ("device,energy_J_mL\nbead-mill,5\n", "aggregate_fraction"),
    ],
)
def test_bad_file_is_one_sentence(tmp_path: Path, text: str, message: str) -> None:
    path = tmp_path / "own.csv"
    path.write_text(text)
    with pytest.raises(InputError, match=message) as found:
        fit_sizes(path)
    assert "\n" not in str(found.value)


def test_fit_file_comes_back_and_bad_ones_are_refused(tmp_path: Path) -> None:
    found = {"rotor-stator": fit_devices(synthetic())["rotor-stator"]}
    path = tmp_path / "fit.json"
    save_size_fit(found, path)
    assert load_size_fit(path) == found
    for change, message in (
        ({"format": "other"}, "expected a file of the format"),
        ({"devices": {}}, "holds no devices"),
        ({"devices": {"spoon": {}}}, "device 'spoon' is not known"),
        ({"devices": {"bead-mill": {"mean": [1, 2]}}}, "impossible numbers"),
    ):
        path.write_text(json.dumps({**json.loads(path.read_text()), **change}))
        with pytest.raises(InputError, match=message):
            load_size_fit(path)
        save_size_fit(found, path)
    with pytest.raises(InputError, match="not readable"):
        load_size_fit(tmp_path / "none.json")
