"""Scales, ticks and labels that keep apart."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zincite.interfaces.documents.scales import (
    LinearScale,
    LogScale,
    log_ticks,
    nice_ticks,
    spread,
    tick_text,
)


def test_ends_of_the_scales_meet_the_ends_of_the_axis():
    assert [LinearScale(290, 400, 50, 350)(v) for v in (290, 345, 400)] == [50, 200, 350]
    assert [LogScale(0.01, 1, 256, 26)(v) for v in (0.01, 0.1, 1)] == pytest.approx([256, 141, 26])


def test_what_lies_outside_stays_at_the_edge():
    assert LinearScale(0, 1, 10, 20)(7) == 20
    assert LogScale(1, 10, 10, 20)(0.0) == 10


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(2, 8))
def test_nice_ticks_are_round_even_and_inside(low, width, count):
    ticks = nice_ticks(low, low + width, count)
    assert 1 <= len(ticks) <= 2 * count + 2
    slack = 1e-6 * max(width, abs(low))
    assert all(low - slack <= t <= low + width + slack for t in ticks)
    steps = {round((b - a) / width, 6) for a, b in pairwise(ticks)}
    assert len(steps) <= 1


@given(st.floats(1e-4, 1e3), st.floats(1.5, 1e5))
def test_log_ticks_are_inside_and_rising(low, ratio):
    ticks = log_ticks(low, low * ratio)
    assert ticks == sorted(set(ticks))
    assert all(low * 0.998 <= t <= low * ratio * 1.002 for t in ticks)


@given(st.lists(st.floats(0, 200), min_size=1, max_size=8), st.floats(5, 20))
def test_labels_keep_apart_and_inside(places, gap):
    found = sorted(spread(places, gap, 0, 200))
    assert all(b - a >= gap - 1e-6 for a, b in pairwise(found))
    assert found[0] >= gap / 2 - 1e-6
    assert found[-1] <= 200 - gap / 2 + 1e-6


@given(st.lists(st.floats(0, 200), min_size=1, max_size=8, unique=True))
def test_labels_keep_the_order_of_their_lines(places):
    found = spread(places, 14, 0, 200)
    order = sorted(range(len(places)), key=places.__getitem__)
    assert order == sorted(range(len(places)), key=found.__getitem__)


def test_labels_that_are_apart_stay_where_they_belong():
    assert spread([20.0, 60.0], 14, 0, 100) == [20.0, 60.0]


def test_ticks_print_without_needless_digits():
    assert [tick_text(v) for v in (0.0, 0.1, 100.0, 20000.0, -5.0)] == [
        "0", "0.1", "100", "20\u202f000", "−5",
    ]  # fmt: skip


def test_a_range_without_width_does_not_divide_by_zero():
    assert math.isfinite(LinearScale(3, 3, 0, 10)(3))
    assert nice_ticks(3, 3) == [3]
