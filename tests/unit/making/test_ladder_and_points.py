"""Ladders of dispersant, wet points and flow points: decisions, scatter, readers.

That a small gap of flow and wet point means good dispersion is trade relation R10, from memory.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from mill_formulas import FLUID

from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.making.dispersion.ladder import evaluate_ladder
from zincite.evaluation.making.dispersion.points import evaluate_points
from zincite.evaluation.making.dispersion.reading import read_ladder, read_points
from zincite.formula.reading import load_formula

LEVELS = np.repeat([1.0, 2.0, 3.0, 4.0, 5.0, 6.0], 2)
NOISE = np.tile([0.03, -0.03], 6)


def viscosity(best: float, curvature: float = 0.15) -> np.ndarray:
    return 400 * np.exp(curvature * (LEVELS - best) ** 2 + NOISE)


def test_replicates_count_and_the_answer_is_translated_to_the_product() -> None:
    """22.1 % powder of the demo formula; the noise is even about each level."""
    found = evaluate_ladder(LEVELS, viscosity(3.2), formula=load_formula(FLUID))
    assert found.best_percent == pytest.approx(3.2, abs=1e-9)
    assert found.interval_percent[0] < 3.2 < found.interval_percent[1]
    assert found.product is not None
    assert found.product.best_percent == pytest.approx(3.2 * 0.221)
    assert found.product.low_percent == pytest.approx(found.interval_percent[0] * 0.221)
    assert found.product.held_percent == pytest.approx(0.8)
    assert [level.samples for level in found.levels] == [2] * 6
    # the thinnest level and two on each side
    assert [level.fitted for level in found.levels] == [True] * 5 + [False]


@pytest.mark.parametrize(("best", "words"), [(8.0, "add levels above"), (0.2, "add levels below")])
def test_a_ladder_that_does_not_turn_has_no_minimum(best: float, words: str) -> None:
    found = evaluate_ladder(LEVELS, viscosity(best), formula=load_formula(FLUID))
    assert (found.status, found.best_percent, found.interval_percent) == ("none", None, None)
    assert found.fit is None
    assert not found.basis.assumed
    assert words in found.reason
    assert found.product is not None
    assert found.product.best_percent is None


def test_a_flat_ladder_is_weak() -> None:
    wavy = np.tile([0.1, -0.1], 6)
    eta = 400 * np.exp(0.004 * (LEVELS - 3.2) ** 2 + wavy)
    found = evaluate_ladder(LEVELS, eta)
    assert found.status == "weak"
    assert found.best_percent == pytest.approx(3.2, abs=1e-6)
    assert found.interval_percent is None
    assert found.delta_interval_percent is not None
    assert "bends too little" in found.reason


def test_what_a_ladder_rests_on_is_said() -> None:
    once = evaluate_ladder(LEVELS[::2], viscosity(3.2)[::2])
    assert any("No level was repeated" in said for said in once.basis.warnings)
    stray = viscosity(3.2) * np.exp(np.repeat([0.0, 0.4, 0.0, 0.4, 0.0, 0.0], 2))
    found = evaluate_ladder(LEVELS, stray)
    assert any("stray from a parabola" in said for said in found.basis.warnings)


def test_an_interval_beyond_the_ladder_is_said() -> None:
    wide = evaluate_ladder(LEVELS, viscosity(1.6, 0.05))
    assert wide.interval_percent is not None
    assert wide.interval_percent[0] == 0  # there is no less dispersant than none
    assert 2 < wide.interval_percent[1] < 6
    assert any("beyond the ladder" in said for said in wide.basis.warnings)


@pytest.mark.parametrize(
    ("x", "eta", "words"),
    [
        ([1, 2, 3, 3], [1, 2, 3, 4], "has 3 levels of dispersant, expected at least 4"),
        ([1, 2, 3, 4], [1, 2, 3, 0], "a viscosity is not a number above 0"),
        ([-1, 2, 3, 4], [1, 2, 3, 4], "a level of dispersant"),
        ([1, 2, 3, 4], [1, 2, 3], "expected as many of each"),
    ],
)
def test_impossible_ladders_are_refused(x, eta, words) -> None:
    with pytest.raises(OutOfRangeError, match=words):
        evaluate_ladder(x, eta)


def test_confidence_must_be_a_probability() -> None:
    with pytest.raises(OutOfRangeError, match="confidence is 2"):
        evaluate_ladder(LEVELS, viscosity(3), confidence=2)


def written(folder: Path, *lines: str) -> Path:
    path = folder / "bench.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path


def test_a_ladder_file_is_read_with_its_units(tmp_path: Path) -> None:
    path = written(tmp_path, "Dispersant (% of pigment);Viscosity (Pa s);Solids %", "0;1,5;50",
                   "1;0,9;50", "2;0,7;50,2", "3;0,8;50")  # fmt: skip
    found = read_ladder(path)
    assert found.dispersant_percent == (0, 1, 2, 3)
    assert found.viscosity_mPas == pytest.approx((1500, 900, 700, 800))
    assert found.solids_percent == pytest.approx(50.05)
    assert "4 samples at 4 levels" in found.understood[-1]


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (("Dispersant % of formula,Viscosity mPas", "1,10", "2,9"), "expected % of the pigment"),
        (("Dispersant % of pigment,Viscosity", "1,10", "2,9"), "states no unit"),
        (("Dispersant %,Shear stress", "1,10", "2,9"), "no column viscosity"),
        (("Dispersant %,Viscosity mPas,Solids %", "1,10,40", "2,9,50"), "from 40 to 50 %"),
        (("Dispersant %,Viscosity mPas", "1,10", "-2,9"), "holds -2 for dispersant"),
        (("Dispersant %,Viscosity mPas", "1,10", "2,thick"), "thick.*expected a number"),
    ],
)
def test_a_ladder_file_that_is_not_one_is_refused(tmp_path: Path, lines, words) -> None:
    with pytest.raises(InputError, match=words) as caught:
        read_ladder(written(tmp_path, *lines))
    assert "bench.csv" in str(caught.value)


def test_points_are_ranked_by_their_gap_with_scatter() -> None:
    """Gaps 10 +- 1 and 30 +- 1: pooled deviation 1 by hand, told apart by far."""
    names = ["b"] * 3 + ["a"] * 3
    found = evaluate_points(names, [40, 40, 40, 30, 30, 30], [69, 70, 71, 39, 40, 41])
    first, second = found.liquids
    assert (first.liquid, first.rank, first.as_good_as_best) == ("a", 1, True)
    assert (second.gap_g_100g, second.gap_sd_g, second.wet_sd_g) == (30, 1, 0)
    assert second.as_good_as_best is False
    assert found.scatter_sd_g == pytest.approx(1)
    # t(0.975; 4) = 2.776 (tables), reach t s / sqrt(3)
    assert first.gap_high_g - first.gap_g_100g == pytest.approx(2.776 / math.sqrt(3), abs=1e-3)
    # 100 g pigment in 140 g paste
    assert first.flowing_solids_percent == pytest.approx(100 / 1.4)


def test_points_within_the_scatter_are_not_told_apart() -> None:
    found = evaluate_points(["a", "a", "b", "b"], [30, 30, 30, 30], [38, 42, 39, 43])
    assert [item.as_good_as_best for item in found.liquids] == [True, True]


@pytest.mark.parametrize(
    ("names", "flow"), [(["a", "b"], [40, 50]), (["a", "a"], [40, 41]),
                        (["a", "a", "b", "b"], [40, 40, 50, 50])]
)  # fmt: skip
def test_without_scatter_to_compare_by_there_is_only_an_order(names, flow) -> None:
    found = evaluate_points(names, [30] * len(names), flow)
    assert found.scatter_sd_g is None
    assert found.liquids[0].liquid == "a"
    assert found.liquids[0].as_good_as_best is None
    assert any("no interval" in said for said in found.basis.warnings)


@pytest.mark.parametrize(
    ("names", "wet", "flow"),
    [([], [], []), (["a"], [40], [30]), (["a"], [0], [30]), (["a"], [1, 2], [3, 4])],
)
def test_impossible_points_are_refused(names, wet, flow) -> None:
    with pytest.raises(OutOfRangeError):
        evaluate_points(names, wet, flow)


def test_points_may_be_weighed(tmp_path: Path) -> None:
    path = written(tmp_path, "oil,pigment g,wet point g,flow point g", "squalane,5,1.5,2")
    found = read_points(path)
    assert (found.wet_g_100g, found.flow_g_100g) == ((30.0,), (40.0,))


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (("liquid,wet point mL,flow point mL", "a,3,4"), "by volume"),
        (("liquid,wet point,flow point", "a,30,20"), "below the wet point of 30"),
        (("liquid,wet point", "a,30"), "no column flow"),
        (("liquid,wet point,flow point", ",30,40"), "holds nothing for the liquid"),
    ],
)
def test_a_points_file_that_is_not_one_is_refused(tmp_path: Path, lines, words) -> None:
    with pytest.raises(InputError, match=words):
        read_points(written(tmp_path, *lines))
