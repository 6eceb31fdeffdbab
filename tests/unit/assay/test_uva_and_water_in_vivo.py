"""UVA-PF and water resistance on people."""

from __future__ import annotations

import json

import pytest

from zincite.errors import InputError, MissingDataError, OutOfRangeError
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.uva_in_vivo import evaluate_uva_in_vivo
from zincite.evaluation.assay.water_resistance import WaterSubject, evaluate_water_resistance

UVA = [9.0, 10.0, 11.0, 12.0, 9.5, 10.5, 10.0, 11.5, 9.0, 11.5]
WET = [13.0, 15.0, 11.0, 14.0, 12.0, 13.0, 15.0, 11.0, 13.0, 13.0]


def _water(wet: list[float], static: float = 21.0) -> list[WaterSubject]:
    return [WaterSubject(f"S{i}", static, value) for i, value in enumerate(wet)]


def test_uva_pf_and_its_grade() -> None:
    """Mean by hand 104/10 = 10.4; PA+++ from 8 to below 16 (Japan, since 2013)."""
    subjects = [PanelSubject(f"S{i}", 15.0, 15.0 * value) for i, value in enumerate(UVA)]
    found = evaluate_uva_in_vivo(subjects, label_spf=30.0)
    assert found.panel.mean == pytest.approx(10.4)
    assert found.valid
    assert found.pa_grade == "PA+++"
    assert found.uva_pf_to_label_spf == pytest.approx(10.4 / 30.0)
    assert len(found.marks) >= 5  # the whole method is remembered and says so
    shown = found.to_dict()
    json.dumps(shown, allow_nan=False)
    assert shown["mean_uva_pf"] == pytest.approx(10.4)
    assert evaluate_uva_in_vivo(subjects[:9]).pa_grade is None
    assert evaluate_uva_in_vivo(subjects[:9]).pa_grade_if_valid == "PA+++"
    with pytest.raises(InputError, match="less MPPDD with product"):
        evaluate_uva_in_vivo([PanelSubject("a", 20.0, 2.0), PanelSubject("b", 20.0, 3.0)])
    with pytest.raises(OutOfRangeError, match="label SPF is 0"):
        evaluate_uva_in_vivo(subjects, label_spf=0.0)


def test_mean_above_fifty_is_not_enough() -> None:
    """Retention 45 to 60 %, mean 52.5: the lower limit decides, and it is below 50 %."""
    found = evaluate_water_resistance(_water([7.0, 16.0] * 5))
    assert found.mean_retention_percent == pytest.approx(52.5)
    assert found.valid
    assert found.resistant is False
    assert found.verdict.endswith("not water resistant.")
    assert found.baths == 2


def test_an_invalid_test_says_nothing_of_the_product() -> None:
    found = evaluate_water_resistance(_water(WET[:8]))
    assert not found.valid
    assert found.resistant is None
    assert "8 valid subjects" in found.reasons[0]
    assert found.verdict.endswith("says nothing of the product.")
    off = evaluate_water_resistance(_water(WET), reference_p2_static_spf=20.0)
    assert off.reasons == ("reference P2 gave static SPF 20.0, expected 13.7 to 18.5",)
    wide = [WaterSubject(f"S{i}", 10.0 + 40.0 * (i % 2), 8.0) for i in range(10)]
    assert "interval of the static SPF" in evaluate_water_resistance(wide).reasons[0]


def test_retention_beyond_the_bounds_is_kept() -> None:
    """Left-out extremes would flatter the mean; only impossible SPF are rejected."""
    found = evaluate_water_resistance(_water([22.0, 0.9, *WET]))
    assert found.subjects[0].retention_percent == pytest.approx(105.0)
    assert found.subjects[1].retention_percent == pytest.approx(-0.5)
    assert found.n == 12


def test_rejected_subjects_have_reasons() -> None:
    extra = [
        WaterSubject("a", 1.0, 1.0),
        WaterSubject("b", None, 10.0),
        WaterSubject("c", 20.0, 10.0, excluded="left early"),
        WaterSubject("d", 20.0, 0.0),
    ]
    found = evaluate_water_resistance([*_water(WET), *extra])
    assert [item.reason for item in found.subjects if not item.used] == [
        "static SPF is 1, expected above 1",
        "static SPF is missing",
        "left out by the laboratory: left early",
        "wet SPF is 0, expected above 0",
    ]
    assert found.n == 10
    json.dumps(found.to_dict(), allow_nan=False)


def test_one_subject_gives_no_limit() -> None:
    found = evaluate_water_resistance(_water([13.0]))
    assert found.lower_limit_percent is None
    assert found.verdict == "One subject gives no limit of the retention."
    json.dumps(found.to_dict(), allow_nan=False)


def test_bad_water_input_is_named() -> None:
    with pytest.raises(OutOfRangeError, match="immersion is 60 min, expected 40 or 80"):
        evaluate_water_resistance(_water(WET), immersion_min=60)
    with pytest.raises(InputError, match="subject S0 is given twice"):
        evaluate_water_resistance([*_water(WET), WaterSubject("S0", 20.0, 10.0)])
    with pytest.raises(MissingDataError, match="no subject has a usable static and wet SPF"):
        evaluate_water_resistance([])
