"""White cast and hiding power from readings."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from zincite.errors import InputError, MissingDataError, OutOfRangeError
from zincite.evaluation.assay.colour import ColourReading, WhiteCastLimit, evaluate_colour
from zincite.evaluation.assay.contrast import evaluate_contrast_ratio

Lab = tuple[float, float, float]


def _readings(
    rises: list[float], before: Lab = (66.0, 8.0, 15.0), code: str = "S"
) -> list[ColourReading]:
    lightness, a, b = before
    return [
        ColourReading(f"{code}{i}", before, (lightness + rise, a, b))
        for i, rise in enumerate(rises)
    ]


def test_paired_rise_of_lightness_by_hand() -> None:
    """Rises 1, 2, 3: mean 2, sd 1, t(0.975; 2) = 4.303 (t table): 2 -/+ 4.303/sqrt(3) = 2.484."""
    found = evaluate_colour(_readings([1.0, 2.0, 3.0])).classes[0]
    assert found.name == "light"  # angle 46.8 deg, 41 to 55 (Chardon 1991)
    assert (found.delta_l.mean, found.delta_l.sd) == pytest.approx((2.0, 1.0))
    assert found.delta_l.high == pytest.approx(4.484, abs=1e-3)
    # angle by hand: arctan(16/15) = 46.85 deg; arctan(17/15) 48.58, (18/15) 50.19, (19/15) 51.71
    assert found.delta_ita_deg is not None
    assert found.delta_ita_deg.mean == pytest.approx((48.58 + 50.19 + 51.71) / 3 - 46.85, abs=0.01)


def test_difference_is_that_of_a_published_pair() -> None:
    """Sharma, Wu and Dalal (2005), Color Res. Appl. 30, 21, pair 1: 2.0425."""
    pair = ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485))
    readings = [ColourReading(f"spot {i}", *pair) for i in range(3)]
    found = evaluate_colour(readings, surface="card").classes[0]
    assert found.name == "card"
    assert found.delta_e00.mean == pytest.approx(2.0425, abs=5e-5)
    assert found.delta_e00_of_means == pytest.approx(2.0425, abs=5e-5)
    assert found.delta_e00.low == found.delta_e00.high
    assert found.delta_ita_deg is None


def test_repeats_of_a_subject_count_once() -> None:
    once = evaluate_colour(_readings([1.0, 2.0, 3.0]))
    thrice = evaluate_colour([*_readings([0.5, 1.5, 2.5]), *_readings([1.5, 2.5, 3.5])])
    assert thrice.classes[0].n == 3
    assert thrice.classes[0].delta_l == once.classes[0].delta_l


def test_classes_are_judged_one_by_one() -> None:
    dark = _readings([8.0, 9.0, 10.0], before=(34.0, 10.0, 13.0), code="D")
    found = evaluate_colour(
        [*_readings([1.0, 2.0, 3.0]), *dark], limit=WhiteCastLimit("delta_l", 3.0)
    )
    assert [(item.name, item.verdict) for item in found.classes] == [
        ("light", "passes"),
        ("dark", "fails"),
    ]
    assert found.verdict == "fails"
    light, black = found.classes
    # t = (3 - 2)/(1/sqrt(3)) = 1.732; closed form for 2 df: 0.5 + t/(2 sqrt(2 + t^2))
    assert light.probability == pytest.approx(0.5 + np.sqrt(3) / (2 * np.sqrt(5)))
    assert black.probability is not None
    assert black.probability < 0.01
    short = evaluate_colour(_readings([1.0, 2.0, 3.0]), limit=WhiteCastLimit("delta_l", 1.0))
    assert short.verdict == "short"
    json.dumps(found.to_dict(), allow_nan=False)


def test_a_bluish_film_still_reads_paler() -> None:
    """The angle must not jump to the other side where b* falls below 0."""
    pairs = [ColourReading(f"S{i}", (45.0, 9.0, 12.0), (70.0, 3.0, -2.0 + i)) for i in range(2)]
    change = evaluate_colour(pairs).classes[0].delta_ita_deg
    assert change is not None
    # by hand, b* below 1 counted as 1: arctan(20/1) - arctan(-5/12) = 87.14 + 22.62
    assert change.mean == pytest.approx(109.76, abs=0.01)
    assert change.sd == 0


def test_one_subject_has_no_interval() -> None:
    found = evaluate_colour(_readings([2.0]), limit=WhiteCastLimit("delta_e00", 5.0))
    assert not found.valid
    assert found.reasons == ("light: 1 subject gives no interval",)
    assert found.classes[0].delta_l.low is None
    assert found.verdict == "passes"


def test_bad_colours_are_named() -> None:
    with pytest.raises(MissingDataError, match="no colour reading"):
        evaluate_colour([])
    with pytest.raises(OutOfRangeError, match="subject S0: L\\* a\\* b\\* after are 166 8 15"):
        evaluate_colour(_readings([100.0]))
    with pytest.raises(OutOfRangeError, match="before are nan"):
        evaluate_colour([ColourReading("x", (float("nan"), 0.0, 0.0), (1.0, 0.0, 0.0))])
    with pytest.raises(OutOfRangeError, match=r"subject S0 has bare readings .* code used twice"):
        evaluate_colour([*_readings([1.0]), *_readings([1.0], before=(34.0, 10.0, 13.0))])
    with pytest.raises(OutOfRangeError, match="surface is 'hair'"):
        evaluate_colour(_readings([1.0]), surface="hair")
    with pytest.raises(OutOfRangeError, match="a card has no typology angle"):
        evaluate_colour(
            _readings([1.0]), surface="card", limit=WhiteCastLimit("delta_ita_deg", 1.0)
        )
    with pytest.raises(OutOfRangeError, match="white cast is limited in 'shine'"):
        WhiteCastLimit("shine", 1.0)


def test_contrast_ratio_by_hand() -> None:
    """25 and 35 %: mean 30, sd 7.071, t(0.975; 1) = 12.706: half width 63.5."""
    found = evaluate_contrast_ratio([20.0, 28.0], [80.0, 80.0], scale="Y")
    assert found.ratios_percent == pytest.approx((25.0, 35.0))
    assert found.mean_percent == pytest.approx(30.0)
    assert found.high_percent == pytest.approx(93.53, abs=0.01)
    assert found.valid
    assert "from memory" in found.marks[0]
    json.dumps(found.to_dict(), allow_nan=False)


def test_lightness_is_turned_into_luminance() -> None:
    """L* 50 is Y 18.42 (CIE 15:2018: ((50 + 16)/116)^3), L* 8 is Y 0.8856 (linear part)."""
    found = evaluate_contrast_ratio([50.0, 8.0], [100.0, 100.0], scale="L*")
    assert found.ratios_percent == pytest.approx((18.42, 0.8856), abs=5e-3)


@given(st.floats(0.1, 1.2))
def test_contrast_knows_no_scale_of_y(factor: float) -> None:
    base = evaluate_contrast_ratio([20.0, 22.0], [80.0, 85.0], scale="Y")
    scaled = evaluate_contrast_ratio(
        [20.0 * factor, 22.0 * factor], [80 * factor, 85 * factor], scale="Y"
    )
    assert scaled.mean_percent == pytest.approx(base.mean_percent)


def test_bad_cards_are_named() -> None:
    assert not evaluate_contrast_ratio([20.0], [80.0], scale="Y").valid
    with pytest.raises(OutOfRangeError, match="scale is 'K/S'"):
        evaluate_contrast_ratio([20.0], [80.0], scale="K/S")
    with pytest.raises(InputError, match="are the two columns swapped"):
        evaluate_contrast_ratio([80.0], [20.0], scale="Y")
    with pytest.raises(OutOfRangeError, match="1 readings over black and 2 over white"):
        evaluate_contrast_ratio([20.0], [80.0, 81.0], scale="Y")
    with pytest.raises(OutOfRangeError, match="reading over white is 0"):
        evaluate_contrast_ratio([0.0], [0.0], scale="Y")
    with pytest.raises(OutOfRangeError, match="a reading of Y over black is not from 0 to 110"):
        evaluate_contrast_ratio([np.nan], [80.0], scale="Y")
    with pytest.raises(OutOfRangeError, match="expected a list"):
        evaluate_contrast_ratio([], [], scale="Y")
