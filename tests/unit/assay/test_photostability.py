"""Photostability: closed forms of flat spectra, verdicts with intervals, saturation."""

from __future__ import annotations

import json

import numpy as np
import pytest

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.photostability import FIGURES, evaluate_photostability
from zincite.physics.photoprotection import UV_GRID_NM


def flat(*levels: float) -> np.ndarray:
    return np.array([[np.full(111, level)] for level in levels])


def test_flat_plates_in_closed_form() -> None:
    """2.0 -> 1.8: areas lose 10 %, protection factors 1 - 10^-0.2 = 36.9 %."""
    found = evaluate_photostability(flat(2.0, 2.0, 2.0), flat(1.8, 1.8, 1.8))
    assert found.before["area_290_320"].mean == pytest.approx(60.0)  # 30 nm x 2
    assert found.before["area_320_400"].mean == pytest.approx(160.0)  # 80 nm x 2
    assert found.after["area_320_400"].mean == pytest.approx(144.0)
    for name in ("area_290_320", "area_320_400"):
        assert found.loss_percent[name].mean == pytest.approx(10.0)
        assert found.retained_percent[name] == pytest.approx(90.0)
    for name in ("spf_in_vitro", "uva_pf"):
        assert found.loss_percent[name].mean == pytest.approx(100 * (1 - 10**-0.2))
    assert found.valid
    assert set(found.verdicts.values()) == {"no limit given"}
    assert json.loads(json.dumps(found.to_dict(), allow_nan=False))["valid"] is True


def test_bands_are_told_apart() -> None:
    before = flat(2.0, 2.0)
    after = before * np.where(UV_GRID_NM > 320, 0.5, 1.0)
    loss = evaluate_photostability(before, after).loss_percent
    assert loss["area_290_320"].mean == pytest.approx(0.0)
    # by hand: 160 before; after 0.5 x (2 + 1) + 79 x 1 = 80.5
    assert loss["area_320_400"].mean == pytest.approx(100 * (1 - 80.5 / 160))
    assert loss["spf_in_vitro"].mean > 0


def test_scaling_makes_the_first_spf_the_wanted_one() -> None:
    found = evaluate_photostability(flat(1.5, 2.5), flat(1.2, 2.0), scale_to_spf=30)
    assert found.before["spf_in_vitro"].mean == pytest.approx(30.0)
    assert found.after["spf_in_vitro"].mean == pytest.approx(30**0.8)  # C A of both falls to 0.8
    assert found.scaled_to_spf == 30


@pytest.mark.parametrize(
    ("limit", "verdict"),
    # losses 8, 10, 12 %: interval 10 +- 4.303 x 2 / sqrt 3 = 5.03 to 14.97 % (t(0.975; 2))
    [
        (15.0, "passes"),
        (14.9, "undecided"),
        (10.0, "undecided"),
        (5.1, "undecided"),
        (5.0, "fails"),
    ],
)
def test_verdict_needs_the_whole_interval(limit: float, verdict: str) -> None:
    found = evaluate_photostability(
        flat(1.0, 1.0, 1.0), flat(0.92, 0.90, 0.88), limit_percent=limit
    )
    assert found.verdicts["area_320_400"] == verdict
    assert found.limit_percent == limit
    assert set(found.verdicts) == set(FIGURES)


def test_one_plate_has_a_loss_but_no_interval() -> None:
    found = evaluate_photostability(flat(1.0), flat(0.9), limit_percent=20)
    assert found.loss_percent["area_320_400"].low is None
    assert not found.valid
    assert "one plate has no interval" in found.reasons[0]


def test_no_standard_limit_is_invented() -> None:
    found = evaluate_photostability(flat(1.0, 1.0), flat(0.1, 0.1))
    assert set(found.verdicts.values()) == {"no limit given"}
    assert "common practice, no source" in found.marks[0]


def test_saturated_readings_before_hide_a_loss() -> None:
    before = flat(3.0, 3.0)
    mask = np.ones(before.shape, dtype=bool)
    found = evaluate_photostability(before, flat(2.7, 2.7), saturated_before=mask)
    assert not found.valid
    assert "saturated readings matter" in found.reasons[0]
    # saturated on both sides the two bounds must not cancel
    both = evaluate_photostability(
        before, flat(2.9, 2.9), saturated_before=mask, saturated_after=mask
    )
    assert not both.valid
    few = np.zeros(before.shape, dtype=bool)
    few[0, 0, 60] = True
    assert evaluate_photostability(before, flat(2.7, 2.7), saturated_before=few).valid is False
    wide = np.repeat(before, 9, axis=1)
    one = np.zeros(wide.shape, dtype=bool)
    one[0, 0, 0] = True
    assert evaluate_photostability(wide, 0.9 * wide, saturated_before=one).valid


def test_impossible_input_gets_one_sentence() -> None:
    with pytest.raises(OutOfRangeError, match="expected 0 to 100 %"):
        evaluate_photostability(flat(1.0), flat(1.0), limit_percent=120)
    with pytest.raises(OutOfRangeError, match="same spots of the same plates"):
        evaluate_photostability(flat(1.0), flat(1.0, 1.0))
    uva = np.where(UV_GRID_NM > 320, 1.0, 0.0)
    with pytest.raises(OutOfRangeError, match="290-320 nm of a plate is 0 before irradiation"):
        evaluate_photostability(flat(1.0) * uva, flat(1.0) * uva)
