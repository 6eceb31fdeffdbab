"""Panels on people against printed figures and a worked example."""

from __future__ import annotations

import math

import numpy as np
import pytest

from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.reference_sunscreens import reference_sunscreens
from zincite.evaluation.assay.rules import limit
from zincite.evaluation.assay.spf_in_vivo import check_reference, evaluate_spf_in_vivo
from zincite.evaluation.assay.water_resistance import WaterSubject, evaluate_water_resistance
from zincite.statistics.intervals import largest_passing_cv_percent, student_t_quantile


def _panel(spf: list[float] | np.ndarray) -> list[PanelSubject]:
    return [PanelSubject(f"S{i}", 20.0, 20.0 * float(value)) for i, value in enumerate(spf)]


def test_ten_subjects_by_hand() -> None:
    """Worked by hand, invented subjects.

    MED without product 20 mJ/cm2 for all; with product 560, 600, 640, 680, 600, 620, 580, 660,
    600, 660, so SPF 28, 30, 32, 34, 30, 31, 29, 33, 30, 33: sum 310, mean 31.0. Deviations
    -3, -1, 1, 3, -1, 0, -2, 2, -1, 2, squares 34, s = sqrt(34/9) = 1.944.
    t(0.975; 9) = 2.262: 2.262 x 1.944/sqrt(10) = 1.390, 4.49 % of 31.0: within 17 %.
    Australia and EU: 30. USA: t(0.95; 9) = 1.833, 31.0 - 1.127 = 29.87: label 29.
    """
    protected = [560, 600, 640, 680, 600, 620, 580, 660, 600, 660]
    found = evaluate_spf_in_vivo(
        [PanelSubject(f"S{i}", 20.0, float(dose)) for i, dose in enumerate(protected)]
    )
    assert found.panel.mean == pytest.approx(31.0)
    assert found.panel.sd == pytest.approx(math.sqrt(34 / 9))
    assert found.panel.n == 10
    assert found.panel.half_width_percent == pytest.approx(4.49, abs=0.005)
    assert found.panel.ci_low == pytest.approx(31.0 - 1.390, abs=1e-3)
    assert found.valid
    assert found.reasons == ()
    assert found.label_class["eu"] == "30"
    assert found.label_class["australia"] == "30"
    assert found.label_class["japan"] == "31"
    assert found.usa_label_number == 29
    assert found.label_class["usa"] == "29"


@pytest.mark.parametrize(("n", "cv", "printed"), [(10, 23.8, 24), (20, 36.3, 37)])
def test_largest_coefficient_of_variation(n: int, cv: float, printed: int) -> None:
    """Derived from the 17 % rule: 17 sqrt(n)/t.

    The Therapeutic Goods Administration's sunscreen guidelines, section 5, print 24 % and 37 %;
    36.3 rounds to 36, so the second is a loose rounding upwards and held only as such.
    """
    largest = largest_passing_cv_percent(n, 17.0)
    assert largest == pytest.approx(cv, abs=0.05)
    assert 0 <= printed - largest < 1
    shape = np.linspace(-1.0, 1.0, n)
    shape /= shape.std(ddof=1)
    passing = evaluate_spf_in_vivo(_panel(30.0 * (1 + 0.01 * (largest - 0.05) * shape)))
    failing = evaluate_spf_in_vivo(_panel(30.0 * (1 + 0.01 * (largest + 0.05) * shape)))
    assert passing.valid
    assert not failing.valid
    assert any("expected at most 17 %" in reason for reason in failing.reasons)
    assert set(failing.label_class.values()) == {None}
    assert failing.label_class_if_valid["eu"] == "30"


@pytest.mark.parametrize(
    ("probability", "df", "printed"),
    [(0.90, 9, 1.383), (0.90, 19, 1.328), (0.975, 9, 2.262), (0.975, 19, 2.093)],
)
def test_quantiles_that_the_standards_use(probability: float, df: int, printed: float) -> None:
    """Student's t table, NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2."""
    assert student_t_quantile(probability, df) == pytest.approx(printed, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "mean", "low", "high", "verified"),
    [
        # SANS 1557:2019, Annex D, Table D.1, as printed on an industry association's page
        ("P2", 16.1, 13.7, 18.5, True),
        ("P3", 15.7, 13.7, 17.7, True),
        ("P7", 4.4, 4.0, 4.8, True),
        # from memory of ISO 24444:2019, Annex C: held as such
        ("P5", 30.6, 23.7, 37.4, False),
        ("P6", 43.0, 31.0, 54.9, False),
        ("P8", 63.1, 43.9, 82.3, False),
    ],
)
def test_reference_ranges(name: str, mean: float, low: float, high: float, verified: bool) -> None:
    known = {item.name: item for item in reference_sunscreens()}[name]
    assert (known.mean, known.low, known.high) == (mean, low, high)
    assert known.verified is verified
    assert check_reference(name, low).accepted
    assert check_reference(name, high).accepted
    assert not check_reference(name, low - 0.1).accepted
    assert not check_reference(name, high + 0.1).accepted


def test_two_panels_are_said_beside_each_spf() -> None:
    """Ratio 1.73 from the abstract on telling independent ISO 24444 tests apart."""
    assert limit("ISO 24444", "two_panels_ratio").high == 1.73
    assert "factor 1.73" in evaluate_spf_in_vivo(_panel([30.0] * 10)).two_panels


def test_water_resistance_by_hand() -> None:
    """Worked by hand, invented subjects; equation and limit from memory of ISO 18861.

    Static SPF 21 for all, wet 13, 15, 11, 14, 12, 13, 15, 11, 13, 13: retention 60, 70, 50, 65, 55,
    60, 70, 50, 60, 60 %, mean 60, squares of the deviations 450, s = sqrt(50) = 7.071.
    t(0.90; 9) = 1.383: 60 - 1.383 x 7.071/sqrt(10) = 56.91 %, above 50 %.
    """
    wet = [13, 15, 11, 14, 12, 13, 15, 11, 13, 13]
    found = evaluate_water_resistance(
        [WaterSubject(f"S{i}", 21.0, float(spf)) for i, spf in enumerate(wet)], immersion_min=80
    )
    assert found.mean_retention_percent == pytest.approx(60.0)
    assert found.sd_percent == pytest.approx(math.sqrt(50.0))
    assert found.lower_limit_percent == pytest.approx(56.91, abs=0.005)
    assert found.baths == 4
    assert found.valid
    assert found.resistant is True
