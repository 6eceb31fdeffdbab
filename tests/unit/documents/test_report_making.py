"""The making part of the report: every answer with its decision, pictures that load nothing."""

import re

import pytest

from zincite.formula.reading import load_formula, parse_formula
from zincite.interfaces.documents.report import report_html
from zincite.workbench.formulas import predict
from zincite.workbench.making.overview import overview

ANHYDROUS = """
[formula]
code = "B-1"
emulsion = "anhydrous"
[[phase]]
name = "A"
kind = "oil"
  [[phase.ingredient]]
  material = "squalane"
  percent = 100
"""


@pytest.fixture(scope="module")
def page():
    from importlib.resources import files

    formula = load_formula(str(files("zincite.data") / "demo" / "fluid.toml"))
    found = overview(formula)
    return found, report_html(predict(formula), making=found)


def test_every_question_is_answered_with_its_decision(page):
    found, html = page
    assert [r.kind for r in found.reports] == [
        "bench", "deagglomeration", "ions", "emulsion", "feel", "process",
    ]  # fmt: skip
    assert found.unanswered == ()
    for report in found.reports:
        part = html.split(f'id="making-{report.kind}"')[1].split('class="part"')[0]
        assert "<strong>" in part
        assert "<svg" in part
        assert "assumed" in part


def test_ids_of_pictures_are_written_once(page):
    ids = re.findall(r'\bid="([^"]+)"', page[1])
    assert len(ids) == len(set(ids))


def test_units_are_typeset(page):
    making = page[1].split('<section id="making">')[1].split("</section>")[0]
    words = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", making, flags=re.S)
    assert not re.search(r"\d um\b|\bm2/", words)


def test_what_cannot_be_asked_is_named_with_its_reason():
    formula = parse_formula(ANHYDROUS)
    found = overview(formula)
    kinds = {kind for kind, _ in found.unanswered}
    assert "deagglomeration" in kinds
    html = report_html(predict(formula), making=found)
    assert "Not answered: " in html
    for kind, why in found.unanswered:
        assert kind in html
        assert len(why) > 20
