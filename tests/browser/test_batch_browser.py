"""The batch record in a browser: nothing sticks out, nothing is loaded, every page is A4."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from click.testing import CliRunner
from looking import HEADING_LEVELS, OVERFLOWING, opened

import zincite.data
from zincite.interfaces.cli.app import application

WIDTHS = (1280, 390)


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("batch")
    fluid = f"{next(iter(zincite.data.__path__))}/demo/fluid.toml"
    file = str(folder / "record.html")
    made = CliRunner().invoke(application, ["batch", fluid, "--kg", "333.333", "--html", file])
    assert made.exit_code == 0, made.stderr
    return folder


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_sticks_out_and_nothing_is_loaded(browser, pages, width):
    page = opened(browser, pages, "record", width)
    assert page.evaluate(OVERFLOWING) == []
    assert page.said == []
    assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []


def test_headings_do_not_skip(browser, pages):
    levels = opened(browser, pages, "record", 1280).evaluate(HEADING_LEVELS)
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_it_prints_on_a4_with_the_weighing_list_across(browser, pages):
    printed = opened(browser, pages, "record", 1280).pdf(prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", printed)
    sizes = {(round(float(w)), round(float(h))) for w, h in boxes}
    # A4 is 210 mm x 297 mm, 595 x 842 points
    assert sizes == {(595, 842), (842, 595)}
