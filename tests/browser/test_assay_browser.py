"""Pages of evaluated tests in a real browser: quiet, alone, whole on a phone."""

import os
import shutil
from itertools import pairwise
from pathlib import Path

import pytest

import zincite.data
from zincite.interfaces.documents.assay.page import assay_html
from zincite.workbench.assay import open_expected
from zincite.workbench.assay.appearance import colour
from zincite.workbench.assay.panels import spf
from zincite.workbench.assay.plates import uva
from zincite.workbench.assay.powders import screening, size

EXAMPLES = Path(__file__).parents[2] / "examples" / "assay"
FLUID = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"

# An element may stick out only inside a box that scrolls by itself.
_OVERFLOWING = """() => [...document.querySelectorAll('body *')].filter(e => {
  if (e.closest('.box') && !e.matches('.box')) return false;
  const r = e.getBoundingClientRect();
  return r.width > 1 && r.height > 1 && (r.right > innerWidth + 1 || r.left < -1);
}).map(e => e.tagName + '.' + e.getAttribute('class') + ': ' + e.textContent.slice(0, 60))"""

_SMALL_TEXT = """() => [...document.querySelectorAll('figure svg text')].map(e =>
  parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a)"""

_CUT_TEXT = """() => [...document.querySelectorAll('svg text')].filter(e => {
  const t = e.getBoundingClientRect(), s = e.ownerSVGElement.getBoundingClientRect();
  return t.width > 0 && (t.right > s.right + 1 || t.left < s.left - 1);
}).map(e => e.textContent)"""


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


@pytest.fixture(scope="module")
def browser():
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        if os.environ.get("CI") == "true":
            pytest.fail("playwright is not installed, but CI=true demands the browser tests")
        pytest.skip("playwright is not installed")
    path = shutil.which("chromium") or "/usr/bin/chromium"
    if not Path(path).exists():
        if os.environ.get("CI") == "true":
            pytest.fail("chromium is not installed, but CI=true demands the browser tests")
        pytest.skip("chromium is not installed")
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture(params=["uva", "spf", "colour", "screening", "size"])
def name(request):
    return request.param


def _opened(browser, pages, name, width):
    page = browser.new_page(viewport={"width": width, "height": 844})
    page.said, page.asked = [], []
    page.on("console", lambda message: page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto((pages / f"{name}.html").as_uri())
    page.wait_for_load_state("networkidle")
    return page


@pytest.mark.parametrize("width", [390, 1280])
def test_it_opens_quietly_asks_for_nothing_and_is_not_cut_off(browser, pages, name, width):
    page = _opened(browser, pages, name, width)
    assert page.said == []
    assert [url for url in page.asked if not url.startswith("data:")] == [page.url]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(_OVERFLOWING) == []
    assert page.evaluate(_CUT_TEXT) == []
    page.close()


def test_pictures_can_be_read_on_a_phone(browser, pages, name):
    page = _opened(browser, pages, name, 390)
    # 8 CSS px is our own floor (common practice, no source)
    assert min(page.evaluate(_SMALL_TEXT)) >= 8
    page.close()


def test_the_decision_is_on_the_first_screen(browser, pages, name):
    page = _opened(browser, pages, name, 390)
    box = page.locator(".verdict").bounding_box()
    assert box["y"] + box["height"] < 844
    page.close()


def test_headings_go_down_one_step_at_a_time(browser, pages, name):
    page = _opened(browser, pages, name, 1280)
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map(e => +e.tagName[1])")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))
    page.close()


def test_pictures_have_names_for_those_who_cannot_see_them(browser, pages):
    page = _opened(browser, pages, "uva", 1280)
    for words in ("Absorbance of the plates", "UVA-PF of each plate"):
        assert page.get_by_role("img", name=words).count() >= 1
    page.close()
