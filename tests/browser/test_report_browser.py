"""The report in a real browser: quiet, alone, whole on a phone, and readable in order."""

from itertools import pairwise

import pytest
from looking import CUT_TEXT, HEADING_LEVELS, OVERFLOWING, SMALL_TEXT, opened

from zincite.evaluation.predicting import predict_formula
from zincite.evaluation.regulation import assess_market
from zincite.formula.reading import parse_formula
from zincite.interfaces.documents.report import comparison_html, report_html

FORMULA = """
[formula]
code = "B-1"
name = "Cream for the browser"
emulsion = "water-in-oil"
[brief]
label_spf = 30
white_cast_max_delta_e00 = 6
cost_max_per_kg = 9
viscosity_max_mPas = 30000
non_nano = true
[[phase]]
name = "A"
kind = "oil"
ingredient = [
  { material = "caprylic-capric-triglyceride", percent = 20.0 },
  { material = "polyglyceryl-4-diisostearate-polyhydroxystearate-sebacate", percent = 4.0 },
]
[[phase]]
name = "B"
kind = "pigment"
ingredient = [
  { material = "zinc-oxide-120-stearate", percent = 16.0 },
  { material = "titanium-dioxide-35-alumina-stearate", percent = 4.0 },
]
[[phase]]
name = "C"
kind = "water"
ingredient = [{ material = "water", percent = "rest" }]
"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    prediction = predict_formula(parse_formula(FORMULA))
    other = predict_formula(parse_formula(FORMULA.replace("B-1", "B-2").replace("16.0", "12.0")))
    assessment = assess_market(prediction.formula, "eu", spf=prediction.spf)
    folder = tmp_path_factory.mktemp("documents")
    made = {
        "report": report_html(prediction, [assessment], compared=[other]),
        "comparison": comparison_html([prediction, other]),
    }
    for name, html in made.items():
        (folder / f"{name}.html").write_text(html, "utf-8")
    return folder


@pytest.fixture(params=["report", "comparison"])
def name(request):
    return request.param


@pytest.mark.parametrize("width", [390, 1280])
def test_it_opens_quietly_and_asks_for_nothing_else(browser, pages, name, width):
    page = opened(browser, pages, name, width)
    assert page.said == []
    assert {url.split(":")[0] for url in page.asked} <= {"file", "data"}
    assert [url for url in page.asked if url.startswith("file")] == [page.url]
    page.close()


@pytest.mark.parametrize("width", [390, 820, 1280])
def test_nothing_is_cut_off_sideways(browser, pages, name, width):
    page = opened(browser, pages, name, width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(OVERFLOWING) == []
    assert page.evaluate(CUT_TEXT) == []
    page.close()


def test_pictures_can_be_read_on_a_phone(browser, pages, name):
    page = opened(browser, pages, name, 390)
    # 8 CSS px is our own floor (common practice, no source)
    assert min(page.evaluate(SMALL_TEXT)) >= 8
    page.close()


def test_the_decision_is_on_the_first_screen(browser, pages):
    page = opened(browser, pages, "report", 390)
    box = page.locator(".verdict").bounding_box()
    assert box["y"] + 40 < 844
    assert page.locator(".verdict").get_by_text("Fails the brief").is_visible()
    page.close()


def test_headings_go_down_one_step_at_a_time(browser, pages, name):
    page = opened(browser, pages, name, 1280)
    levels = page.evaluate(HEADING_LEVELS)
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    page.close()


def test_pictures_have_names_for_those_who_cannot_see_them(browser, pages):
    page = opened(browser, pages, "report", 1280)
    for words in ("Transmittance of the film", "Critical wavelength", "dark skin, bare"):
        assert page.get_by_role("img", name=words).count() >= 1
    page.close()


def test_it_prints_on_a4_with_what_is_folded_on_screen(browser, pages):
    page = opened(browser, pages, "report", 1280)
    folded = page.locator("details").first.locator("table")
    assert not folded.is_visible()
    page.emulate_media(media="print")
    assert folded.is_visible()
    assert page.pdf(prefer_css_page_size=True).startswith(b"%PDF")
    page.close()
