"""21 CFR 201.327(j): threshold 370 nm; plates, spots and pre-irradiation from memory."""

from __future__ import annotations

import json

import numpy as np
import pytest

from zincite.evaluation.assay.broad_spectrum import evaluate_broad_spectrum_usa
from zincite.physics.photoprotection import UV_GRID_NM


def box(end_nm: float, plates: int = 3, spots: int = 5) -> np.ndarray:
    """1 up to a wavelength and 0 from the next nanometre on."""
    return np.tile(np.where(end_nm >= UV_GRID_NM, 1.0, 0.0), (plates, spots, 1))


def test_flat_plates() -> None:
    found = evaluate_broad_spectrum_usa(np.ones((3, 5, 111)), preirradiated=True)
    assert found.critical_wavelength_nm == pytest.approx(389.0)
    assert found.broad_spectrum
    assert found.valid
    assert json.loads(json.dumps(found.to_dict(), allow_nan=False))["broad_spectrum"] is True


@pytest.mark.parametrize(("end", "passes"), [(378, False), (379, True)])
def test_threshold_by_hand(end: float, passes: bool) -> None:
    """Area to `end` is end - 290 + 0.5; lc = 290 + 0.9 x that: 369.65 at 378, 370.55 at 379 nm."""
    found = evaluate_broad_spectrum_usa(box(end), preirradiated=True)
    assert found.critical_wavelength_nm == pytest.approx(290 + 0.9 * (end - 290 + 0.5))
    assert found.broad_spectrum is passes


def test_mean_of_plates_is_judged() -> None:
    a = box(378)
    a[0] = box(382, plates=1)[0]
    found = evaluate_broad_spectrum_usa(a, preirradiated=True)
    assert min(found.plates_nm) < 370 < found.critical_wavelength_nm
    assert found.broad_spectrum
    assert found.interval.low is not None
    assert found.interval.low < 370


def test_plates_spots_and_dose_are_asked_for_and_marked() -> None:
    few = evaluate_broad_spectrum_usa(box(380, plates=2, spots=4), preirradiated=False)
    assert not few.valid
    assert len(few.reasons) == 3
    for word in ("number of plates", "number of spots", "4 MED"):
        assert any(word in mark and "from memory" in mark for mark in few.marks)
    assert not any("370" in mark for mark in few.marks)
    unsaid = evaluate_broad_spectrum_usa(box(380))
    assert unsaid.valid
    assert "was not stated" in unsaid.notes[0]


def test_saturation_that_moves_the_wavelength_spoils_it() -> None:
    a = box(385)
    mask = np.zeros(a.shape, dtype=bool)
    mask[:, :, :20] = True
    found = evaluate_broad_spectrum_usa(a, saturated=mask, preirradiated=True)
    assert not found.valid
    assert "saturated readings matter" in found.reasons[0]


def test_spots_are_averaged_as_transmittance() -> None:
    a = np.ones((3, 5, 111))
    a[:, 0, :55] = 3.0
    linear = evaluate_broad_spectrum_usa(a, average="absorbance").critical_wavelength_nm
    light = evaluate_broad_spectrum_usa(a).critical_wavelength_nm
    # the mean transmittance of 0.1 x 4 and 0.001 is 0.0802: absorbance 1.096 in place of 1.4
    area = 55 * 1.09583 + 55
    assert light == pytest.approx(400 - 0.1 * area, abs=0.1)
    assert linear < light
