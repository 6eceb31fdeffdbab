"""Dose ladders, subjects that do not count, and the panel's criteria."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from zincite.errors import InputError, MissingDataError, OutOfRangeError
from zincite.evaluation.assay.panel import evaluate_panel, truncated
from zincite.evaluation.assay.panel_subjects import (
    PanelSubject,
    subject_from_ladders,
    threshold_dose,
)
from zincite.evaluation.assay.spf_in_vivo import evaluate_spf_in_vivo

LADDER = [10.0, 12.5, 15.6, 19.5, 24.4]
SPF = [28.0, 30.0, 32.0, 34.0, 30.0, 31.0, 29.0, 33.0, 30.0, 33.0]


def _panel(values: list[float], **extra: float) -> list[PanelSubject]:
    return [PanelSubject(f"S{i}", 20.0, 20.0 * value, **extra) for i, value in enumerate(values)]


@pytest.mark.parametrize(
    ("responses", "dose", "reason"),
    [
        ([0, 0, 1, 1, 1], 15.6, ""),
        ([0, 0, 0, 0, 1], 24.4, ""),
        ([0, 0, 0, 0, 0], None, "no response up to dose 24.4"),
        ([1, 1, 1, 1, 1], None, "response at the lowest dose 10 already"),
        ([0, 1, 0, 1, 1], None, "no response at dose 15.6 above a response at 12.5"),
    ],
)
def test_first_response_is_the_threshold(
    responses: list[int], dose: float | None, reason: str
) -> None:
    found = threshold_dose(LADDER, [bool(x) for x in responses])
    assert found.dose == dose
    assert found.reason == reason
    assert found.largest_ratio == pytest.approx(24.4 / 19.5)


def test_subject_from_ladders_says_which_skin_gave_no_dose() -> None:
    found = subject_from_ladders(
        "S1", (LADDER, [False, True, True, True, True]), ([100.0, 112.0], [False, False])
    )
    assert found.unprotected == 12.5
    assert found.protected is None
    assert found.note == "protected skin: no response up to dose 112"
    with pytest.raises(OutOfRangeError, match="subject S1: the doses of a ladder do not rise"):
        subject_from_ladders("S1", ([2.0, 1.0], [False, True]), (LADDER, [True] * 5))
    with pytest.raises(OutOfRangeError, match="2 doses and 3 responses"):
        threshold_dose([1.0, 2.0], [False, True, True])


def test_each_rejected_subject_has_its_reason() -> None:
    subjects = [
        *_panel(SPF),
        PanelSubject("R1", None, 600.0),
        PanelSubject("R2", 20.0, None, note="protected skin: no response up to dose 900"),
        PanelSubject("R3", 20.0, 15.0),
        PanelSubject("R4", 20.0, 600.0, excluded="sunburn on the back"),
        PanelSubject("R5", float("nan"), -1.0),
        PanelSubject("R6", 0.02, 600.0),
    ]
    found = evaluate_panel(subjects, "ISO 24444", "MED")
    reasons = {item.subject: item.reason for item in found.rejected}
    assert reasons == {
        "R1": "MED on unprotected skin is missing",
        "R2": "protected skin: no response up to dose 900",
        "R3": "impossible ratio 0.75: less MED with product than without",
        "R4": "left out by the laboratory: sunburn on the back",
        "R5": "MED on unprotected skin is nan, expected above 0; "
        "MED on protected skin is -1, expected above 0",
        "R6": "impossible ratio 3e+04: are both MED in one unit?",
    }
    assert found.n == 10
    assert found.reasons == ("6 subjects left out, expected at most 5",)


def test_six_left_out_are_too_many() -> None:
    subjects = [*_panel(SPF), *[PanelSubject(f"R{i}", None, 600.0) for i in range(6)]]
    found = evaluate_spf_in_vivo(subjects)
    assert found.reasons == ("6 subjects left out, expected at most 5",)
    assert "number of results that may be left out (ISO 24444): from memory" in found.marks


@pytest.mark.parametrize(
    ("n", "valid"), [(1, False), (2, False), (9, False), (10, True), (20, True), (21, False)]
)
def test_number_of_subjects(n: int, valid: bool) -> None:
    found = evaluate_spf_in_vivo(_panel([30.0 + i % 3 for i in range(n)]))
    assert found.valid is valid
    counted = f"{n} valid subject{'' if n == 1 else 's'}, expected 10 to 20"
    assert (counted in found.reasons) is not valid


def test_a_single_subject_has_no_interval() -> None:
    shown = evaluate_spf_in_vivo(_panel([30.0])).to_dict()
    assert shown["sd"] is None
    assert shown["ci95_half_width_percent"] is None
    json.dumps(shown, allow_nan=False)


def test_means_are_cut_not_rounded() -> None:
    assert truncated(29.97) == 29.9
    assert truncated(10 * (0.1 + 0.2) * 10) == 30.0  # 30.000000000000004 and its like
    assert truncated(29.999999999999996) == 30.0
    assert truncated(29.9999) == 29.9
    low = evaluate_spf_in_vivo(_panel([29.0, 30.98] * 5))
    assert low.panel.mean == pytest.approx(29.99)
    assert low.panel.reported == 29.9
    assert low.label_class["eu"] == "25"


@given(st.permutations(SPF), st.floats(0.001, 1000.0))
def test_unit_and_order_of_the_doses_do_not_matter(values: list[float], unit: float) -> None:
    base = evaluate_panel(_panel(SPF), "ISO 24444", "MED")
    scaled = [PanelSubject(f"S{i}", unit, unit * value) for i, value in enumerate(values)]
    found = evaluate_panel(scaled, "ISO 24444", "MED")
    assert found.mean == pytest.approx(base.mean)
    assert found.half_width_percent == pytest.approx(base.half_width_percent)


def test_impossible_panels_are_refused_in_a_sentence() -> None:
    with pytest.raises(MissingDataError, match="holds no subject"):
        evaluate_spf_in_vivo([])
    with pytest.raises(InputError, match="subject S0 is given twice"):
        evaluate_spf_in_vivo([*_panel(SPF), PanelSubject("S0", 1.0, 2.0)])
    with pytest.raises(InputError, match="are the two columns swapped"):
        evaluate_spf_in_vivo([PanelSubject("a", 600.0, 20.0), PanelSubject("b", 500.0, 20.0)])
    with pytest.raises(MissingDataError, match=r"usable pair of MED \(subject a: MED on protected"):
        evaluate_spf_in_vivo([PanelSubject("a", 600.0, None)])
