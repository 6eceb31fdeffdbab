"""Size distributions, colour readings, flow curves and erythema doses. Files are invented."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from instrument_files import number, text, write, xlsx
from scipy.stats import lognorm

from zincite.errors import InputError
from zincite.evaluation.assay.reading import (
    read_colour,
    read_flow_curve,
    read_med_table,
    read_size_distribution,
    read_table,
)
from zincite.evaluation.assay.reading.colour import condition_of
from zincite.evaluation.assay.reading.tables import unit_of


def _lines(folder: Path, *rows: str) -> Path:
    return write(folder, "\n".join(rows) + "\n", "table.csv")


LOG = lognorm(s=np.log(1.6), scale=220.0)
"""A lognormal of median 220 nm and geometric standard deviation 1.6, by SciPy."""
EDGES = np.geomspace(20.0, 3000.0, 121)


@pytest.mark.parametrize("form", ["shares", "cumulative", "oversize", "bounds", "per log"])
def test_percentiles_of_a_lognormal(tmp_path: Path, form: str) -> None:
    below = LOG.cdf(EDGES)
    share = 100 * np.diff(below)
    middle = np.sqrt(EDGES[1:] * EDGES[:-1])
    rows = {
        "shares": [["Size (nm)", "Volume %"], *zip(middle, share, strict=True)],
        "cumulative": [["Size (nm)", "Cum. volume %"], *zip(EDGES, 100 * below, strict=True)],
        "oversize": [
            ["Size (nm)", "Volume oversize %"],
            *zip(EDGES, 100 - 100 * below, strict=True),
        ],
        "bounds": [
            ["Lower (um)", "Upper (um)", "Volume %"],
            *zip(EDGES[:-1] / 1e3, EDGES[1:] / 1e3, share, strict=True),
        ],
        "per log": [
            ["Size (nm)", "Volume dQ3/dlog d"],
            *zip(middle, LOG.pdf(middle) * middle, strict=True),
        ],
    }[form]
    printed = [rows[0], *([number(x, ".", 9) for x in row] for row in rows[1:])]
    file = read_size_distribution(write(tmp_path, text(printed)))
    assert file.weighting == "volume"
    found = [file.d10_nm, file.d50_nm, file.d90_nm]
    # classes are 4 % wide; interpolation in ln d is better than a tenth of that
    np.testing.assert_allclose(found, LOG.ppf([0.1, 0.5, 0.9]), rtol=4e-3)
    assert file.share.sum() == pytest.approx(1.0)


def test_intensity_never_decides_nano(tmp_path: Path) -> None:
    file = read_size_distribution(
        _lines(tmp_path, "Diameter (nm);Intensity (%)", "50;20", "100;50", "200;30")
    )
    assert not file.can_decide_nano
    assert file.flags == ("Weighted by intensity: it never decides whether a material is nano.",)
    assert json.loads(json.dumps(file.to_dict()))["can_decide_nano"] is False


def test_weighting_and_unit_from_the_lines_above(tmp_path: Path) -> None:
    path = _lines(
        tmp_path, "Distribution type: number", "Size unit;\u00b5m", "Size;%", "0,1;60", "0,2;30",
        "0,4;10",
    )  # fmt: skip
    file = read_size_distribution(path)
    assert (file.weighting, file.diameter_nm.tolist()) == ("number", [100.0, 200.0, 400.0])
    assert file.can_decide_nano


def test_options_settle_what_the_file_leaves_open(tmp_path: Path) -> None:
    path = _lines(tmp_path, "Size,%", "100,60", "200,30", "400,10")
    with pytest.raises(InputError, match="does not say whether shares are by number"):
        read_size_distribution(path)
    with pytest.raises(InputError, match="states no unit, expected nm or um"):
        read_size_distribution(path, weighting="volume")
    assert read_size_distribution(path, weighting="volume", unit="nm").d50_nm == pytest.approx(
        # 60 % lie below the edge at sqrt(100*200) and above 100^2 over it: ln-linear between
        70.710678 * (141.421356 / 70.710678) ** (0.5 / 0.6),
        rel=1e-6,
    )
    with pytest.raises(InputError, match="is in nm, though um was asked for"):
        read_size_distribution(
            _lines(tmp_path, "Size nm,Volume %", "100,60", "200,30", "400,10"), unit="um"
        )


def test_colour_below_each_other(tmp_path: Path) -> None:
    file = read_colour(
        _lines(
            tmp_path,
            "Illuminant D65, 10\u00b0 observer",
            "Volunteer;Site;State;L*;a*;b*;h",
            "1;arm;bare skin;61,5;9,2;16,1;60",
            "1;arm;with film;66,5;8,2;15,1;61",
            "Mean;;;64;8,7;15,6;60",
        )
    )
    assert [row.condition for row in file.rows] == ["before", "after"]
    assert (file.rows[1].L, file.rows[1].a, file.rows[1].b) == (66.5, 8.2, 15.1)
    assert (file.rows[0].subject, file.rows[0].site) == ("1", "arm")
    assert (file.illuminant, file.observer_deg) == ("D65", 10)
    assert "row 5 ('Mean') is a summary and not read." in file.understood


def test_colour_side_by_side_in_a_workbook(tmp_path: Path) -> None:
    rows = [
        ["Card", "L* black", "a* black", "b* black", "L* white", "a* white", "b* white"],
        ["1", 30.5, 0.1, -0.5, 92.5, -0.2, 3.1],
    ]
    file = read_colour(xlsx(tmp_path, {"S": rows}))
    assert [(row.condition, row.L) for row in file.rows] == [("black", 30.5), ("white", 92.5)]
    assert file.illuminant is None


@pytest.mark.parametrize(
    ("said", "condition"),
    [
        ("before film", "before"),
        ("without product", "before"),
        ("untreated", "before"),
        ("treated", "after"),
        ("after drying", "after"),
        ("Film", "after"),
        ("on black", "black"),
        ("black and white", None),
        ("maybe", None),
    ],
)
def test_words_for_conditions(said: str, condition: str | None) -> None:
    assert condition_of(said) == condition


def test_flow_curve_with_a_row_of_units(tmp_path: Path) -> None:
    file = read_flow_curve(
        _lines(
            tmp_path,
            "Temperature;25",
            "Shear rate;Viscosity;Shear stress",
            "1/s;Pa\u00b7s;Pa",
            "1,0;20,5;20,5",
            "10,0;5,1;51",
            "1,0;18,5;18,5",
        )
    )
    assert file.shear_rate_1_s.tolist() == [1.0, 10.0, 1.0]
    assert file.viscosity_mPas.tolist() == [20500.0, 5100.0, 18500.0]
    assert file.stress_Pa.tolist() == [20.5, 51.0, 18.5]
    assert file.temperature_C == 25.0


def test_viscosity_from_stress_and_unit_from_both(tmp_path: Path) -> None:
    from_stress = read_flow_curve(_lines(tmp_path, "shear rate (1/s),stress (Pa)", "1,20", "10,50"))
    assert from_stress.viscosity_mPas.tolist() == [20000.0, 5000.0]
    inferred = read_flow_curve(
        _lines(tmp_path, "shear rate (1/s),stress (Pa),viscosity", "1,20,20", "10,50,5")
    )
    assert inferred.viscosity_mPas.tolist() == [20000.0, 5000.0]
    assert any("Pa s (from stress and rate)" in s for s in inferred.understood)


@pytest.mark.parametrize(
    ("header", "factor"),
    [("mPa s", 1.0), ("cP", 1.0), ("Pa.s", 1000.0), ("Pa*s", 1000.0), ("P", 100.0)],
)
def test_viscosity_units(tmp_path: Path, header: str, factor: float) -> None:
    # 1 P = 0.1 Pa s, 1 cP = 1 mPa s: BIPM, The International System of Units, 8th ed., table 9
    file = read_flow_curve(_lines(tmp_path, f"shear rate (1/s),viscosity ({header})", "1,2", "3,4"))
    assert file.viscosity_mPas.tolist() == [2 * factor, 4 * factor]


def test_erythema_doses_under_synonyms(tmp_path: Path) -> None:
    path = _lines(
        tmp_path, "Study 7", "", "Volunteer no.;MED u (mJ/cm\u00b2);MED p (mJ/cm\u00b2);Comment",
        "01;30,5;905,5;", "02;28;850;late", "Mean;29,3;877,8;",
    )  # fmt: skip
    table = read_med_table(path)
    assert dict(table) == {
        "subject": ("1", "2"),
        "med_unprotected": (30.5, 28.0),
        "med_protected": (905.5, 850.0),
        "remark": (None, "late"),
    }
    assert table.units["med_protected"] == "mJ/cm2"
    assert table.places == ("row 4", "row 5")


def test_one_subject_may_test_several_products(tmp_path: Path) -> None:
    path = _lines(tmp_path, "subject,product,MEDu,MEDp", "1,A,30,900", "1,B,30,300")
    assert read_med_table(path)["product"] == ("A", "B")


def test_read_table_by_own_columns(tmp_path: Path) -> None:
    path = _lines(tmp_path, "Batch\tpH value\tDensity [g/ml]", "K-1\t6.5\t1.02", "K-2\t6.7\t1.03")
    table = read_table(
        path,
        {"batch": (), "ph": ("pH value",), "density": ()},
        text=("batch",),
        unique=("batch",),
    )
    assert table["ph"] == (6.5, 6.7)
    assert table.units["density"] == "g/ml"
    assert any("ph from 'pH value'" in sentence for sentence in table.understood)


@pytest.mark.parametrize(
    ("header", "unit"),
    [("MEDu (mJ/cm2)", "mJ/cm2"), ("Size [\u00b5m]", "um"), ("Viscosity, Pa.s", "Pa.s"),
     ("Rate / s-1", "s-1"), ("Subject", "")],
)  # fmt: skip
def test_units_of_headers(header: str, unit: str) -> None:
    assert unit_of(header) == unit
