"""Printed numbers: digits follow the interval, gaps are words, units do not break."""

import math

import pytest

from zincite.evaluation.estimate import Estimate, Exact
from zincite.interfaces.documents.numbers import (
    found_text,
    interval_text,
    number_text,
    percent_text,
    signed_text,
    typeset,
    value_text,
    with_unit,
)

# How many digits to print is our own choice: two digits of the interval's width (common practice,
# no source); the checks hold that choice, not a standard.


@pytest.mark.parametrize(
    ("estimate", "shown"),
    [
        (Estimate(35.39, 19.9, 66.8), "35 (20 to 67)"),
        (Estimate(378.41, 377.66, 379.52, "nm"), "378.4 (377.7 to 379.5)\u00a0nm"),
        (Estimate(8331, 1580, 40460, "mPa s"),
         "8\u202f300 (1\u202f600 to 40\u202f500)\u00a0mPa\u00a0s"),
        (Estimate(3.52, 0.56, 5.79), "3.5 (0.6 to 5.8)"),
        (Estimate(5.0, 5.0, 5.0), "5.00 (5.00 to 5.00)"),
    ],
)  # fmt: skip
def test_digits_follow_the_interval(estimate, shown):
    assert found_text(estimate) == shown


def test_both_ends_carry_their_sign():
    assert found_text(Estimate(-0.2, -3.4, 1.8), signed=True) == "−0.2 (−3.4 to +1.8)"


@pytest.mark.parametrize("value", [None, math.nan])
def test_what_is_not_known_is_said_in_words(value):
    assert number_text(value) == "not known"
    assert signed_text(value) == "not known"
    assert value_text(Exact(value, "EUR/kg")) == "not known"


def test_an_estimate_without_value_has_no_interval():
    gap = Estimate(math.nan, math.nan, math.nan, "nm")
    assert found_text(gap) == "not known"
    assert interval_text(gap) == ""


def test_nearly_all_is_not_all():
    assert value_text(Exact(99.995, "%")) == "99.995\u00a0%"
    assert value_text(Exact(100.0, "%")) == "100\u00a0%"


def test_zero_has_no_sign():
    assert signed_text(0.0) == "0"
    assert signed_text(-0.001, decimals=1) == "0.0"


def test_certainty_is_never_printed():
    assert [percent_text(v) for v in (1.0, 0.0, 0.68, None)] == [
        "above 99 %", "below 1 %", "68 %", "",
    ]  # fmt: skip


def test_units_stay_with_their_number():
    assert with_unit("55", "degC") == "55\u00a0°C"
    assert with_unit("12", "deg") == "12°"
    assert typeset("melts at 80 degC, -28 % of zinc-oxide-120") == (
        "melts at 80\u00a0°C, −28\u00a0% of zinc-oxide-120"
    )


def test_ranges_and_ids_keep_their_hyphens():
    assert typeset("340-390 nm of c12-15-alkyl-benzoate") == (
        "340-390\u00a0nm of c12-15-alkyl-benzoate"
    )
