"""Measured sizes: lognormals of known parameters, the nano decision, aggregates for a card."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr
from scipy.stats import lognorm

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.sizes import convert_weighting, evaluate_sizes
from zincite.formula.material import Grade

EDGES = np.geomspace(5.0, 15_000.0, 161)
MIDDLES = np.sqrt(EDGES[1:] * EDGES[:-1])


def lognormal(median: float, gsd: float) -> np.ndarray:
    return np.diff(ndtr(np.log(EDGES / median) / math.log(gsd)))


def test_volume_lognormal_converts_by_hatch_and_choate() -> None:
    """ln Dn50 = ln Dv50 - 3 ln2(gsd): 250 nm with 1.8 gives 88.7 nm and 58 % below 100 nm."""
    found = evaluate_sizes(MIDDLES, lognormal(250, 1.8), weighting="volume", constituent=True)
    assert found.percentiles_nm["volume"]["d50_nm"] == pytest.approx(250, rel=1e-3)
    # the standard normal quantile of 0.9 is 1.2816
    assert found.percentiles_nm["volume"]["d90_nm"] == pytest.approx(250 * 1.8**1.2816, rel=2e-3)
    assert found.percentiles_nm["volume"]["d10_nm"] == pytest.approx(250 / 1.8**1.2816, rel=2e-3)
    expected = 250 * math.exp(-3 * math.log(1.8) ** 2)
    assert found.percentiles_nm["number"]["d50_nm"] == pytest.approx(expected, rel=3e-3)
    assert found.nano.number_fraction_below_100nm == pytest.approx(0.58, abs=0.005)
    # d32 of a lognormal by volume: Dv50 exp(-s2/2)
    sauter = 250 * math.exp(-0.5 * math.log(1.8) ** 2)
    assert found.sauter_diameter_nm == pytest.approx(sauter, rel=1e-3)
    assert found.vssa_m2_cm3 == pytest.approx(6000 / sauter, rel=1e-3)
    assert found.lognormal.median_nm == pytest.approx(250, rel=1e-4)
    assert found.lognormal.gsd == pytest.approx(1.8, rel=1e-4)
    assert found.aggregates is None
    assert found.valid
    json.dumps(found.to_dict(), allow_nan=False)


def test_surface_per_gram_takes_the_cores_density() -> None:
    plain = evaluate_sizes(MIDDLES, lognormal(100, 1.4), weighting="volume", constituent=True)
    zinc = evaluate_sizes(
        MIDDLES, lognormal(100, 1.4), weighting="volume", constituent=True, core="zinc-oxide"
    )
    assert plain.specific_surface_m2_g is None
    assert zinc.specific_surface_m2_g == pytest.approx(zinc.vssa_m2_cm3 / 5.606, rel=2e-3)


@pytest.mark.parametrize(
    ("median", "gsd", "verdict"),
    [(60, 1.5, "nano"), (200, 1.5, "not nano"), (100, 1.5, "border"), (2500, 1.3, "not nano")],
)
def test_constituent_particles_by_number_decide(median: float, gsd: float, verdict: str) -> None:
    """50 % by number below 100 nm (2022/C 229/01); border 40-60 % is common practice."""
    found = evaluate_sizes(MIDDLES, lognormal(median, gsd), weighting="number", constituent=True)
    assert found.nano.verdict == verdict
    expected = float(ndtr(math.log(100 / median) / math.log(gsd)))
    assert found.nano.number_fraction_below_100nm == pytest.approx(expected, abs=2e-3)


def test_surface_below_six_is_never_nano() -> None:
    """2022/C 229/01: VSSA < 6 m2/cm3; 1.5 um spheres have 4 m2/cm3."""
    found = evaluate_sizes(MIDDLES, lognormal(1500, 1.05), weighting="number", constituent=True)
    assert found.vssa_m2_cm3 < 6
    assert "never nano" in found.nano.reason


def test_intensity_never_decides() -> None:
    found = evaluate_sizes(MIDDLES, lognormal(40, 1.2), weighting="intensity", constituent=True)
    assert found.nano.verdict == "undecided"
    assert found.nano.number_fraction_below_100nm is None
    assert found.vssa_m2_cm3 is None
    assert found.aggregates is None
    assert set(found.percentiles_nm) == {"intensity"}
    assert found.percentiles_nm["intensity"]["d50_nm"] == pytest.approx(40, rel=1e-3)


def test_sizes_of_a_dispersion_do_not_decide() -> None:
    found = evaluate_sizes(MIDDLES, lognormal(60, 1.3), weighting="number", constituent=False)
    assert found.nano.verdict == "undecided"
    assert "electron microscopy" in found.nano.reason


def test_single_particles_are_counted_with_their_uncertainty() -> None:
    """30 of 100 below 100 nm: exact interval 21.2 to 40.0 % (Clopper and Pearson, tables)."""
    diameters = np.concatenate([np.linspace(50, 90, 30), np.linspace(110, 300, 70)])
    found = evaluate_sizes(diameters, weighting="number", constituent=True)
    # each particle is spread to the middle of its neighbours: less than one in a hundred moves
    assert found.nano.number_fraction_below_100nm == pytest.approx(0.30, abs=1e-3)
    assert found.nano.low == pytest.approx(0.2124, abs=1e-3)
    assert found.nano.high == pytest.approx(0.3998, abs=1e-3)


def test_two_modes_become_the_aggregates_of_a_grade() -> None:
    share = 0.7 * lognormal(120, 1.5) + 0.3 * lognormal(800, 1.6)
    found = evaluate_sizes(MIDDLES, share, weighting="volume", constituent=False)
    split = found.aggregates
    assert split is not None
    assert split.method == "two lognormals"
    assert split.primary_median_nm == pytest.approx(120, rel=5e-3)
    assert split.aggregate_median_nm == pytest.approx(800, rel=5e-3)
    assert (split.primary_gsd, split.aggregate_gsd) == pytest.approx((1.5, 1.6), rel=5e-3)
    assert split.aggregate_volume_fraction == pytest.approx(0.3, abs=2e-3)
    # half of an aggregate is pigment: 0.15 of 0.85
    assert split.aggregate_fraction == pytest.approx(0.15 / 0.85, abs=2e-3)
    assert "share of pigment inside an aggregate, 0.5: assumed" in found.marks
    grade = replace(Grade("zinc-oxide", 120.0, 1.5), **split.for_grade())
    assert grade.aggregate_fraction.value == pytest.approx(0.15 / 0.85, abs=2e-3)
    assert grade.aggregate_median_nm.value == pytest.approx(800, rel=5e-3)
    assert grade.aggregate_fraction.evidence == "measured"


def test_number_counts_are_split_by_volume() -> None:
    volume = 0.6 * lognormal(150, 1.3) + 0.4 * lognormal(900, 1.3)
    number = convert_weighting(MIDDLES, volume, weighting="volume", to="number")
    found = evaluate_sizes(MIDDLES, number, weighting="number", constituent=False)
    assert found.aggregates is not None
    assert found.aggregates.aggregate_volume_fraction == pytest.approx(0.4, abs=3e-3)


@given(st.floats(60, 3000), st.floats(1.2, 2.2))
def test_one_mode_is_not_split(median: float, gsd: float) -> None:
    share = lognormal(median, gsd)
    found = evaluate_sizes(MIDDLES, share, weighting="volume", constituent=False)
    assert found.aggregates is None
    # the range ends at 15 um, where the widest lose up to 2 %
    assert found.lognormal.median_nm == pytest.approx(median, rel=0.02)


def test_cut_counts_what_lies_above() -> None:
    """A lognormal of 300 nm cut at its median: half above, whose own median is at 75 %."""
    found = evaluate_sizes(
        MIDDLES,
        lognormal(300, 1.7),
        weighting="volume",
        constituent=False,
        aggregate_cut_nm=300.0,
        aggregate_solid_fraction=1.0,
    )
    split = found.aggregates
    assert split is not None
    assert split.aggregate_volume_fraction == pytest.approx(0.5, abs=1e-3)
    assert split.aggregate_fraction == pytest.approx(split.aggregate_volume_fraction)
    quartile = lognorm(math.log(1.7), scale=300).ppf(0.75)
    assert split.aggregate_median_nm == pytest.approx(quartile, rel=2e-3)
    assert found.marks == ()


@given(st.integers(2, 30), st.randoms(use_true_random=False))
def test_conversion_there_and_back(n: int, random) -> None:
    diameters = np.cumsum([random.uniform(1, 100) for _ in range(n)])
    share = np.array([random.uniform(0.01, 1) for _ in range(n)])
    volume = convert_weighting(diameters, share, weighting="number", to="volume")
    back = convert_weighting(diameters, volume, weighting="volume", to="number")
    assert back == pytest.approx(share / share.sum(), rel=1e-9)


def test_order_and_scale_of_classes_do_not_matter() -> None:
    share = lognormal(200, 1.6)
    one = evaluate_sizes(MIDDLES, share, weighting="volume", constituent=True)
    other = evaluate_sizes(MIDDLES[::-1], 100 * share[::-1], weighting="volume", constituent=True)
    assert other.percentiles_nm["number"] == pytest.approx(one.percentiles_nm["number"])


def test_distribution_cut_off_at_an_end_is_said() -> None:
    keep = MIDDLES > 180
    found = evaluate_sizes(
        MIDDLES[keep], lognormal(200, 1.2)[keep], weighting="number", constituent=True
    )
    assert not found.valid
    assert "finest class" in found.reasons[0]


def test_empty_classes_do_not_move_percentiles() -> None:
    """Two classes with a gap: half of the number in each, so D50 is the gap's lower edge."""
    share = np.zeros(9)
    share[[2, 7]] = 0.5
    middles = np.geomspace(10, 2560, 9)  # ratio 2
    found = evaluate_sizes(middles, share, weighting="number", constituent=True)
    assert found.percentiles_nm["number"]["d50_nm"] == pytest.approx(40 * math.sqrt(2))


@pytest.mark.parametrize(
    ("sizes", "shares", "sentence"),
    [
        ([100.0], [1.0], "list of at least 2 diameters"),
        ([0.1, 100.0], [1.0, 1.0], r"diameter 0\.1 nm found"),
        ([math.nan, 100.0], [1.0, 1.0], "diameter nan nm found"),
        ([50.0, 100.0], [1.0, -1.0], "expected shares >= 0"),
        ([50.0, 100.0], [1.0, math.nan], "expected shares >= 0"),
        ([50.0, 100.0], [0.0, 0.0], "expected shares >= 0"),
        ([50.0, 100.0], [1.0, 0.0], "all particles are in one class"),
        ([50.0, 100.0], [1.0], "2 diameters and 1 shares found"),
        ([50.0, 50.0, 60.0], [1.0, 1.0, 1.0], "50 nm occurs twice"),
        ([50.0, 50.0], None, "all particles have one diameter"),
    ],
)
def test_impossible_distributions_get_one_sentence(sizes, shares, sentence) -> None:
    with pytest.raises(OutOfRangeError, match=sentence):
        evaluate_sizes(sizes, shares, weighting="number", constituent=True)


def test_impossible_options_get_one_sentence() -> None:
    share = lognormal(200, 1.6)

    def refuse(sentence: str, weighting: str = "volume", **options) -> None:
        with pytest.raises(OutOfRangeError, match=sentence):
            evaluate_sizes(MIDDLES, share, weighting=weighting, constituent=True, **options)

    refuse("weighting is 'mass'", "mass")
    refuse("core is 'gold'", core="gold")
    refuse("cut is 1 nm", aggregate_cut_nm=1.0)
    refuse("solid fraction of aggregates is 0", aggregate_cut_nm=300.0, aggregate_solid_fraction=0)
    with pytest.raises(OutOfRangeError, match="single particles are by number"):
        evaluate_sizes([50.0, 60.0], weighting="volume", constituent=True)
    with pytest.raises(OutOfRangeError, match="expected 'number' or 'volume' for a conversion"):
        convert_weighting([1.0], [1.0], weighting="intensity", to="number")
