"""Slabs and layers against published tables; each case names its source.

van de Hulst (1980), the flux problems of Stamnes et al. (2000), Garcia and Siewert (1985),
Ozisik and Shouman (1980), Devaux et al. (1979), Giovanelli (1955), Chandrasekhar (1950), and
computed Monte Carlo and discrete-ordinate values that say so.
"""

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from zincite.physics.layers import layered
from zincite.physics.slab import slab

FOLDER = Path(__file__).parent / "cases"
CASES = [
    case
    for case in json.loads((FOLDER / "optics_cases.json").read_text("utf-8"))["cases"]
    if case["group"].startswith("slab_")
]
MATCHED = [case for case in CASES if case["group"] != "slab_mismatched"]
SAME_STREAMS = [case for case in MATCHED if "expected_converged" in case]
FACES = [case for case in CASES if case["group"] == "slab_mismatched"]
# streams of the test program (both hemispheres), stated in each case's verification
STREAMS = {case["id"]: int(case["verified"]["by"].split()[3]) for case in SAME_STREAMS}
CONVERGED_POINTS = 32
GRAZING_POINTS = 64  # cosine 0.1 to 0.2


def _id(case):
    return f"{case['id']} {case['source'][:60]}"


def _moments(inputs):
    """One row of Legendre moments a layer."""
    if "pmom" in inputs:
        return [inputs["pmom"]]
    if "pmom_times_2l_plus_1" in inputs:
        table = np.array(inputs["pmom_times_2l_plus_1"])
        return [table / (2 * np.arange(table.size) + 1)]
    return [g ** np.arange(600) for g in inputs["g"]]


def _incidence(inputs):
    return "diffuse" if inputs["mu0"] is None else inputs["mu0"]


def _direct(inputs):
    if inputs["mu0"] is None:
        return 0.0
    return float(np.exp(-sum(map(float, inputs["tau"])) / inputs["mu0"]))


def _as_printed(inputs, reflected, transmitted):
    """Return the quantities of the tables: what falls on the ground, not what stays there."""
    total = float(transmitted) / (1 - inputs["ground_albedo"])
    direct = _direct(inputs)
    return {
        "R": float(reflected),
        "T_total": total,
        "T_diffuse": total - direct,
        "T_direct": direct,
    }


def _by_layers(inputs, points):
    flux = layered(
        np.array(inputs["tau"], dtype=float),
        inputs["albedo"],
        _moments(inputs),
        points=points,
        incidence=_incidence(inputs),
        ground_reflectance=inputs["ground_albedo"],
    )
    everything = flux.reflected + flux.transmitted + flux.absorbed.sum()
    assert everything == pytest.approx(1, abs=1e-11)
    return _as_printed(inputs, flux.reflected, flux.transmitted)


def _by_slab(inputs, points):
    flux = slab(
        float(inputs["tau"][0]),
        inputs["albedo"][0],
        inputs["g"][0],
        incidence_cosine=_incidence(inputs),
        ground_reflectance=inputs["ground_albedo"],
        points=points,
    )
    assert sum(flux) == pytest.approx(1, abs=1e-11)
    return _as_printed(inputs, flux.reflected, flux.transmitted)


def _routes(inputs):
    """`slab` where it can say the case, `layered` always."""
    single = len(inputs["tau"]) == 1 and inputs["g"][0] is not None
    return [_by_layers, _by_slab] if single else [_by_layers]


def _points(inputs):
    mu0 = inputs["mu0"]
    return GRAZING_POINTS if mu0 is not None and mu0 <= 0.2 else CONVERGED_POINTS


@pytest.mark.parametrize("case", SAME_STREAMS, ids=_id)
def test_printed_fluxes_at_the_streams_of_the_source(case):
    """Fluxes printed by the test program, half a unit of the last digit, with its directions."""
    for evaluate in _routes(case["inputs"]):
        result = evaluate(case["inputs"], STREAMS[case["id"]] // 2)
        for quantity, printed in case["expected"].items():
            tolerance = case["tolerance_abs"][quantity]
            assert result[quantity] == pytest.approx(printed, rel=0, abs=tolerance), quantity


@pytest.mark.parametrize("case", MATCHED, ids=_id)
def test_converged_fluxes(case):
    """What many directions tend to: printed values that are exact, else converged ones."""
    if "expected_converged" in case:
        expected = case["expected_converged"]
        tolerance = dict.fromkeys(expected, case["tolerance_converged_abs"])
    else:
        expected, tolerance = case["expected"], case["tolerance_abs"]
    for evaluate in _routes(case["inputs"]):
        result = evaluate(case["inputs"], _points(case["inputs"]))
        for quantity, value in expected.items():
            allowed = tolerance[quantity]
            assert result[quantity] == pytest.approx(value, rel=0, abs=allowed), quantity


@pytest.mark.parametrize("case", FACES, ids=_id)
def test_slabs_with_fresnel_faces(case):
    """Giovanelli (1955) and Monte Carlo of 3 to 20 million photons, 4 standard errors."""
    inputs = case["inputs"]
    results = {}
    for incidence, end in ((1.0, ""), ("diffuse", "_diffuse_incidence")):
        below = 1.0 if inputs["tau"] != ["inf"] else inputs["n_rel"]
        flux = slab(
            float(inputs["tau"][0]),
            inputs["albedo"][0],
            inputs["g"][0],
            film_index=inputs["n_rel"],
            below_index=below,
            incidence_cosine=incidence,
        )
        assert sum(flux) == pytest.approx(1, abs=1e-11)
        results["R" + end] = float(flux.reflected)
        results["T_total" if not end else "T" + end] = float(flux.transmitted)
    for quantity, value in case["expected"].items():
        tolerance = case["tolerance_abs"][quantity]
        assert results[quantity] == pytest.approx(value, rel=0, abs=tolerance), quantity


def _grid():
    lines = (FOLDER / "slab_grid.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize(("points", "tolerance"), [(8, 1e-4), (16, 1e-6)])
def test_grid_of_slabs(points, tolerance):
    """30 slabs at 128 streams (cdisort; DisORT++ and PythonicDISORT agree to 2e-10)."""
    rows = _grid()
    assert len(rows) == 30
    for row in rows:
        tau, albedo, g, ground = (float(row[k]) for k in ("tau", "albedo", "g", "ground_albedo"))
        incidence = "diffuse" if row["mu0"] == "diffuse" else float(row["mu0"])
        expected = [float(row[k]) for k in ("R", "T_net_into_ground", "absorbed_in_layer")]
        flux = slab(
            tau,
            albedo,
            g,
            ground_reflectance=ground,
            incidence_cosine=incidence,
            points=points,
        )
        np.testing.assert_allclose(flux, expected, rtol=0, atol=tolerance, err_msg=row["id"])


def test_cut_layers_are_the_whole_layer():
    """Adding (van de Hulst 1980, ch. 4): a slab in unequal pieces is the slab, ground and all."""
    depth = np.array([0.3, 4.0, 25.0])[:, None]
    pieces = np.array([0.1, 0.25, 0.65]) * depth
    cosine = np.array([0.15, 0.6, 1.0])
    for incidence in (cosine, "diffuse"):
        for albedo in (0.4, 0.97, 1.0):
            stack = layered(
                pieces, albedo, 0.7 ** np.arange(40), incidence=incidence, ground_reflectance=0.4
            )
            whole = slab(
                depth[:, 0], albedo, 0.7, incidence_cosine=incidence, ground_reflectance=0.4
            )
            np.testing.assert_allclose(stack.reflected, whole.reflected, rtol=0, atol=1e-12)
            np.testing.assert_allclose(stack.transmitted, whole.transmitted, rtol=0, atol=1e-12)
            np.testing.assert_allclose(
                stack.absorbed.sum(axis=1), whole.absorbed, rtol=0, atol=1e-12
            )


def test_the_reader_finds_all_cases():
    """13 single layers, 3 stacks and 4 with faces, 11 of them tied to a number of streams."""
    assert len(MATCHED) == 16
    assert len(FACES) == 4
    assert sorted(STREAMS.values()) == [8] * 3 + [16] * 7 + [32]
