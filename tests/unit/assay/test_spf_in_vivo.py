"""SPF on people: skin colours, ladders, references, labels and what `--json` prints."""

from __future__ import annotations

import json

import pytest

from zincite.data.regulation_tables import markets
from zincite.errors import MissingDataError, OutOfRangeError
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.spf_in_vivo import check_reference, evaluate_spf_in_vivo

SPF = [28.0, 30.0, 32.0, 34.0, 30.0, 31.0, 29.0, 33.0, 30.0, 33.0]


def _panel(
    spf: list[float], ita: list[float] | None = None, ratio: float | None = None
) -> list[PanelSubject]:
    angles = ita or [None] * len(spf)
    return [
        PanelSubject(f"S{i}", 20.0, 20.0 * value, angle, "", "", 1.25, ratio)
        if ratio
        else PanelSubject(f"S{i}", 20.0, 20.0 * value, angle)
        for i, (value, angle) in enumerate(zip(spf, angles, strict=True))
    ]


GOOD_SKIN = [35.0] * 3 + [45.0] * 4 + [58.0] * 3


def test_mixed_panel_is_accepted() -> None:
    found = evaluate_spf_in_vivo(_panel(SPF, GOOD_SKIN))
    assert found.valid
    assert found.skin is not None
    # by hand: (105 + 180 + 174)/10
    assert found.skin.mean_ita_deg == pytest.approx(45.9)
    assert found.skin.counts == (3, 4, 3)


@pytest.mark.parametrize(
    ("ita", "reason"),
    [
        ([60.0] * 5 + [56.0] * 5, "mean typology angle is 58.0 deg, expected 41 to 55"),
        ([45.0] * 8 + [50.0] * 2, "hold 0, 10, 0 subjects, expected at least 3 in at least 2"),
        ([25.0, *([45.0] * 6), 58.0, 58.0, 58.0], "below 28 deg for S0"),
    ],
)
def test_skin_that_the_standard_does_not_allow(ita: list[float], reason: str) -> None:
    """Mean and filled ranges: ISO 24444:2019, foreword; 28 deg from memory."""
    found = evaluate_spf_in_vivo(_panel(SPF, ita))
    assert not found.valid
    assert any(reason in text for text in found.reasons)


def test_angles_of_some_subjects_only_are_not_judged() -> None:
    found = evaluate_spf_in_vivo(_panel(SPF, [*GOOD_SKIN[:9], None]))  # type: ignore[list-item]
    assert found.skin is None
    assert found.valid
    assert "typology angles of 9 of 10" in found.notes[0]


@pytest.mark.parametrize(
    ("ratio", "expected_spf", "valid"),
    [(1.12, None, True), (1.125, None, True), (1.25, None, False), (1.25, 20.0, True)],
)
def test_ladders_are_fine_enough(ratio: float, expected_spf: float | None, valid: bool) -> None:
    """1.25, and 1.12 above an expected SPF of 25: from memory of ISO 24444."""
    found = evaluate_spf_in_vivo(_panel(SPF, ratio=ratio), expected_spf=expected_spf)
    assert found.valid is valid
    assert valid or "protected skin rise by more than a factor 1.12" in found.reasons[0]
    assert any(mark.startswith("ratio of neighbouring doses") for mark in found.marks)


def test_references_decide() -> None:
    assert evaluate_spf_in_vivo(_panel(SPF), references={"P5": 30.0}).valid
    off = evaluate_spf_in_vivo(_panel(SPF), references={"P5": 40.0})
    assert off.reasons == ("reference P5 gave SPF 40.0, expected 23.7 to 37.4",)
    assert "range of reference P5: from memory" in off.marks
    low = evaluate_spf_in_vivo(_panel(SPF), references={"P2": 16.0})
    assert low.reasons == ("reference P2 was tested along, expected P5, P6 or P8 from SPF 25 on",)
    assert evaluate_spf_in_vivo(_panel([0.5 * x for x in SPF]), references={"p2": 16.0}).valid
    with pytest.raises(MissingDataError, match="reference sunscreen 'P9' is not known"):
        check_reference("P9", 10.0)
    with pytest.raises(OutOfRangeError, match="mean SPF of reference P2 is 0"):
        check_reference("P2", 0.0)


def test_each_market_gets_its_label() -> None:
    """Classes of the shipped label table; extra rules of USA, Japan and China from memory."""
    sure = evaluate_spf_in_vivo(_panel([61.0, 62.0] * 5))
    assert sure.label_class["eu"] == "50+"
    assert sure.label_class["japan"] == "50+"
    assert sure.label_class["china"] == "50+"
    # t(0.95; 9) = 1.833, s = 0.527: 61.5 - 0.31 = 61.19
    assert sure.label_class["usa"] == "61"
    wide = evaluate_spf_in_vivo(_panel([44.0, 62.0] * 5))  # mean 53, s 9.5: 95 % from 46.2
    assert wide.valid
    assert wide.label_class["south-korea"] == "50+"
    assert wide.label_class["japan"] == "50"
    assert wide.label_class["china"] == "50"
    assert set(wide.label_class) == {market.key for market in markets()}
    assert any(mark.startswith("50+ needs a lower 95 % limit") for mark in wide.marks)


def test_a_whole_lower_limit_gives_the_number_below() -> None:
    """The rule says below the limit: without scatter 30 gives 29."""
    assert evaluate_spf_in_vivo(_panel([30.0] * 10)).usa_label_number == 29


def test_what_json_prints() -> None:
    shown = evaluate_spf_in_vivo(
        [*_panel(SPF, GOOD_SKIN), PanelSubject("R", None, 600.0)], references={"P5": 30.0}
    ).to_dict()
    text = json.loads(json.dumps(shown, allow_nan=False))
    assert text["mean_spf"] == pytest.approx(31.0)
    assert {"sd", "n", "ci95_half_width_percent", "valid", "reasons", "label_class"} <= set(text)
    assert text["label_class"]["eu"] == "30"
    assert text["label_class"]["india"] is None
    assert text["rejected"] == [{"subject": "R", "reason": "MED on unprotected skin is missing"}]
    assert text["subjects"][0]["spf"] == 28.0
    assert text["references"][0]["name"] == "P5"
    assert "individual SPF" in text["marks"][0]
    assert "1.73" in text["two_panels"]
