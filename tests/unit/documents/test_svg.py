"""The drawing vocabulary: escaping, places, text that fits, colours that can be read."""

from xml.etree import ElementTree

import pytest
from report_formulas import HOSTILE

from zincite.interfaces.documents import svg
from zincite.interfaces.documents.marks import verdict_icon, verdict_mark


def _luminance(colour):
    """Relative luminance by WCAG 2.1 (W3C Recommendation 2018, "relative luminance")."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(a, b):
    high, low = sorted((_luminance(a), _luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ground", [svg.PAPER, svg.TINT])
@pytest.mark.parametrize("ink", [svg.INK, svg.MUTED, svg.OCHRE])
def test_text_can_be_read(ink, ground):
    # WCAG 2.1 success criterion 1.4.3: at least 4.5 to 1 for text.
    assert _contrast(ink, ground) >= 4.5


def test_text_and_attributes_are_escaped():
    markup = svg.text(0, 0, HOSTILE) + svg.rect(0, 0, 1, 1, fill=HOSTILE)
    root = ElementTree.fromstring(f"<svg>{markup}</svg>")
    assert root[0].text == HOSTILE
    assert root[1].get("fill") == HOSTILE
    assert "<script" not in markup


def test_a_picture_has_a_title_a_description_and_ids_of_its_own():
    picture = svg.picture([], width=10, height=5, title="T & t", description="<d>", key="A key!")
    root = ElementTree.fromstring(picture)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "a-key-title a-key-desc"
    assert [child.get("id") for child in root] == ["a-key-title", "a-key-desc"]
    assert root.find("title").text == "T & t"
    assert root.get("viewBox") == "0 0 10 5"


def test_a_file_names_its_language():
    root = ElementTree.fromstring(
        svg.as_file(svg.picture([], width=1, height=1, title="t", description="d", key="k"))
    )
    assert root.tag == "{http://www.w3.org/2000/svg}svg"


def test_a_place_that_is_no_number_keeps_the_picture_whole():
    ElementTree.fromstring(svg.polyline([(float("nan"), 1.0), (2.0, float("inf"))]))
    assert "nan" not in svg.line(float("nan"), 0, 1, 1)


def test_wrapped_lines_fit_and_lose_nothing():
    words = "titanium dioxide 35 alumina-stearate coated"
    lines = svg.wrap(words, 90)
    assert all(svg.text_width(row) <= 90 or " " not in row for row in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")


def test_verdicts_differ_in_shape_not_only_in_colour():
    def shape(verdict):
        root = ElementTree.fromstring(f"<g>{verdict_mark(verdict, 8, 8)}</g>")
        return tuple(
            (e.tag, e.get("points"), e.get("stroke-dasharray"), e.text) for e in root.iter()
        )

    shapes = {shape(v) for v in ("passes", "short", "fails", "unknown", "needs a test")}
    assert len(shapes) == 5


def test_an_icon_names_its_verdict():
    assert ElementTree.fromstring(verdict_icon("fails")).find("title").text == "fails"
