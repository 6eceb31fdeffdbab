"""Screening of grades: ranking, control, blocks and the words."""

from __future__ import annotations

import json

import numpy as np
import pytest

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.screening import screen_grades, screen_grades_wide

ETCHING = {
    "160": [575.0, 542.0, 530.0, 539.0, 570.0],
    "180": [565.0, 593.0, 590.0, 579.0, 610.0],
    "200": [600.0, 651.0, 610.0, 637.0, 629.0],
    "220": [725.0, 700.0, 715.0, 685.0, 710.0],
}
"""Montgomery D.C., Design and Analysis of Experiments, plasma etching (all pairs differ)."""


def test_a_clear_winner_is_named() -> None:
    found = screen_grades_wide(ETCHING, unit="A/min")
    assert [item.grade for item in found.ranking] == ["220", "200", "180", "160"]
    assert found.ranking[0].mean == pytest.approx(707.0)
    assert found.ranking[0].probability_best > 0.999
    assert [item.not_worse_than_best for item in found.ranking] == [True, False, False, False]
    assert found.sentences[0].startswith("220 has the best mean, 707 A/min")
    assert found.sentences[1] == "All other grades are worse."
    assert "p < 0.001" in found.sentences[2]
    assert found.valid
    # own interval by hand: t(0.975; 16) = 2.120, 2.120 x sqrt(333.7/5) = 17.32
    assert found.ranking[0].high - 707.0 == pytest.approx(17.32, abs=0.01)


def test_smaller_may_be_better() -> None:
    found = screen_grades_wide(ETCHING, larger_is_better=False)
    assert found.ranking[0].grade == "160"
    assert sum(item.probability_best for item in found.ranking) == pytest.approx(1.0)


def test_grades_that_cannot_be_told_apart() -> None:
    rng = np.random.default_rng(8)
    found = screen_grades(rng.normal(30.0, 3.0, 12), ["a", "b", "c"] * 4)
    assert found.sentences[1] == "No grade can be told from it at 95 %."
    assert all(item.probability_best < 0.95 for item in found.ranking)


def test_control_is_held_against() -> None:
    found = screen_grades_wide(ETCHING, control="180")
    assert found.method == "one-way analysis of variance, Tukey and Dunnett"
    assert [item.first for item in found.against_control] == ["160", "200", "220"]
    assert {item.second for item in found.against_control} == {"180"}
    assert found.sentences[3].startswith("Different from 180: 160 (-36.2), 200 (+38)")


def test_wide_and_long_are_one_table() -> None:
    long = screen_grades(
        [1.0, 2.0, 3.0, 5.0, 4.0], ["a", "b", "a", "b", "a"], blocks=["x", "x", "y", "y", "z"]
    )
    wide = screen_grades_wide(
        {"a": [1.0, 3.0, 4.0], "b": [2.0, 5.0, float("nan")]}, block_names=["x", "y", "z"]
    )
    assert wide.ranking == long.ranking
    assert wide.pairs == long.pairs
    assert wide.method.startswith("blocked")
    assert {(p.grade, p.block, p.value) for p in wide.points} == {
        (p.grade, p.block, p.value) for p in long.points
    }


def test_doubted_assumptions_are_reasons() -> None:
    rng = np.random.default_rng(4)
    values = np.concatenate([rng.normal(size=15), 20 * rng.normal(size=15)])
    found = screen_grades(values, ["a"] * 15 + ["b"] * 15)
    assert not found.valid
    assert any("all groups scatter alike" in reason for reason in found.reasons)
    assert "by ranks (Kruskal-Wallis)" in found.sentences[-1]


def test_json_holds_no_nan_and_the_raw_points() -> None:
    text = json.loads(
        json.dumps(screen_grades_wide(ETCHING, control="160").to_dict(), allow_nan=False)
    )
    assert len(text["points"]) == 20
    assert text["variance_table"][0]["f"] == pytest.approx(66.80, abs=0.005)
    assert len(text["pairs"]) == 6
    assert text["rank_test"]["name"] == "Kruskal-Wallis"
    small = screen_grades([1.0, 2.0, 3.0, 5.0], ["a", "a", "b", "b"]).to_dict()
    json.dumps(small, allow_nan=False)


def test_bad_tables_are_named() -> None:
    with pytest.raises(OutOfRangeError, match="control 'x' is not among the grades"):
        screen_grades_wide(ETCHING, control="x")
    with pytest.raises(OutOfRangeError, match="grade a has 2 cells and there are 3 blocks"):
        screen_grades_wide({"a": [1.0, 2.0], "b": [1.0, 2.0, 3.0]}, block_names=["x", "y", "z"])
    with pytest.raises(OutOfRangeError, match="not a finite number"):
        screen_grades([1.0, float("nan"), 2.0, 3.0], ["a", "a", "b", "b"])
