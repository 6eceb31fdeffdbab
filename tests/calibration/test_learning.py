"""Learning on synthetic laboratories: better predictions, nothing lost, honest reports."""

from __future__ import annotations

import json

import numpy as np
import pytest

from tests.calibration.labs import as_observations, blank_model, formulas, measured
from zincite.errors import InputError, MissingDataError, OutOfRangeError
from zincite.evaluation.predicting import predict_formula
from zincite.learning.emulator import build_emulator
from zincite.learning.fitting import learn
from zincite.learning.model import GLOBAL_NAMES
from zincite.learning.observations import KINDS, Observation
from zincite.learning.posterior import load_posterior, save_posterior
from zincite.learning.sampling import sample


@pytest.fixture(scope="module")
def biased_lab():
    """A laboratory that spreads badly and whose panel reads low: results and true parameters."""
    model, blanks = blank_model()
    rng = np.random.default_rng(11)
    z = np.zeros(model.size)
    z[GLOBAL_NAMES.index("log_film_shape")] = -1.5
    z[GLOBAL_NAMES.index("panel_bias")] = -1.5
    z[GLOBAL_NAMES.index("plate_bias")] = 1.0
    z[GLOBAL_NAMES.index("log_scatter")] = -1.0
    z[len(GLOBAL_NAMES) :] = 0.6 * rng.standard_normal(len(model.grades))
    return as_observations(measured(model, z, rng), blanks)


@pytest.fixture(scope="module")
def posterior(biased_lab):
    return learn(biased_lab, laboratory="synthetic", seed=3)


def test_twelve_formulas_halve_the_leave_one_out_error(posterior) -> None:
    found = posterior.report["leave_one_out"]
    assert posterior.report["formulas"] == 12
    assert found["after"]["rms_log_error"] <= 0.5 * found["before"]["rms_log_error"]
    assert found["after"]["crps"] < found["before"]["crps"]
    assert found["after"]["coverage_90"] >= 0.75


def test_convergence_is_reached_and_reported(posterior) -> None:
    told = posterior.report["convergence"]
    assert told["converged"]
    assert told["r_hat"] < 1.02
    assert told["effective_draws"] > 400
    check = posterior.report["predictive_check"]
    assert 0.02 < check["posterior"] < 0.98


def test_predictions_move_to_the_laboratory(posterior) -> None:
    made = formulas(1)[0]
    shipped = predict_formula(made)
    own = predict_formula(made, draws=posterior.draws_for(made), model="synthetic")
    assert own.spf.median < shipped.spf.median
    assert own.spf.high / own.spf.low < shipped.spf.high / shipped.spf.low


def test_saved_posterior_reads_back(posterior, tmp_path) -> None:
    path = tmp_path / "lab.json"
    save_posterior(posterior, path)
    back = load_posterior(path)
    assert back.laboratory == "synthetic"
    for name, values in posterior.columns.items():
        np.testing.assert_allclose(back.columns[name], values, rtol=1e-5)
    assert back.grade_logit.keys() == posterior.grade_logit.keys()
    assert not list(tmp_path.glob("*.part"))


@pytest.mark.parametrize(
    "content",
    ["", "{", "[]", "{}", json.dumps({"format": "zincite laboratory posterior 1"}), "\x00\xff"],
)
def test_broken_posterior_gets_one_sentence(content: str, tmp_path) -> None:
    path = tmp_path / "lab.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(InputError, match=r"lab\.json"):
        load_posterior(path)


def test_posterior_with_uneven_or_impossible_draws_is_refused(posterior, tmp_path) -> None:
    path = tmp_path / "lab.json"
    save_posterior(posterior, path)
    content = json.loads(path.read_text("utf-8"))
    content["columns"]["scatter"] = content["columns"]["scatter"][:-1]
    path.write_text(json.dumps(content))
    with pytest.raises(InputError, match="draws, expected as many each"):
        load_posterior(path)
    content["columns"]["scatter"] = [-1.0] * len(content["columns"]["film_shape"])
    path.write_text(json.dumps(content))
    with pytest.raises(InputError, match="negative"):
        load_posterior(path)


def test_an_interrupted_run_keeps_what_it_drew(biased_lab) -> None:
    def stop(phase: str, done: int, whole: int) -> None:
        if phase == "sampling" and done >= 300:
            raise KeyboardInterrupt

    made = learn(biased_lab, seed=3, progress=stop)
    assert made.report["convergence"]["interrupted"]
    assert made.report["convergence"]["steps"] >= 300
    assert made.size == 400


def test_the_same_seed_gives_the_same_posterior(biased_lab) -> None:
    model, _ = blank_model(count=4)
    one, two = (sample(model, seed=5, steps=200).draws for _ in range(2))
    np.testing.assert_array_equal(one, two)


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "aggregate-fraction"])
def test_emulator_stands_in_for_the_film_model(kind: str) -> None:
    """Misfit well below a panel's own scatter of 8 % (nm for the wavelength)."""
    for made in formulas(5)[::4]:
        assert build_emulator(made, kind).error < (0.5 if kind == "critical-wavelength" else 0.06)


def test_nothing_to_learn_from_is_said() -> None:
    with pytest.raises(MissingDataError, match="at least one"):
        learn([])


@pytest.mark.parametrize(
    ("kind", "value", "error"),
    [
        ("spf-in-vivo", 0.9, 0.0),
        ("spf-in-vivo", float("nan"), 0.0),
        ("spf-in-vivo", 20.0, -1.0),
        ("critical-wavelength", 420.0, 0.0),
        ("aggregate-fraction", 0.3, 0.0),
        ("guess", 20.0, 0.0),
    ],
)
def test_impossible_results_are_refused(kind: str, value: float, error: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"L-1"):
        Observation(formulas(1)[0], kind, value, error)


def test_a_size_analysis_moves_its_grade() -> None:
    made = formulas(1)[0]
    grade = made.ingredients[0].material
    result = Observation(made, "aggregate-fraction", 0.8, 0.05, grade, "bead mill")
    posterior = learn([result], seed=2, seconds=4)
    share = 1 / (1 + np.exp(-posterior.grade_logit[f"{grade} | bead mill"]))
    assert np.quantile(share, 0.05) > 0.6
