"""Order of addition, set points, holds and limits of a batch record.

Limits are the trade's handover values (common practice, no source: Hegman 7, viscosity +-20 %,
density +-0.02, ZnO assay +-5 %); Hegman 7 is 12.7 um by trade relation R34 (source S74).
"""

from __future__ import annotations

import math

import pytest
from batch_formulas import PROCESS, lotion

from zincite.errors import OutOfRangeError
from zincite.evaluation.density import density_g_ml
from zincite.evaluation.making.batch.batch_record import BatchRecord, WeighingRules, batch_record
from zincite.evaluation.making.batch.record_holds import Check, Hold, References


def hold_of(record: BatchRecord, key: str) -> Hold:
    return next(hold for hold in record.holds if hold.key == key)


def check_of(record: BatchRecord, key: str) -> Check:
    return next(c for hold in record.holds for c in hold.checks if c.key == key)


def phases(record: BatchRecord) -> list[str]:
    return list(dict.fromkeys(item.phase for item in record.weighing.items))


def test_weighing_follows_the_order_in_which_the_steps_add() -> None:
    assert phases(batch_record(lotion(), 2)) == ["P", "O", "W", "C"]


def test_without_steps_it_follows_the_file() -> None:
    record = batch_record(lotion(""), 2)
    assert phases(record) == ["W", "P", "O", "C"]
    assert [step.device for step in record.steps] == [""] * 5
    assert any("no process steps" in said for said in record.basis.warnings)


def test_a_phase_that_no_step_adds_comes_last_and_is_named() -> None:
    record = batch_record(lotion(PROCESS.replace('phases = ["O"]\n', "")), 2)
    assert phases(record) == ["P", "W", "C", "O"]
    assert "No process step adds phase O: decide where it goes in." in record.basis.warnings


def test_numbers_run_in_that_order() -> None:
    items = batch_record(lotion(), 2).weighing.items
    assert [item.number for item in items] == list(range(1, len(items) + 1))


def test_tip_speed_follows_from_speed_and_diameter() -> None:
    # v = pi D N, trade relation R25: pi x 0.05 m x 100 1/s = 15.708 m/s
    step = batch_record(lotion(), 2).steps[3]
    speed = next(s for s in step.settings if s.key == "tip_speed_m_s")
    assert speed.value == pytest.approx(15.708, abs=5e-4)
    assert speed.value is not None
    assert speed.low == pytest.approx(0.9 * speed.value)


def test_windows_of_set_points() -> None:
    step = batch_record(lotion(), 2).steps[2]
    heat = next(s for s in step.settings if s.key == "temperature_C")
    assert (heat.low, heat.high) == (42, 48)
    mill = batch_record(lotion(), 2).steps[1]
    passes = next(s for s in mill.settings if s.key == "passes")
    assert (passes.low, passes.high) == (3, 3)


def test_the_grind_is_released_before_the_mill_base_is_diluted() -> None:
    record = batch_record(lotion(), 2)
    grind = hold_of(record, "grind")
    assert grind.after_step == 2
    check = grind.checks[0]
    assert check.high == pytest.approx(12.7)
    assert record.basis.relations == ("R34",)


def test_pigment_that_meets_water_is_judged_before_it_goes_in() -> None:
    one = '[process]\n[[process.step]]\ndevice = "rotor-stator"\nphases = ["W", "P", "O", "C"]\n'
    record = batch_record(lotion(one), 2)
    assert hold_of(record, "grind").after_step == 0
    assert hold_of(record, "temperatures").after_step == 0


def test_temperatures_are_held_before_water_and_oil_meet() -> None:
    hold = hold_of(batch_record(lotion(), 2), "temperatures")
    assert hold.after_step == 3
    limits = {check.key: (check.low, check.high) for check in hold.checks}
    assert limits == {"phase_P_C": (None, None), "phase_O_C": (42, 48), "phase_W_C": (42, 48)}


def test_no_emulsion_no_hold_before_it_and_no_ph() -> None:
    record = batch_record(lotion(emulsion="anhydrous"), 2)
    assert [hold.key for hold in record.holds] == ["grind", "bulk", "release"]
    assert "ph" not in [check.key for check in hold_of(record, "bulk").checks]


def test_density_stands_around_the_prediction_until_a_reference_is_measured() -> None:
    formula = lotion()
    predicted = check_of(batch_record(formula, 2), "density_g_ml")
    middle = density_g_ml(formula).median
    assert (predicted.low, predicted.high) == pytest.approx((middle - 0.02, middle + 0.02))
    assert predicted.is_predicted
    record = batch_record(formula, 2, references=References(density_g_ml=1.15))
    measured = check_of(record, "density_g_ml")
    assert (measured.low, measured.high) == pytest.approx((1.13, 1.17))
    assert not measured.is_predicted


def test_viscosity_has_limits_only_around_a_measured_reference() -> None:
    assert check_of(batch_record(lotion(), 2), "viscosity_mPas").low is None
    record = batch_record(lotion(), 2, references=References(viscosity_mPas=20000))
    check = check_of(record, "viscosity_mPas")
    assert (check.low, check.high) == (16000, 24000)


def test_assay_counts_the_oxide_without_its_coating() -> None:
    # the card says 3 % stearic acid: 20 % x 0.97 = 19.4 %, +-5 % of it is 18.43 to 20.37 %
    check = check_of(batch_record(lotion(), 2), "zinc_oxide_percent")
    assert (check.low, check.high) == pytest.approx((18.43, 20.37))


def test_set_points_of_another_batch_size_are_warned_of() -> None:
    assert not any("scale" in said for said in batch_record(lotion(), 2).basis.warnings)
    said = batch_record(lotion(), 50).basis.warnings
    assert any("written for 2 kg and this batch has 50 kg" in words for words in said)


def test_own_tolerances_are_not_called_assumed() -> None:
    rules = WeighingRules(tolerance_percent=2.0, uv_filter_tolerance_percent=1.0)
    assumed = batch_record(lotion(), 2, rules).basis.assumed
    assert not [said for said in assumed if "olerance" in said]
    assert (
        len([said for said in batch_record(lotion(), 2).basis.assumed if "olerance" in said]) == 2
    )


@pytest.mark.parametrize(
    ("references", "message"),
    [
        (References(viscosity_mPas=-1), "reference viscosity is -1, expected"),
        (References(viscosity_mPas=math.nan), "reference viscosity is nan, expected"),
        (References(density_g_ml=115), "reference density is 115, expected 0.3 to 3 g/mL"),
    ],
)
def test_impossible_references_are_refused(references: References, message: str) -> None:
    with pytest.raises(OutOfRangeError, match=message):
        batch_record(lotion(), 2, references=references)
