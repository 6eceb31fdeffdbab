"""Pages of evaluated tests in a real browser: quiet, alone, whole on a phone."""

from itertools import pairwise
from pathlib import Path

import pytest
from looking import CUT_TEXT, HEADING_LEVELS, OVERFLOWING, SMALL_TEXT, opened

import zincite.data
from zincite.interfaces.documents.assay.page import assay_html
from zincite.workbench.assay import open_expected
from zincite.workbench.assay.appearance import colour
from zincite.workbench.assay.panels import spf
from zincite.workbench.assay.plates import uva
from zincite.workbench.assay.powders import screening, size

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    expected = open_expected(FLUID)
    before, after = EXAMPLES / "uva_before.csv", EXAMPLES / "uva_after.csv"
    made = {
        "uva": uva(before, label_spf=30, after=after, expected=expected),
        "spf": spf(EXAMPLES / "spf.csv", expected=expected),
        "colour": colour(EXAMPLES / "colour.csv", expected=expected),
        "screening": screening(EXAMPLES / "screening.csv"),
        "size": size(EXAMPLES / "sizes.csv"),
    }
    folder = tmp_path_factory.mktemp("assays")
    for name, report in made.items():
        (folder / f"{name}.html").write_text(assay_html(report), "utf-8")
    return folder


@pytest.fixture(params=["uva", "spf", "colour", "screening", "size"])
def name(request):
    return request.param


@pytest.mark.parametrize("width", [390, 1280])
def test_it_opens_quietly_asks_for_nothing_and_is_not_cut_off(browser, pages, name, width):
    page = opened(browser, pages, name, width)
    assert page.said == []
    assert [url for url in page.asked if not url.startswith("data:")] == [page.url]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(OVERFLOWING) == []
    assert page.evaluate(CUT_TEXT) == []
    page.close()


def test_pictures_can_be_read_on_a_phone(browser, pages, name):
    page = opened(browser, pages, name, 390)
    # 8 CSS px is our own floor (common practice, no source)
    assert min(page.evaluate(SMALL_TEXT)) >= 8
    page.close()


def test_the_decision_is_on_the_first_screen(browser, pages, name):
    page = opened(browser, pages, name, 390)
    box = page.locator(".verdict").bounding_box()
    assert box["y"] + box["height"] < 844
    page.close()


def test_headings_go_down_one_step_at_a_time(browser, pages, name):
    page = opened(browser, pages, name, 1280)
    levels = page.evaluate(HEADING_LEVELS)
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    page.close()


def test_pictures_have_names_for_those_who_cannot_see_them(browser, pages):
    page = opened(browser, pages, "uva", 1280)
    for words in ("Absorbance of the plates", "UVA-PF of each plate"):
        assert page.get_by_role("img", name=words).count() >= 1
    page.close()
