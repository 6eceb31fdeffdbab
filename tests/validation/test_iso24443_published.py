"""ISO 24443 against closed forms, a literal second opinion, hand arithmetic and a known film.

The standard's own worked examples were not available; its equations are from memory (see
data/assay/in_vitro_formulas.csv). What is published: dose 1.2 J/cm2 x UVA-PF0 (Moyal et al. 2012,
abstract), final absorbance C x A_after (GOST ISO 24443-2016, 5.9), the EU test (2006/647/EC).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.validation.formulas import formula, grade
from zincite.data.photobiology import photobiology
from zincite.evaluation.assay.uva_in_vitro import evaluate_uva_in_vitro
from zincite.evaluation.parameters import shipped_draws
from zincite.evaluation.plates import simulate_plate
from zincite.physics.photoprotection import UV_GRID_NM


@pytest.mark.parametrize("absorbance", [1.0, 1.4771212547196624, 2.0])
@pytest.mark.parametrize("label", [15.0, 30.0, 50.0])
def test_flat_plates_in_closed_form(absorbance: float, label: float) -> None:
    """A constant: T = 10^-A passes every integral, so all figures are exact."""
    a = np.full((4, 5, 111), absorbance)
    found = evaluate_uva_in_vitro(a, label, after=a)
    assert found.c == pytest.approx(math.log10(label) / absorbance, rel=1e-12)
    assert found.spf_in_vitro == pytest.approx(10**absorbance, rel=1e-12)
    assert found.uva_pf0 == pytest.approx(label, rel=1e-12)
    assert found.uva_pf == pytest.approx(label, rel=1e-12)
    assert found.dose_J_cm2 == pytest.approx(1.2 * label, rel=1e-12)
    assert found.critical_wavelength_nm == pytest.approx(389.0, abs=1e-9)  # 290 + 0.9 x 110
    assert found.uva_to_uvb == pytest.approx(1.0, rel=1e-12)
    assert found.ci95_half_width_percent == 0.0


def two_steps() -> np.ndarray:
    """1.0 for 290-320 nm and 0.5 for 321-400 nm."""
    return np.where(UV_GRID_NM <= 320, 1.0, 0.5)


def test_two_steps_by_hand() -> None:
    """Areas by trapezoids of 1 nm: 30 x 1.0 to 320 nm, 0.75 to 321 nm, 79 x 0.5 = 39.5 to 400 nm.

    Total 70.25; 0.9 of it is 63.225; beyond 321 nm 63.225 - 30.75 = 32.475 is missing, at 0.5 a
    nm 64.95 nm: lc = 385.95 nm. UVA/UVB = (40.25 / 80) / (30 / 30) = 0.503125.
    """
    a = np.tile(two_steps(), (4, 2, 1))
    found = evaluate_uva_in_vitro(a, 8.0, after=a)
    assert found.critical_wavelength_nm == pytest.approx(385.95, abs=1e-9)
    assert found.uva_to_uvb == pytest.approx(0.503125, abs=1e-12)


def test_two_steps_have_a_coefficient_in_closed_form() -> None:
    """With x = 10^(-C/2): wB x^2 + wA x = (wB + wA) / SPF, a quadratic in x."""
    light = photobiology()
    weight = light.erythema * light.simulator_W_m2_nm
    low, high = weight[UV_GRID_NM <= 320].sum(), weight[UV_GRID_NM > 320].sum()
    label = 8.0
    root = math.sqrt(high**2 + 4 * low * (low + high) / label)
    x = (-high + root) / (2 * low)
    found = evaluate_uva_in_vitro(np.tile(two_steps(), (4, 1, 1)), label)
    assert found.c == pytest.approx(-2 * math.log10(x), rel=1e-10)
    # P is 0 below 320 nm, so only 320 nm itself sees the higher step
    uva = light.ppd * light.uva_source_relative
    through = uva[30] * x**2 + uva[31:].sum() * x
    assert found.uva_pf0 == pytest.approx(uva.sum() / through, rel=1e-9)


def literal(before: np.ndarray, after: np.ndarray, label: float) -> dict[str, float]:
    """Return the figures of one plate by the equations as written, in loops and by bisection."""
    light = photobiology()

    def factor(action: np.ndarray, lamp: np.ndarray, a: list[float]) -> float:
        whole = through = 0.0
        for i in range(111):
            whole += action[i] * lamp[i]
            through += action[i] * lamp[i] * 10 ** (-a[i])
        return whole / through

    low, high = 0.0, 50.0
    for _ in range(200):
        c = (low + high) / 2
        spf = factor(light.erythema, light.simulator_W_m2_nm, [c * x for x in before])
        low, high = (c, high) if spf < label else (low, c)
    final = [c * x for x in after]
    total = sum((final[i] + final[i + 1]) / 2 for i in range(110))
    area, place = 0.0, 0
    while area + (final[place] + final[place + 1]) / 2 < 0.9 * total:
        area += (final[place] + final[place + 1]) / 2
        place += 1
    step = (final[place] + final[place + 1]) / 2
    return {
        "c": c,
        "spf_in_vitro": factor(light.erythema, light.simulator_W_m2_nm, list(before)),
        "uva_pf0": factor(light.ppd, light.uva_source_relative, [c * x for x in before]),
        "uva_pf": factor(light.ppd, light.uva_source_relative, final),
        "critical_wavelength_nm": 290 + place + (0.9 * total - area) / step,
    }


def test_literal_transcription_agrees() -> None:
    """Second opinion: the equations in plain loops, on spectra like those of mineral films."""
    random = np.random.default_rng(24443)
    shape = 1.4 / (1 + np.exp((UV_GRID_NM - 378) / 6)) + 0.15
    before = shape * random.uniform(0.9, 1.1, (4, 1, 1)) * random.uniform(0.97, 1.03, (4, 3, 111))
    # irradiation that takes most beyond 360 nm, so that spectra after have a shape of their own
    after = before * random.uniform(0.9, 0.98, (4, 1, 1)) * np.where(UV_GRID_NM > 360, 0.8, 1.0)
    found = evaluate_uva_in_vitro(before, 25.0, after=after)
    by_hand = [
        literal(b, a, 25.0) for b, a in zip(before.mean(axis=1), after.mean(axis=1), strict=True)
    ]
    for plate, expected in zip(found.plates, by_hand, strict=True):
        for name, value in expected.items():
            assert getattr(plate, name) == pytest.approx(value, rel=1e-9), name
    assert found.uva_pf == pytest.approx(np.mean([x["uva_pf"] for x in by_hand]), rel=1e-9)
    assert found.dose_J_cm2 == pytest.approx(1.2 * np.mean([x["uva_pf0"] for x in by_hand]))


@pytest.mark.parametrize(
    "pigments",
    [
        ((("zinc-oxide", 120), 18.0),),
        ((("titanium-dioxide-rutile", 45), 8.0), (("zinc-oxide", 80), 10.0)),
    ],
    ids=["ZnO", "TiO2 and ZnO"],
)
def test_synthetic_plates_return_the_known_film(pigments: tuple) -> None:
    """Plates read from a film of known transmittance give the film's own values.

    The spots scatter by +-4 % about the film in pairs, and readings are rounded to 0.001 as an
    instrument prints them: figures must agree within that rounding.
    """
    made = formula(*((grade(*size), percent) for size, percent in pigments))
    film = simulate_plate(made, shipped_draws().centre()).transmittance
    true = -np.log10(film)
    spots = np.array([0.96, 0.98, 1.0, 1.02, 1.04])
    plates = np.tile(np.round(true * spots[:, None], 3), (4, 1, 1))
    light = photobiology()
    weights = {
        "spf": light.erythema * light.simulator_W_m2_nm,
        "uva_pf": light.ppd * light.uva_source_relative,
    }
    known = {name: float(w.sum() / (w @ film)) for name, w in weights.items()}
    found = evaluate_uva_in_vitro(plates, known["spf"], after=plates)
    # 0.0005 in absorbance is 0.12 % in transmittance
    assert found.spf_in_vitro == pytest.approx(known["spf"], rel=1.2e-3)
    assert found.c == pytest.approx(1.0, abs=1e-3)
    assert found.uva_pf0 == pytest.approx(known["uva_pf"], rel=1.2e-3)
    assert found.uva_pf == pytest.approx(known["uva_pf"], rel=1.2e-3)
    share = np.concatenate([[0], np.cumsum((true[1:] + true[:-1]) / 2)])
    wavelength = np.interp(0.9, share / share[-1], UV_GRID_NM)
    assert found.critical_wavelength_nm == pytest.approx(wavelength, abs=0.05)
    assert found.valid


def test_label_above_the_film_finds_the_film_through_the_coefficient() -> None:
    """A film read at 0.8 of its absorbance: C = 1/0.8 restores UVA-PF and leaves lc."""
    film = simulate_plate(formula((grade("zinc-oxide", 120), 18.0)), shipped_draws().centre())
    a = -np.log10(film.transmittance)
    light = photobiology()
    weight = light.erythema * light.simulator_W_m2_nm
    spf = float(weight.sum() / (weight @ film.transmittance))
    whole = evaluate_uva_in_vitro(np.tile(a, (4, 1, 1)), spf)
    thin = evaluate_uva_in_vitro(np.tile(0.8 * a, (4, 1, 1)), spf)
    assert thin.c == pytest.approx(1.25, rel=1e-9)
    assert thin.uva_pf0 == pytest.approx(whole.uva_pf0, rel=1e-9)
    assert thin.critical_wavelength_nm == pytest.approx(whole.critical_wavelength_nm, abs=1e-9)
