"""Limits with their marks, plate statistics and plain values."""

from __future__ import annotations

import math

import numpy as np
import pytest

from zincite.data.provenance import sources
from zincite.data.tables import read_rows
from zincite.errors import MissingDataError, OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.plate_statistics import (
    plate_mean,
    plate_mean_of_summary,
    plates_needed,
)
from zincite.evaluation.assay.rules import formula_marks, limit, limit_marks


@pytest.mark.parametrize("table", ["assay/in_vitro_limits.csv", "assay/in_vitro_formulas.csv"])
def test_every_row_has_a_source_and_says_how_sure_it_is(table: str) -> None:
    rows = read_rows(table)
    assert rows
    for row in rows:
        assert row["source"] in sources(), row
        assert row["confidence"] in ("verified", "unverified"), row
        remembered = sources()[row["source"]].status == "from memory"
        assert not (remembered and row["confidence"] == "verified"), row


def test_published_figures_carry_no_mark() -> None:
    """Read: dose (Moyal et al. 2012), 1/3 and 370 nm (2006/647/EC), final absorbance (GOST)."""
    marks = " ".join(formula_marks("ISO 24443"))
    assert "1.2 J/cm2" not in marks
    assert "C x A after irradiation of" not in marks
    assert "SPF0" in marks
    assert limit_marks([limit("EU claim", "critical_wavelength_nm")]) == ()
    assert limit_marks([limit("ISO 24443:2021", "c")])[0].endswith("from memory")


def test_unknown_limit_is_refused() -> None:
    with pytest.raises(MissingDataError, match="no limit 'ph' is held for 'ISO 24443:2021'"):
        limit("ISO 24443:2021", "ph")


@pytest.mark.parametrize(
    ("n", "t"),
    # t(0.975; n - 1) as in printed tables of Student's t
    [(2, 12.706), (3, 4.303), (4, 3.182), (5, 2.776), (10, 2.262), (20, 2.093)],
)
def test_half_width_takes_the_textbook_t(n: int, t: float) -> None:
    values = np.linspace(9.0, 11.0, n)
    expected = 100 * t * values.std(ddof=1) / math.sqrt(n) / 10.0
    assert plate_mean(values).half_width_percent == pytest.approx(expected, rel=2.5e-4)
    summary = plate_mean_of_summary(10.0, float(values.std(ddof=1)), n)
    assert summary.half_width_percent == pytest.approx(expected, rel=2.5e-4)


def test_one_value_has_no_interval() -> None:
    found = plate_mean([12.0])
    assert (found.mean, found.n, found.sd, found.half_width_percent) == (12.0, 1, None, None)
    assert plate_mean_of_summary(12.0, None, 6).low is None


def test_plates_needed_by_hand() -> None:
    """CV 10 %: n = 3 gives 4.303 x 10 / sqrt 3 = 24.8 %, n = 4 gives 3.182 x 10 / 2 = 15.9 %."""
    assert plates_needed([9.0, 10.0, 11.0], 17.0) == 4
    assert plates_needed([9.0, 10.0, 11.0], 24.9) == 3
    assert plates_needed([9.0, 10.0, 11.0], 15.8) == 5
    assert plates_needed([10.0, 10.0], 17.0) == 2
    assert plates_needed([1.0, 100.0], 0.1) is None


def test_impossible_values_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="missing or not finite"):
        plate_mean([1.0, math.nan])
    with pytest.raises(OutOfRangeError, match="at least one"):
        plate_mean([])
    with pytest.raises(OutOfRangeError, match="deviation of 0 or more"):
        plate_mean_of_summary(10.0, -1.0, 3)
    with pytest.raises(OutOfRangeError, match="expected above 0"):
        plates_needed([-1.0, -2.0], 17.0)


def test_plain_leaves_no_array_and_no_nan() -> None:
    made = plain({"a": np.array([1.0, np.inf]), "b": (np.int64(3), None, True, "x"), 4: math.nan})
    assert made == {"a": [1.0, None], "b": [3, None, True, "x"], "4": None}
    assert type(made["b"][0]) is int
