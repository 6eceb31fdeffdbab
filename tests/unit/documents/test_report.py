"""The HTML report: self-contained, escaped, decision first, nothing hidden."""

import datetime
import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from report_formulas import HOSTILE, VERDICTS

from zincite.errors import InputError
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.prediction import CAUTIONS
from zincite.evaluation.regulation.verdict import MarketAssessment, Requirement
from zincite.interfaces.documents.judged import key_numbers
from zincite.interfaces.documents.report import comparison_html, report_html

DAY = datetime.date(2026, 11, 25)
_VOID = {"meta", "link", "br", "img", "input", "hr"}
_LOADING = {"src", "srcset", "href", "data", "action", "formaction", "poster", "xlink:href"}


class Page(HTMLParser):
    """What a page holds: loaded addresses, tags, ids, headings, and whether tags close."""

    def __init__(self, html):
        super().__init__()
        self.loads, self.tags, self.ids, self.headings, self.open = [], [], [], [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag not in _VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        self.loads += [v for k, v in attrs if k in _LOADING]
        self.ids += [v for k, v in attrs if k == "id"]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] in ("h1", "h2", "h3"):
            self.headings.append((self.open[-1], data.strip()))


def words(html):
    """Return the text of a page, styles and tags left out."""
    bare = re.sub(r"<(style|title|desc)\b.*?</\1>", " ", html, flags=re.S)
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", bare)))


def pictures(html):
    return re.findall(r"<svg .*?</svg>", html, flags=re.S)


@pytest.fixture(scope="module")
def report(prediction, assessments, weaker):
    return report_html(prediction, assessments, compared=[weaker], made_on=DAY)


@pytest.fixture(scope="module", params=["report", "hostile", "hollow", "comparison"])
def page(request, prediction, weaker, assessments, report):
    if request.param == "report":
        return report
    if request.param == "comparison":
        return comparison_html([prediction, weaker], made_on=DAY)
    return report_html(request.getfixturevalue(request.param), assessments, made_on=DAY)


def test_a_page_loads_nothing_and_runs_nothing(page):
    found = Page(page)
    assert found.open == []
    assert all(v.startswith("#") or v == "data:," for v in found.loads)
    assert not any(tag in ("script", "iframe", "object", "embed", "img") for tag, _ in found.tags)
    assert not any(name.startswith("on") for _, attrs in found.tags for name in attrs)
    assert "@import" not in page
    assert "url(" not in page


def test_ids_are_unique_and_links_arrive(page):
    found = Page(page)
    assert len(found.ids) == len(set(found.ids))
    assert {v[1:] for v in found.loads if v.startswith("#")} <= set(found.ids)


def test_every_picture_is_well_formed_and_titled(page):
    drawn = pictures(page)
    assert len(drawn) >= 10
    for picture in drawn:
        assert ElementTree.fromstring(picture).find("title").text


def test_hostile_names_stay_text(hostile, assessments, weaker):
    for html in (
        report_html(hostile, assessments, compared=[hostile, weaker]),
        comparison_html([hostile, weaker]),
    ):
        assert "<script" not in html
        assert "<img" not in html
        assert HOSTILE in words(html)


def test_what_is_missing_is_said(hollow):
    shown = words(report_html(hollow))
    assert "nan" not in shown.lower().split()
    assert "None" not in shown.split()
    assert "no viscosity model for oil-in-water" in shown
    assert "No price for glycerin" in shown
    assert "not known" in shown
    assert "names no brief" in shown


def test_the_verdict_comes_before_the_table_and_the_numbers(report, prediction):
    shown = words(report)
    places = [
        shown.index(prediction.formula.name),
        shown.index("Invented laboratory"),
        shown.index("Fails the brief"),
        shown.index("against the limit"),
        shown.index("Headline numbers"),
        shown.index("Tests to order"),
        shown.index("Light that passes the film"),
        shown.index("Ingredient list"),
        shown.index("Lamps and action spectra"),
    ]
    assert places == sorted(places)


def test_sections_are_named_after_the_work(report):
    assert [t for tag, t in Page(report).headings if tag == "h2"] == [
        "Brief", "Choice", "Law", "Protection", "Appearance", "Naturality and cost", "Formula",
        "Detail",
    ]  # fmt: skip


def test_every_verdict_stands_in_words(all_verdicts):
    found = words(report_html(all_verdicts))
    for verdict in VERDICTS:
        assert re.search(rf"\b{verdict}\b", found)
    assert "Fails 1 line: temperature; short 1 line: white cast; unknown 1 line: cost" in found


def test_market_verdicts_stand_in_words_with_source_date_and_confidence(prediction):
    requirements = tuple(
        Requirement(f"topic {v}", v, "found", "limit", "detail", "act", "2021-05-26", confidence)
        for v, confidence in (
            ("passes", "unverified"),
            ("fails", "verified"),
            ("needs a test", "verified"),
            ("unknown", "unverified"),
        )
    )
    html = report_html(
        prediction, [MarketAssessment("eu", "European Union", "cosmetic", "fails", requirements)]
    )
    shown = words(html)
    for verdict in ("passes", "fails", "needs a test", "unknown"):
        assert f"topic {verdict}" in shown
    assert shown.count("act; 2021-05-26 ; unverified") == 2
    assert shown.count("act; 2021-05-26 ; verified") == 2
    law = shown[shown.index("European Union: fails") :]
    assert law.index("topic fails") < law.index("topic unknown") < law.index("topic passes")


def test_assumed_values_look_different(prediction, report):
    assert prediction.cost.per_kg.assumed
    assert re.search(r'class="big assumed">[^<]*EUR/kg', report)
    assert '<span class="tag">assumed</span>' in report


def test_a_measured_value_does_not_look_assumed(prediction):
    sure = replace(prediction, viscosity_mPas=replace(prediction.viscosity_mPas, assumed=False))
    tile = re.search(r"viscosity, low shear</dt>.*?</div>", report_html(sure), re.S)
    assert "assumed" not in tile[0]


@pytest.mark.parametrize("caution", CAUTIONS)
def test_cautions_always_stand(hollow, caution):
    assert caution in words(report_html(hollow))


def test_limits_findings_lamps_and_versions_stand(report, prediction):
    from zincite.interfaces.documents.numbers import typeset

    shown = words(report)
    for sentence in (*prediction.warnings, *prediction.lamps):
        assert re.sub(r"\s+", " ", typeset(sentence)) in shown
    assert prediction.ingredients.text() in shown
    assert "zincite 0." in shown
    assert "2026-11-25" in shown


def test_no_path_of_the_machine_is_printed(prediction, tmp_path):
    named = replace(prediction, formula=replace(prediction.formula, path=tmp_path / "cream.toml"))
    html = report_html(named)
    assert str(tmp_path) not in html
    assert "cream.toml" in html


def test_numbers_carry_their_units(report):
    shown = words(report).replace("\u00a0", " ")
    assert re.search(r"critical wavelength \d+\.\d nm", shown)
    assert re.search(r"\d g/mL", shown)
    assert re.search(r"\d mPa s", shown)
    assert re.search(r"\d µm", shown)
    assert re.search(r"\d EUR/kg", shown)


def test_the_alternative_says_why_it_was_not_chosen(report, weaker):
    shown = words(report)
    assert "why not this one" in shown
    spf = next(line for line in weaker.brief if line.topic == "SPF")
    assert f"{spf.verdict}: SPF is" in shown or "less sure: SPF" in shown
    assert "cheaper by" in shown


def test_without_alternatives_nothing_is_compared(prediction):
    html = report_html(prediction)
    assert 'id="choice"' not in html
    assert 'id="law"' not in html


def test_two_reports_of_one_prediction_are_equal(prediction, assessments):
    assert report_html(prediction, assessments, made_on=DAY) == report_html(
        prediction, assessments, made_on=DAY
    )


def test_a_comparison_shows_differing_shares_and_overlaid_spectra(prediction, weaker):
    html = comparison_html([prediction, weaker])
    shown = words(html).replace("\u00a0", " ")
    row = re.search(r"zinc-oxide-120-stearate ([\d. ]+)−8 percentage points", shown)
    assert row[1].split() == ["16.00", "8.00"]
    assert "T-1 and T-2 side by side" in shown
    assert shown.count("Invented laboratory") == 1
    overlaid = next(p for p in pictures(html) if "Transmittance of the films" in p)
    codes = [e.text for e in ElementTree.fromstring(overlaid).iter("text")]
    assert {"T-1", "T-2"} <= set(codes)


def test_a_material_that_only_one_formula_has_is_none_in_the_other(prediction):
    *first, last = prediction.formula.phases
    phases = (*first, replace(last, name="W"))
    other = replace(prediction, formula=replace(prediction.formula, code="T-3", phases=phases))
    assert "none" in words(comparison_html([prediction, other])).split()


def test_one_formula_is_no_comparison(prediction):
    with pytest.raises(InputError, match=r"got 1 prediction.*at least 2"):
        comparison_html([prediction])


def test_a_dark_tint_is_not_called_a_white_cast(prediction):
    cast = {
        name: replace(c, delta_l=Estimate(-8.0, -12.0, -5.0))
        for name, c in prediction.white_cast.items()
    }
    shown = words(report_html(replace(prediction, white_cast=cast, brief=())))
    assert "darkening dE00, worst" in shown
    assert "white cast dE00, worst" not in shown


def test_the_skin_beside_the_verdict_is_one_the_brief_asks_for(prediction):
    asked = prediction.formula.brief.skin_classes
    shows = {name: cast.delta_e00.median for name, cast in prediction.white_cast.items()}
    most = max(asked, key=lambda name: shows[name])
    pale = {
        name: replace(cast, delta_e00=replace(cast.delta_e00, median=99.0))
        if name == "very light"
        else cast
        for name, cast in prediction.white_cast.items()
    }
    assert "very light" not in asked
    assert f"on {most} skin" in key_numbers(replace(prediction, white_cast=pale))
    nobody = replace(prediction, white_cast=pale, formula=replace(prediction.formula, brief=None))
    assert "on very light skin" in key_numbers(nobody)
