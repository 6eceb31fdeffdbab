"""Readers of panels, water, reported figures, contrast cards and screenings."""

from __future__ import annotations

from pathlib import Path

import pytest

from zincite.errors import InputError
from zincite.evaluation.assay.reading.contrast import read_contrast
from zincite.evaluation.assay.reading.panels import read_panel, read_water
from zincite.evaluation.assay.reading.reported import read_reported
from zincite.evaluation.assay.reading.screening import read_screening
from zincite.evaluation.assay.reported import ReportedSummary


def write(folder: Path, text: str) -> Path:
    path = folder / "table.csv"
    path.write_text(text, "utf-8")
    return path


def test_a_panel_is_read_with_exclusions_blanks_and_angles(tmp_path: Path) -> None:
    found = read_panel(
        write(
            tmp_path,
            "Report 7\nVolunteer;MEDu (mJ/cm2);MEDp (mJ/cm2);ITA;rejected\n"
            "A;25,5;800;44,5;no\nB;20;;50;\nC;25;700;41;sunburn\nD;25;700;41;yes\n",
        )
    )
    a, b, c, d = found.subjects
    assert (a.unprotected, a.protected, a.ita_deg, a.excluded) == (25.5, 800.0, 44.5, "")
    assert b.protected is None
    assert c.excluded == "sunburn"
    assert d.excluded == "no reason given"
    assert found.dose_unit == "mJ/cm2"


def test_ladders_become_the_first_dose_that_responds(tmp_path: Path) -> None:
    rows = ["subject,skin,dose,response"]
    rows += [f"A,bare,{dose},{'yes' if dose >= 25 else 'no'}" for dose in (16, 20, 25, 31.25)]
    rows += [f"A,product,{dose},{int(dose >= 500)}" for dose in (320, 400, 500, 625)]
    (found,) = read_panel(write(tmp_path, "\n".join(rows))).subjects
    assert (found.unprotected, found.protected) == (25.0, 500.0)
    assert found.unprotected_ratio == pytest.approx(1.25)


def test_pigment_darkening_doses_have_their_own_names(tmp_path: Path) -> None:
    found = read_panel(
        write(tmp_path, "subject,mppdd_unprotected,mppdd_protected\n1,10,150\n"), dose="MPPDD"
    )
    assert (found.subjects[0].unprotected, found.subjects[0].protected) == (10.0, 150.0)


def test_water_takes_factors_or_doses(tmp_path: Path) -> None:
    factors = read_water(write(tmp_path, "subject,spf_static,spf_wet\nA,30,21.5\n"))
    doses = read_water(
        write(tmp_path, "subject,med_unprotected,med_static,med_wet\nA,20,600,430\n")
    )
    for found in (factors, doses):
        assert (found.subjects[0].spf_static, found.subjects[0].spf_wet) == (30.0, 21.5)


def test_reported_values_or_a_summary(tmp_path: Path) -> None:
    values = read_reported(write(tmp_path, "plate,SPF\n1,28\n2,30\n"), ("spf",))
    assert values.figures == {"spf": (28.0, 30.0)}
    summary = read_reported(write(tmp_path, "SPF mean,SD,n\n29.5,2.1,5\n"), ("spf",))
    assert summary.figures == {"spf": ReportedSummary(29.5, 2.1, 5)}
    three = ("spf", "uva_pf", "critical_wavelength_nm")
    only = read_reported(write(tmp_path, "subject,UVA-PF\na,12\nb,13\n"), three)
    assert only.figures == {"uva_pf": (12.0, 13.0)}


@pytest.mark.parametrize(
    ("text", "scale"),
    [
        ("card,Y over black,Y over white\n1,20,80\n2,21,81\n", "Y"),
        ("card,L* black,a* black,b* black,L* white,a* white,b* white\n"
         "1,20,0,0,80,0,0\n2,21,0,0,81,0,0\n", "L*"),
        ("card,ground,L*,a*,b*\n1,black,20,0,1\n1,white,80,0,1\n2,black,21,0,1\n2,white,81,0,1\n",
         "L*"),
    ],
)  # fmt: skip
def test_contrast_cards_side_by_side_or_below(tmp_path: Path, text: str, scale: str) -> None:
    found = read_contrast(write(tmp_path, text))
    assert found.scale == scale
    assert found.over_black == (20.0, 21.0)
    assert found.over_white == (80.0, 81.0)


def test_screening_long_and_wide_hold_the_same(tmp_path: Path) -> None:
    long = read_screening(
        write(
            tmp_path, "grade,day,replicate,SPF in vitro\nA,1,1,10\nB,1,1,12\nA,2,1,11\nB,2,1,13\n"
        )
    )
    wide = read_screening(write(tmp_path, "day,A,B\n1,10,12\n2,11,13\n"))
    assert long.values == wide.values == (10.0, 12.0, 11.0, 13.0)
    assert long.grades == wide.grades == ("A", "B", "A", "B")
    assert long.blocks == wide.blocks == ("1", "1", "2", "2")
    assert long.quantity == "SPF in vitro"


PANEL_FAULTS = {
    "no header": ("1,2\n3,4\n", "no header row"),
    "no protected column": ("subject,med_unprotected\n1,25\n", "no column med_protected"),
    "text for a dose": ("subject,med_unprotected,med_protected\n1,25,much\n", "'much'"),
    "dose of 0": ("subject,med_unprotected,med_protected\n1,0,600\n", "above 0"),
    "twice": ("subject,med_unprotected,med_protected\n1,25,600\n1,25,700\n", "each once"),
    "two units": ("subject,MEDu (J/m2),MEDp (mJ/cm2)\n1,25,600\n", "one unit"),
    "two products": (
        "product,subject,med_unprotected,med_protected\nX,1,25,600\nY,2,25,700\n",
        "2 products",
    ),
    "ladder of one side": (
        "subject,skin,dose,response\nA,bare,20,no\nA,bare,25,yes\n",
        "no row of protected skin",
    ),
    "ladder answer": (
        "subject,skin,dose,response\nA,bare,20,maybe\nA,product,25,yes\n",
        "expected 1 or 0",
    ),
    "ladder that falls": (
        "subject,skin,dose,response\nA,bare,20,no\nA,bare,20,yes\nA,product,5,no\nA,product,6,no\n",
        "do not rise",
    ),
}


@pytest.mark.parametrize("name", PANEL_FAULTS)
def test_a_panel_that_cannot_be_read_is_refused(tmp_path: Path, name: str) -> None:
    text, said = PANEL_FAULTS[name]
    with pytest.raises(InputError, match=r"table\.csv") as caught:
        read_panel(write(tmp_path, text))
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("card,over black,over white\n1,20,80\n", "Y or L"),
        ("card,Y over black\n1,20\n", "Y white"),
        ("card,ground,L*,a*,b*\n1,black,20,0,1\n2,white,80,0,1\n", "one ground only"),
    ],
)
def test_cards_that_cannot_be_read_are_refused(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError, match=r"table\.csv") as caught:
        read_contrast(write(tmp_path, text))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("grade,value\nA,10\n,11\n", "expected a name"),
        ("grade,value\nA,10\nB,high\n", "'high'"),
        ("grade,SPF,UVA-PF\nA,10,4\nB,11,5\n", "expected one"),
        ("A,A\n1,2\n3,4\n", "two columns"),
        ("10,11\n12,13\n", "no header row"),
        ("remark,speed\nx,1\ny,2\n", "expected one of the two"),
    ],
)
def test_a_screening_that_cannot_be_read_is_refused(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError, match=r"table\.csv") as caught:
        read_screening(write(tmp_path, text))
    assert said in str(caught.value)


def test_a_summary_of_several_rows_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="expected one"):
        read_reported(write(tmp_path, "spf_mean,spf_sd,n\n29,2,5\n30,2,5\n"), ("spf",))
    with pytest.raises(InputError, match="whole number"):
        read_reported(write(tmp_path, "spf_mean,spf_sd,n\n29,2,5.5\n"), ("spf",))
