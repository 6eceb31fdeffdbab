"""ISO 24443 evaluation: what it accepts, refuses, scales and marks."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.assay.absorbance_sums import (
    adjustment_coefficient,
    spf_in_vitro,
    uva_protection_factor,
)
from zincite.evaluation.assay.uva_acceptance import check_reference_sunscreen, eu_uva_test
from zincite.evaluation.assay.uva_in_vitro import evaluate_uva_in_vitro
from zincite.physics.photoprotection import UV_GRID_NM

CONTRACT = (
    "c",
    "spf_in_vitro",
    "uva_pf0",
    "dose_J_cm2",
    "uva_pf",
    "critical_wavelength_nm",
    "uva_to_uvb",
    "valid",
    "reasons",
)
SLOPE = np.linspace(1.0, 0.4, 111)  # absorbs less in UVA


def flat(absorbance: float = 1.5, plates: int = 4, spots: int = 5) -> np.ndarray:
    return np.full((plates, spots, 111), absorbance)


def tilted(*tilts: float) -> np.ndarray:
    """One spot a plate that absorbs 1.5 up to 320 nm and 1.5 + tilt beyond."""
    uva = (UV_GRID_NM > 320).astype(float)
    return np.array([[1.5 + tilt * uva] for tilt in tilts])


def test_dict_holds_the_contract_as_plain_json() -> None:
    made = evaluate_uva_in_vitro(flat(), 30, after=flat()).to_dict()
    assert all(key in made for key in CONTRACT)
    back = json.loads(json.dumps(made, allow_nan=False))
    assert back == made
    assert len(made["plates"]) == 4
    assert made["method"] == "ISO 24443:2021"
    assert made["valid"] is True
    assert made["reasons"] == []
    assert [lamp["status"] for lamp in made["lamps"]].count("assumed") == 3


def test_without_after_there_is_no_uva_pf_and_no_valid_test() -> None:
    found = evaluate_uva_in_vitro(flat(), 30)
    assert found.uva_pf is None
    assert found.eu_test.passes is None
    assert found.initial_valid
    assert not found.valid
    assert len(found.reasons) == 1
    assert "after irradiation" in found.reasons[0]
    assert found.dose_J_cm2 == pytest.approx(1.2 * 30)  # Moyal et al. 2012: 1.2 x UVA-PF0


@pytest.mark.parametrize(
    ("edition", "plates", "enough"),
    [("2012", 2, False), ("2012", 3, True), ("2021", 3, False), ("2021", 4, True)],
)
def test_editions_ask_for_three_and_four_plates(edition: str, plates: int, enough: bool) -> None:
    """Number of plates by edition: from memory, and marked so."""
    found = evaluate_uva_in_vitro(
        flat(plates=plates), 30, after=flat(plates=plates), edition=edition
    )
    assert found.valid is enough
    assert any("number of plates" in mark and "from memory" in mark for mark in found.marks)
    if not enough:
        assert f"{plates} plates found" in found.reasons[0]


@pytest.mark.parametrize(("c", "held"), [(0.79, False), (0.81, True), (1.59, True), (1.61, False)])
def test_range_of_the_coefficient(c: float, held: bool) -> None:
    """0.8 to 1.6, from memory."""
    a = flat(math.log10(30) / c)
    found = evaluate_uva_in_vitro(a, 30, after=a)
    assert found.c == pytest.approx(c, rel=1e-9)
    assert found.valid is held
    assert held or "outside 0.8 to 1.6" in found.reasons[0]


def test_one_plate_outside_the_range_is_named() -> None:
    a = flat()
    a[2] = 0.7
    found = evaluate_uva_in_vitro(a, 30, after=a)
    assert 0.8 < found.c < 1.6
    assert not found.valid
    assert [reason for reason in found.reasons if reason.startswith("plate 3: C is 2.11")]


def test_plates_that_disagree_ask_for_more() -> None:
    before = tilted(-0.3, 0.0, 0.0, 0.3)
    found = evaluate_uva_in_vitro(before, 30, after=before)
    values = [plate.uva_pf for plate in found.plates]
    # t(0.975; 3) = 3.182, tables of Student's t
    half = 100 * 3.182 * np.std(values, ddof=1) / math.sqrt(4) / np.mean(values)
    assert found.ci95_half_width_percent == pytest.approx(half, rel=2e-4)
    assert half > 17
    assert not found.valid
    assert found.plates_needed is not None
    assert found.plates_needed > 4
    assert any(f"needs about {found.plates_needed} plates" in reason for reason in found.reasons)


def test_result_is_the_mean_of_plates_not_of_spectra() -> None:
    before = tilted(-0.2, 0.0, 0.1, 0.2)
    found = evaluate_uva_in_vitro(before, 30, after=before)
    assert found.uva_pf == pytest.approx(np.mean([plate.uva_pf for plate in found.plates]))
    assert found.uva_pf0 == pytest.approx(found.uva_pf)
    assert found.pooled.uva_pf != pytest.approx(found.uva_pf, rel=1e-3)
    assert found.intervals["uva_pf"].low < found.uva_pf < found.intervals["uva_pf"].high


def test_final_absorbance_takes_the_coefficient_of_the_same_plate() -> None:
    """GOST ISO 24443-2016, 5.9: final absorbance = C x absorbance after irradiation."""
    before, after = flat(1.5), flat(1.2)
    found = evaluate_uva_in_vitro(before, 30, after=after)
    c = math.log10(30) / 1.5
    assert found.uva_pf == pytest.approx(10 ** (c * 1.2), rel=1e-9)
    assert found.uva_pf0 == pytest.approx(30, rel=1e-9)


def test_averages_of_absorbance_and_of_transmittance_differ_as_they_should() -> None:
    """Spots of 1.0 and 2.0: mean absorbance 1.5; mean transmittance 0.055."""
    a = flat(1.0, spots=2)
    a[:, 1] = 2.0
    by_absorbance = evaluate_uva_in_vitro(a, 20)
    by_transmittance = evaluate_uva_in_vitro(a, 20, average="transmittance")
    assert by_absorbance.spf_in_vitro == pytest.approx(10**1.5)
    assert by_transmittance.spf_in_vitro == pytest.approx(1 / 0.055)
    assert "averaged as transmittance" in by_transmittance.notes[0]


def test_static_in_vivo_spf_scales_and_label_spf_judges() -> None:
    found = evaluate_uva_in_vitro(flat(), 30, after=flat(), in_vivo_spf=36)
    assert found.uva_pf0 == pytest.approx(36)
    assert found.eu_test.uva_pf_to_label_spf == pytest.approx(36 / 30)
    assert not any("scales to the label" in note for note in found.notes)


def test_eu_test_holds_a_third_and_370_nm() -> None:
    """Commission Recommendation 2006/647/EC, point 10."""
    assert eu_uva_test(10.0, 30.0, 370.0).passes
    assert not eu_uva_test(9.99, 30.0, 370.0).passes
    assert not eu_uva_test(10.0, 30.0, 369.9).passes
    assert eu_uva_test(50 / 3, 50.0, 371.0).passes


@pytest.mark.parametrize(
    ("value", "passes"), [(10.6, False), (10.7, True), (14.7, True), (14.8, False)]
)
def test_reference_sunscreen_s2(value: float, passes: bool) -> None:
    """10.7 to 14.7, from memory."""
    assert check_reference_sunscreen(value).passes is passes
    assert "from memory" in check_reference_sunscreen(value).mark
    found = evaluate_uva_in_vitro(flat(), 30, after=flat(), reference_uva_pf=value)
    assert found.valid is passes


def test_amount_is_checked_against_the_kind_of_plate() -> None:
    """1.3 mg/cm2 on 5 um plates: Moyal et al. 2012; 2021: moulded 1.3, sandblasted 1.2 (memory)."""

    def valid(edition: str, kind: str, amount: float) -> bool:
        return evaluate_uva_in_vitro(
            flat(), 30, after=flat(), edition=edition, plate_kind=kind, amount_mg_cm2=amount
        ).valid

    assert valid("2012", "high roughness", 1.3)
    assert valid("2012", "low roughness", 0.75)
    assert not valid("2012", "high roughness", 0.75)
    assert valid("2021", "sandblasted", 1.2)
    assert not valid("2021", "sandblasted", 1.3)


def test_saturation_that_matters_spoils_the_result() -> None:
    a = flat()
    mask = np.zeros(a.shape, dtype=bool)
    mask[:, :, :30] = True
    found = evaluate_uva_in_vitro(a, 30, after=a, saturated_before=mask, saturated_after=mask)
    assert not found.valid
    assert found.saturation is not None
    assert found.saturation.material
    assert any("saturated readings matter" in reason for reason in found.reasons)
    assert any("lower bounds" in note for note in found.notes)


@pytest.mark.parametrize("when", ["saturated_before", "saturated_after"])
def test_saturation_counts_on_either_side(when: str) -> None:
    """Before alone it moves C, after alone the critical wavelength."""
    a = flat()
    mask = np.zeros(a.shape, dtype=bool)
    mask[:, :, :30] = True
    found = evaluate_uva_in_vitro(a, 30, after=a, **{when: mask})
    assert found.saturation is not None
    assert found.saturation.material
    assert (found.saturation.c_change_percent > 1) is (when == "saturated_before")
    assert (found.saturation.critical_wavelength_change_nm > 0.5) is (when == "saturated_after")


def test_saturation_where_nothing_passes_does_not() -> None:
    """One spot of nine at 290 nm alone: a ninth of an absorbance at one wavelength of 111."""
    a = flat(spots=9)
    mask = np.zeros(a.shape, dtype=bool)
    mask[0, 0, 0] = True
    found = evaluate_uva_in_vitro(a, 30, after=a, saturated_before=mask, saturated_after=mask)
    assert found.valid
    assert found.saturation is not None
    assert not found.saturation.material
    assert found.saturation.readings == 2
    # by hand: area grows by half a step of 1/9, 90 % of it to be made up at 1.5 a nm
    assert found.saturation.critical_wavelength_change_nm == pytest.approx(
        0.1 * 0.5 / 9 * found.c / (1.5 * found.c), rel=1e-3
    )


def test_spot_that_was_not_read_is_left_out() -> None:
    a = flat(spots=3)
    a[1, 2] = np.nan
    found = evaluate_uva_in_vitro(a, 30, after=a)
    assert [plate.spots for plate in found.plates] == [3, 2, 3, 3]
    assert found.valid


def test_noise_below_zero_is_said_and_a_blank_plate_refused() -> None:
    a = flat()
    a[:, :, -5:] = -0.01
    found = evaluate_uva_in_vitro(a, 20)
    assert any("counts as 0" in note for note in found.notes)
    with pytest.raises(OutOfRangeError, match="plate 1 is 0 or less throughout"):
        evaluate_uva_in_vitro(flat(-0.01), 20)


@pytest.mark.parametrize(
    ("absorbance", "sentence"),
    [
        (np.ones((4, 111)), r"shape \(4, 111\), expected \(plates, spots, 111\)"),
        (np.ones((4, 5, 110)), r"shape \(4, 5, 110\)"),
        (np.ones((0, 5, 111)), r"shape \(0, 5, 111\)"),
        (np.full((1, 1, 111), 45.0), "plate 1, spot 1 is 45 at 290 nm"),
        (np.full((1, 1, 111), -0.3), "expected an absorbance of -0.1 to 10"),
        (np.full((1, 1, 111), np.inf), "is inf at 290 nm"),
        (np.full((1, 1, 111), np.nan), "plate 1 has no spot"),
    ],
)
def test_impossible_spectra_get_one_sentence(absorbance: np.ndarray, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        evaluate_uva_in_vitro(absorbance, 30)


def test_gap_inside_a_spectrum_is_named() -> None:
    a = flat()
    a[1, 3, 10] = np.nan
    with pytest.raises(OutOfRangeError, match="plate 2, spot 4 is missing at 300 nm"):
        evaluate_uva_in_vitro(a, 30)


@pytest.mark.parametrize("spf", [1.0, 0.0, -3.0, math.nan, math.inf])
def test_label_spf_must_exceed_one(spf: float) -> None:
    with pytest.raises(OutOfRangeError, match="label SPF"):
        evaluate_uva_in_vitro(flat(), spf)


def test_other_options_that_do_not_exist() -> None:
    with pytest.raises(OutOfRangeError, match="edition is '2020'"):
        evaluate_uva_in_vitro(flat(), 30, edition="2020")
    with pytest.raises(OutOfRangeError, match="average is 'median'"):
        evaluate_uva_in_vitro(flat(), 30, average="median")
    with pytest.raises(OutOfRangeError, match="the same spots of the same plates"):
        evaluate_uva_in_vitro(flat(), 30, after=flat(plates=3))


def test_no_coefficient_exists_where_a_hole_lets_the_light_through() -> None:
    a = np.full(111, 1.5)
    a[15:25] = 0.0  # 305-314 nm, where much of the erythema lies
    with pytest.raises(OutOfRangeError, match=r"plate 2: no coefficient C .* near 305 nm"):
        evaluate_uva_in_vitro(np.stack([[np.full(111, 1.5)], [a]]), 30)


spectra = arrays(np.float64, 111, elements=st.floats(0.05, 3.0))


@given(spectra, st.floats(1.5, 100.0))
def test_coefficient_reproduces_the_label_spf(absorbance: np.ndarray, spf: float) -> None:
    """Issue: C found by root finding reproduces the label SPF to 1e-6."""
    c = adjustment_coefficient(absorbance, spf)
    assert abs(float(spf_in_vitro(c * absorbance)) - spf) < 1e-6


@given(spectra, st.floats(0.3, 3.0))
def test_scaling_all_absorbances_scales_the_coefficient_only(
    absorbance: np.ndarray, k: float
) -> None:
    """10^(-C A) depends on the product alone."""
    a = np.array([[absorbance]])
    one, scaled = evaluate_uva_in_vitro(a, 30), evaluate_uva_in_vitro(k * a, 30)
    assert scaled.c == pytest.approx(one.c / k, rel=1e-9)
    assert scaled.uva_pf0 == pytest.approx(one.uva_pf0, rel=1e-8)
    assert scaled.critical_wavelength_nm == pytest.approx(one.critical_wavelength_nm, abs=1e-6)
    assert scaled.uva_to_uvb == pytest.approx(one.uva_to_uvb, rel=1e-9)


@given(st.permutations(range(4)))
def test_order_of_plates_does_not_matter(order: list[int]) -> None:
    a = tilted(-0.2, -0.1, 0.1, 0.2)
    one, other = evaluate_uva_in_vitro(a, 30), evaluate_uva_in_vitro(a[order], 30)
    assert other.uva_pf0 == pytest.approx(one.uva_pf0, rel=1e-12)
    assert [p.c for p in other.plates] == [one.plates[i].c for i in order]


def test_uva_pf_sees_no_light_below_320_nm() -> None:
    below = np.where(UV_GRID_NM < 320, 0.0, 1.0)
    assert float(uva_protection_factor(below)) == pytest.approx(10.0)
    assert float(uva_protection_factor(1.0 - below)) == pytest.approx(1.0)
    assert float(uva_protection_factor(SLOPE)) < 10.0
