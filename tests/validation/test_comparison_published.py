"""Analyses of variance and simultaneous intervals against certified and printed numbers."""

from __future__ import annotations

import numpy as np
import pytest

from zincite.statistics.comparison import analyse_groups
from zincite.statistics.multiple import dunnett, tukey


def _long(table: dict[str, list[float]]) -> tuple[list[float], list[str]]:
    values = [value for column in table.values() for value in column]
    return values, [name for name, column in table.items() for _ in column]


SIRSTV = {
    "1": [196.3052, 196.1240, 196.1890, 196.2569, 196.3403],
    "2": [196.3042, 196.3825, 196.1669, 196.3257, 196.0422],
    "3": [196.1303, 196.2005, 196.2889, 196.0343, 196.1811],
    "4": [196.2795, 196.1748, 196.1494, 196.1485, 195.9885],
    "5": [196.2119, 196.1051, 196.1850, 196.0052, 196.2090],
}
"""NIST Statistical Reference Datasets, analysis of variance, SiRstv (resistivity of silicon)."""


def test_certified_values_of_nist_sirstv() -> None:
    """Certified by NIST to 15 digits; eight are asked for, its data have seven."""
    found = analyse_groups(*_long(SIRSTV))
    groups, residual = found.rows
    assert groups.sum_of_squares == pytest.approx(5.11462616000000e-02, rel=1e-8)
    assert residual.sum_of_squares == pytest.approx(2.16636560000000e-01, rel=1e-8)
    assert groups.f == pytest.approx(1.18046237440255, rel=1e-8)
    assert (groups.degrees_of_freedom, residual.degrees_of_freedom) == (4, 20)
    assert found.residual_sd == pytest.approx(1.04076068334656e-01, rel=1e-8)


@pytest.mark.parametrize(("offset", "digits"), [(0.0, 1e-12), (1e6, 1e-8)])
def test_certified_values_of_nist_smls01_and_smls04(offset: float, digits: float) -> None:
    """NIST StRD SmLs01 and SmLs04 (the same plus 1 000 000): 1.68, 1.80, F = 21 exactly.

    Nine treatments of 21 values; the second set loses its digits in a careless sum.
    """
    centres = [1.4, 1.3, 1.5, 1.3, 1.5, 1.3, 1.5, 1.3, 1.5]
    table = {
        str(i): [offset + centre, *([offset + centre - 0.1, offset + centre + 0.1] * 10)]
        for i, centre in enumerate(centres)
    }
    groups, residual = analyse_groups(*_long(table)).rows
    assert groups.sum_of_squares == pytest.approx(1.68, rel=digits)
    assert residual.sum_of_squares == pytest.approx(1.80, rel=digits)
    assert groups.f == pytest.approx(21.0, rel=digits)


ETCHING = {
    "160 W": [575.0, 542.0, 530.0, 539.0, 570.0],
    "180 W": [565.0, 593.0, 590.0, 579.0, 610.0],
    "200 W": [600.0, 651.0, 610.0, 637.0, 629.0],
    "220 W": [725.0, 700.0, 715.0, 685.0, 710.0],
}
"""Montgomery D.C., Design and Analysis of Experiments, plasma etching experiment (chapter 3)."""


def test_montgomery_plasma_etching() -> None:
    """Printed: treatments 66 870.55, error 5339.20, F0 66.80; means 551.2, 587.4, 625.4, 707.0."""
    found = analyse_groups(*_long(ETCHING))
    groups, residual = found.rows
    assert groups.sum_of_squares == pytest.approx(66_870.55, abs=0.005)
    assert residual.sum_of_squares == pytest.approx(5339.20, abs=0.005)
    assert groups.f == pytest.approx(66.80, abs=0.005)
    np.testing.assert_allclose(found.means, [551.2, 587.4, 625.4, 707.0], atol=1e-9)


def test_montgomery_plasma_etching_tukey() -> None:
    """Printed: q(0.05; 4, 16) = 4.05 gives T = 33.09, so all pairs of means differ."""
    pairs = tukey(analyse_groups(*_long(ETCHING)))
    assert all(pair.differs for pair in pairs)
    # 4.05 is rounded: T to half a unit of its last digit
    assert pairs[0].high - pairs[0].difference == pytest.approx(33.09, abs=33.09 * 0.005 / 4.05)


def test_montgomery_tensile_strength_of_fibre() -> None:
    """The same book, cotton content experiment: 475.76, 161.20 and F0 = 14.76."""
    table = {
        "15 %": [7.0, 7.0, 15.0, 11.0, 9.0],
        "20 %": [12.0, 17.0, 12.0, 18.0, 18.0],
        "25 %": [14.0, 18.0, 18.0, 19.0, 19.0],
        "30 %": [19.0, 25.0, 22.0, 19.0, 23.0],
        "35 %": [7.0, 10.0, 11.0, 15.0, 11.0],
    }
    groups, residual = analyse_groups(*_long(table)).rows
    assert groups.sum_of_squares == pytest.approx(475.76, abs=0.005)
    assert residual.sum_of_squares == pytest.approx(161.20, abs=0.005)
    assert groups.f == pytest.approx(14.76, abs=0.005)


def test_montgomery_vascular_graft_in_blocks() -> None:
    """The same book, chapter 4: pressures in six batches of resin as blocks.

    Printed: treatments 178.17, blocks 192.25, error 109.89 with 15 degrees of freedom, F0 8.11,
    p 0.0019.
    """
    table = {
        "8500": [90.3, 89.2, 98.2, 93.9, 87.4, 97.9],
        "8700": [92.5, 89.5, 90.6, 94.7, 87.0, 95.8],
        "8900": [85.5, 90.8, 89.6, 86.2, 88.0, 93.4],
        "9100": [82.5, 89.5, 85.6, 87.4, 78.9, 90.7],
    }
    values, names = _long(table)
    found = analyse_groups(values, names, [str(i) for i in range(6)] * 4)
    groups, blocks, residual = found.rows
    assert groups.sum_of_squares == pytest.approx(178.17, abs=0.005)
    assert blocks.sum_of_squares == pytest.approx(192.25, abs=0.005)
    assert residual.sum_of_squares == pytest.approx(109.89, abs=0.005)
    assert residual.degrees_of_freedom == 15
    assert groups.f == pytest.approx(8.11, abs=0.005)
    assert groups.p == pytest.approx(0.0019, abs=5e-5)


def test_tukey_example_of_the_scipy_documentation() -> None:
    """Headache relief of three brands, documentation of scipy.stats.tukey_hsd (three decimals)."""
    table = {
        "0": [24.5, 23.5, 26.4, 27.1, 29.9],
        "1": [28.4, 34.2, 29.5, 32.2, 30.1],
        "2": [26.1, 28.3, 24.3, 26.2, 27.8],
    }
    printed = {
        ("0", "1"): (-4.600, 0.014, -8.249, -0.951),
        ("0", "2"): (-0.260, 0.980, -3.909, 3.389),
        ("1", "2"): (4.340, 0.020, 0.691, 7.989),
    }
    for pair in tukey(analyse_groups(*_long(table))):
        delta, p, low, high = printed[pair.first, pair.second]
        assert pair.difference == pytest.approx(delta, abs=5e-4)
        assert pair.p == pytest.approx(p, abs=5e-4)
        assert (pair.low, pair.high) == pytest.approx((low, high), abs=5e-4)


BLOOD_COUNTS = {
    "control": [7.40, 8.50, 7.20, 8.24, 9.84, 8.32],
    "a": [9.76, 8.80, 7.68, 9.36],
    "b": [12.80, 9.68, 12.16, 9.20, 10.55],
}
"""Blood counts of Dunnett C.W. (1955), as in the documentation of scipy.stats.dunnett."""


def test_dunnett_example_of_the_scipy_documentation() -> None:
    """Printed p 0.62004941 and 0.0059035; its integral is good to about 1e-4."""
    first, second = dunnett(analyse_groups(*_long(BLOOD_COUNTS)), "control")
    assert (first.p, second.p) == pytest.approx((0.62004941, 0.0059035), abs=3e-4)
    assert (first.differs, second.differs) == (False, True)


@pytest.mark.parametrize(
    ("others", "df", "printed"),
    # two-sided 5 % points of Dunnett C.W. (1964), Biometrics 20, 482, from memory
    [(2, 20, 2.38), (3, 20, 2.54), (4, 20, 2.65), (3, 16, 2.59), (1, 20, 2.09)],
)
def test_dunnett_points_of_the_printed_table(others: int, df: int, printed: float) -> None:
    """Counts as equal as can be, so that the residual keeps the degrees of freedom of the table."""
    groups = others + 1
    counts = [(df + groups) // groups + (i < (df + groups) % groups) for i in range(groups)]
    rng = np.random.default_rng(2)
    values = {str(i): list(rng.normal(size=count)) for i, count in enumerate(counts)}
    found = analyse_groups(*_long(values))
    point = [
        (item.high - item.difference) / found.difference_sd(i + 1, 0)
        for i, item in enumerate(dunnett(found, "0"))
    ]
    # 0.01 and not 0.005: counts that differ by one move the point in its third digit
    assert point == pytest.approx([printed] * others, abs=0.01)
