"""Double-plate and hybrid results are recorded, not computed."""

from __future__ import annotations

import json
import math

import pytest

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.reported import (
    ReportedSummary,
    record_double_plate,
    record_hybrid,
)


def test_statistics_of_reported_values_by_hand() -> None:
    """30, 32, 34: mean 32, sd 2, half width 4.303 x 2 / sqrt 3 = 4.969 (t(0.975; 2))."""
    found = record_double_plate([30.0, 32.0, 34.0], laboratory_valid=True, report="R-1")
    figure = found.figures["spf"]
    assert (figure.mean, figure.sd, figure.n) == (32.0, 2.0, 3)
    assert figure.high - figure.mean == pytest.approx(4.969, abs=1e-3)  # t to 4 digits
    assert found.values == {"spf": (30.0, 32.0, 34.0)}
    assert found.valid
    shown = json.loads(json.dumps(found.to_dict(), allow_nan=False))
    assert shown["figures"]["spf"]["ci95_half_width_percent"] == pytest.approx(15.53, abs=0.01)
    assert shown["method"] == "ISO 23675:2024"
    assert shown["report"] == "R-1"


def test_result_says_that_nothing_was_computed() -> None:
    for found in (record_double_plate([30.0]), record_hybrid([30.0])):
        assert found.computed is False
        assert found.to_dict()["computed"] is False
        assert "not public" in found.statement
        assert "nothing was computed under its name" in found.statement


def test_summary_as_reported() -> None:
    found = record_hybrid(
        ReportedSummary(31.0, 4.0, 10),
        uva_pf=ReportedSummary(12.0, None, 10),
        critical_wavelength_nm=[374.0, 375.0],
        laboratory_valid=True,
    )
    # t(0.975; 9) = 2.262: 2.262 x 4 / sqrt 10 = 2.861
    assert found.figures["spf"].high == pytest.approx(33.861, abs=1e-3)
    assert found.figures["uva_pf"].low is None
    assert "spf" not in found.values
    assert found.values["critical_wavelength_nm"] == (374.0, 375.0)
    assert found.method == "ISO 23698:2024"


def test_validity_is_the_laboratorys_own() -> None:
    assert not record_double_plate([30.0]).valid
    assert "was not stated" in record_double_plate([30.0]).reasons[0]
    assert "not valid" in record_double_plate([30.0], laboratory_valid=False).reasons[0]


@pytest.mark.parametrize(
    ("record", "form", "valid"),
    # scopes of ISO 23675:2024 (no powders, no sticks) and ISO 23698:2024 (powders not evaluated)
    [
        (record_double_plate, "emulsion", True),
        (record_double_plate, "powder", False),
        (record_double_plate, "stick", False),
        (record_hybrid, "stick", True),
        (record_hybrid, "powder", False),
    ],
)
def test_scope(record, form, valid) -> None:
    assert record([30.0, 31.0], laboratory_valid=True, product_form=form).valid is valid


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"reported spf is 0\.5, expected 1 to 1000"):
        record_double_plate([0.5])
    with pytest.raises(OutOfRangeError, match="reported spf is nan"):
        record_double_plate([math.nan])
    with pytest.raises(OutOfRangeError, match="reported spf has no value"):
        record_double_plate([])
    with pytest.raises(OutOfRangeError, match=r"critical_wavelength_nm is 37\.4"):
        record_hybrid(critical_wavelength_nm=[37.4])
    with pytest.raises(OutOfRangeError, match="no figure was given"):
        record_hybrid()
    with pytest.raises(OutOfRangeError, match="product form is 'gel'"):
        record_double_plate([30.0], product_form="gel")
