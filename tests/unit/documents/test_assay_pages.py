"""Pages and pictures of evaluated tests: whole, escaped, alone, and saying what the numbers say."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from report_formulas import HOSTILE

import zincite.data
from zincite.interfaces.documents.assay import sheet_of
from zincite.interfaces.documents.assay.page import assay_html
from zincite.interfaces.documents.assay.pictures import pictures_of
from zincite.workbench.assay import AssayReport, FileRead, open_expected
from zincite.workbench.assay.appearance import colour, contrast
from zincite.workbench.assay.panels import spf, uva_pf, water
from zincite.workbench.assay.plates import broad_spectrum, photostability, uva
from zincite.workbench.assay.powders import flow, screening, size
from zincite.workbench.assay.recorded import double_plate, hybrid

EXAMPLES = Path(__file__).parents[3] / "examples" / "assay"
FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
BEFORE, AFTER = EXAMPLES / "uva_before.csv", EXAMPLES / "uva_after.csv"
NAMES = (
    "uva", "uva-before", "photostability", "broad-spectrum", "spf", "uva-pf", "water",
    "double-plate", "hybrid", "colour", "contrast", "screening", "size", "flow",
)  # fmt: skip


@pytest.fixture(scope="module")
def reports() -> dict[str, AssayReport[Any, Any]]:
    expected = open_expected(FLUID)
    return {
        "uva": uva(BEFORE, label_spf=30, after=AFTER, expected=expected),
        "uva-before": uva(BEFORE, label_spf=30),
        "photostability": photostability(BEFORE, AFTER, limit_percent=10),
        "broad-spectrum": broad_spectrum(AFTER, preirradiated=True, expected=expected),
        "spf": spf(EXAMPLES / "spf.csv", expected=expected),
        "uva-pf": uva_pf(EXAMPLES / "uva_pf.csv", label_spf=30, expected=expected),
        "water": water(EXAMPLES / "water.csv", immersion_min=40),
        "double-plate": double_plate(EXAMPLES / "double_plate.csv", expected=expected),
        "hybrid": hybrid(EXAMPLES / "hybrid.csv", laboratory_valid=True),
        "colour": colour(EXAMPLES / "colour.csv", expected=expected),
        "contrast": contrast(EXAMPLES / "contrast.csv", expected=expected),
        "screening": screening(EXAMPLES / "screening.csv", control="uncoated"),
        "size": size(EXAMPLES / "sizes.csv"),
        "flow": flow(EXAMPLES / "flow.csv", expected=expected),
    }


@pytest.fixture(params=NAMES)
def report(request: pytest.FixtureRequest, reports: dict[str, Any]) -> AssayReport[Any, Any]:
    found: AssayReport[Any, Any] = reports[request.param]
    return found


class _Reader(HTMLParser):
    """Checks that elements close in order and keeps links and text."""

    VOID = frozenset({"meta", "link", "br", "img"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.names: list[str] = []
        self.links: list[str] = []
        self.text: list[str] = []
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        found = dict(attrs)
        self.links += [str(found[key]) for key in ("href", "src") if key in found]
        self.ids += [str(found["id"])] if "id" in found else []
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def read(html: str) -> _Reader:
    reader = _Reader()
    reader.feed(html)
    assert reader.open == []
    return reader


def test_each_picture_is_whole_titled_and_on_its_ground(report: AssayReport[Any, Any]) -> None:
    pictures = pictures_of(report)
    assert pictures
    for picture in pictures:
        root = ElementTree.fromstring(picture.svg)
        assert root.find("title").text
        assert root.find("desc").text
        assert not re.search(r'="(nan|inf|-inf)', picture.svg)
        width, height = (float(v) for v in root.get("viewBox").split()[2:])
        for item in root.iter("text"):
            assert 0 <= float(item.get("x")) <= width, item.text
            assert 0 <= float(item.get("y")) <= height, item.text


def test_each_page_is_one_file_that_loads_nothing(report: AssayReport[Any, Any]) -> None:
    page = read(assay_html(report))
    assert {"script", "img", "iframe", "object"}.isdisjoint(page.names)
    assert {link for link in page.links if not link.startswith("#")} <= {"data:,"}
    assert "http" not in re.sub(r"\s", "", "".join(page.links))
    assert len(page.ids) == len(set(page.ids))


def test_each_page_tells_decision_marks_preview_and_cautions(
    report: AssayReport[Any, Any],
) -> None:
    html = assay_html(report)
    text = " ".join("".join(read(html).text).split()).replace("\u00a0", " ")
    sheet = sheet_of(report)
    assert text.index(sheet.headline) < text.index("Result")
    for mark in report.result.marks:
        assert " ".join(mark.split()) in text
    for file in report.files:
        assert file.understood[0] in text
    assert "qualified laboratory" in text
    for lines in report.lines:
        assert lines.toml[-1] in text


def test_names_from_files_stay_text(reports: dict[str, Any]) -> None:
    base = reports["spf"]
    panel = base.result.panel
    subjects = tuple(replace(item, subject=HOSTILE) for item in panel.subjects)
    result = replace(
        base.result, panel=replace(panel, subjects=subjects), reasons=(HOSTILE,), marks=(HOSTILE,)
    )
    hostile = replace(
        base, result=result, files=(FileRead(HOSTILE, HOSTILE, (HOSTILE,)),), notes=(HOSTILE,),
        overlay=replace(base.overlay, formula=HOSTILE, model=HOSTILE, notes=(HOSTILE,)),
    )  # fmt: skip
    html = assay_html(hostile)
    assert "<script" not in html
    assert "<img" not in html
    assert HOSTILE in "".join(read(html).text)


def _texts(svg: str) -> list[str]:
    return [e.text or "" for e in ElementTree.fromstring(svg).iter("text")]


def test_axes_name_quantity_and_unit(reports: dict[str, Any]) -> None:
    for name, words in {
        "uva": "wavelength, nm",
        "broad-spectrum": "wavelength, nm",
        "contrast": "contrast ratio, %",
        "size": "diameter, nm",
        "flow": "shear rate, 1/s",
        "water": "retention of SPF - 1, %",
        "screening": "SPF in vitro",
    }.items():
        assert words in _texts(pictures_of(reports[name])[0].svg), name


def _dots(svg: str) -> list[tuple[float, str]]:
    return [(float(e.get("cx")), e.get("fill")) for e in ElementTree.fromstring(svg).iter("circle")]


def test_a_dot_for_every_subject_in_the_order_of_their_values(reports: dict[str, Any]) -> None:
    report = reports["spf"]
    dots = _dots(pictures_of(report)[0].svg)
    subjects = [item for item in report.result.panel.subjects if item.value is not None]
    assert len(dots) == len(subjects)
    by_place = sorted(range(len(dots)), key=lambda n: dots[n][0])
    assert by_place == sorted(range(len(dots)), key=lambda n: subjects[n].value)
    hollow = [item.subject for item, (_, fill) in zip(subjects, dots, strict=True)
              if fill == "#fbf7ef"]  # fmt: skip
    assert hollow == ["S07"]


def test_screening_shows_every_raw_point(reports: dict[str, Any]) -> None:
    report = reports["screening"]
    assert len(_dots(pictures_of(report)[0].svg)) == len(report.result.points)


def test_limits_that_decide_are_always_drawn(reports: dict[str, Any]) -> None:
    assert "370 nm" in _texts(pictures_of(reports["broad-spectrum"])[1].svg)
    assert "50 %" in _texts(pictures_of(reports["water"])[0].svg)
    assert "30/3" in _texts(pictures_of(reports["uva"])[1].svg)


def test_the_prediction_is_drawn_only_with_a_formula(reports: dict[str, Any]) -> None:
    assert "predicted, 90 %" in _texts(pictures_of(reports["spf"])[0].svg)
    assert "predicted, 90 %" not in _texts(pictures_of(reports["hybrid"])[0].svg)


def test_the_bars_of_the_histogram_hold_the_whole_distribution(reports: dict[str, Any]) -> None:
    # by definition of a density: heights times widths sum to 1; both axes are linear in the drawing
    svg = pictures_of(reports["size"])[0].svg
    root = ElementTree.fromstring(svg)
    bars = [e for e in root.iter("rect") if e.get("fill-opacity") == "0.22"]
    shares = [float(e.get("height")) * (float(e.get("width")) + 0.6) for e in bars]
    file = reports["size"].readings
    seen = file.share[file.share > 1e-4 * file.share.max()]
    assert len(bars) >= seen.size - 1
    largest = max(range(len(shares)), key=shares.__getitem__)
    assert shares[largest] / sum(shares) == pytest.approx(file.share.max(), rel=0.02)


def test_measured_colours_are_those_of_the_readings(reports: dict[str, Any]) -> None:
    # colour-science: CIELAB under D65 to sRGB (IEC 61966-2-1)
    import colour as science
    import numpy as np

    html = assay_html(reports["colour"])
    white = science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    fills = re.findall(r'fill="(#[0-9a-f]{6})"', html)
    for item in reports["colour"].result.classes:
        for lab in (item.before_lab, item.after_lab):
            rgb = 255 * np.clip(science.XYZ_to_sRGB(science.Lab_to_XYZ(lab, white), white), 0, 1)
            near = [
                max(abs(int(f[i : i + 2], 16) - rgb[n]) for n, i in enumerate((1, 3, 5)))
                for f in fills
            ]
            assert min(near) <= 1.0
