"""What the notebook answers, on both databases; expected values follow from the laboratory."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator

import pytest
from scipy.stats import norm
from sqlalchemy.engine import Connection

from tests.notebook.laboratory import DISPERSION, GRADE, fill_laboratory
from zincite.errors import InputError, NotebookError
from zincite.notebook.questions.accuracy import accuracy
from zincite.notebook.questions.best import best
from zincite.notebook.questions.changes import changes
from zincite.notebook.questions.touched import touched
from zincite.notebook.questions.tried import tried
from zincite.notebook.questions.where_used import where_lot_used, where_material_used
from zincite.notebook.store import Notebook


@pytest.fixture
def asked(notebook: Notebook) -> Iterator[Connection]:
    fill_laboratory(notebook)
    with notebook.read() as connection:
        yield connection


def test_changes_of_versions_name_shares_grade_process_and_figures(asked: Connection) -> None:
    found = changes(asked, "K-07@1", "K-07@2")
    assert [(s.material, s.first, s.second, s.how) for s in found.shares] == [
        (GRADE, 18.0, 20.0, "more"),
        ("water", 52.0, 50.0, "less"),
    ]
    assert [(c.where, c.what, c.first, c.second) for c in found.cards] == [
        (GRADE, "primary_median_nm", 100.0, 70.0)
    ]
    assert [(c.where, c.what, c.first, c.second) for c in found.process] == [
        ("step 1, bead-mill", "device", "dissolver", "bead-mill"),
        ("step 1, bead-mill", "minutes", 20.0, 30.0),
    ]
    (measured,) = [m for m in found.measured if m.quantity == "spf"]
    # the latest of version 1 is T-002: 24, 21 to 27; of version 2 T-003: 45, 42 to 48
    assert (measured.difference, measured.percent, measured.clear) == (21.0, 87.5, True)
    assert measured.first is not None
    assert measured.first.source == "T-002/1"
    predicted = next(p for p in found.predicted if p.quantity == "spf")
    # the latest prediction of version 2 is the second: 35, 30 to 41, against 25, 20 to 31
    assert (predicted.difference, predicted.clear) == (10.0, False)
    cost = next(p for p in found.predicted if p.quantity == "cost_per_kg")
    assert (cost.difference, cost.clear) == (0.0, None)
    assert (found.second.reason, found.lots, found.notes) == ("finer grade, milled", (), ())
    json.dumps(found.to_dict())


def test_a_grade_that_comes_or_goes_is_told_whole(asked: Connection) -> None:
    found = changes(asked, "K-07@1", "K-07@3")
    shares = [(s.material, s.how) for s in found.shares]
    assert shares == [
        (DISPERSION, "in"), ("caprylic-capric-triglyceride", "less"), ("water", "less"),
        (GRADE, "out"),
    ]  # fmt: skip
    gone = {c.what: (c.first, c.second) for c in found.cards if c.where == GRADE}
    assert gone["coating"] == ("Stearic Acid 3 %", None)
    assert gone["core"] == ("zinc-oxide", None)


def test_changes_of_trials_name_lots_and_grams(asked: Connection) -> None:
    found = changes(asked, "T-002", "T-003")
    assert (found.first.formula, found.second.formula) == ("K-07@1", "K-07@2")
    grade, water = found.lots
    assert (grade.material, grade.first, grade.second) == (GRADE, ("ZN-1", "ZN-2"), ("ZN-2",))
    assert (grade.first_g, grade.second_g) == (181.0, 90.0)
    assert grade.first_percent == pytest.approx(100 * 181 / 701.5)  # 520.5 g of water beside it
    assert (water.material, water.first, water.second_g) == ("water", (), 520.5)
    assert ("as made", "process", "as T-002", "as T-003") in [
        (c.where, c.what, c.first, c.second) for c in found.process
    ]
    only = [m for m in found.measured if m.quantity == "viscosity_mPas"]
    assert [(m.first, m.second and m.second.value) for m in only] == [(None, 4000.0)]


def test_the_same_twice_differs_in_nothing(asked: Connection) -> None:
    found = changes(asked, "K-07@2", "K-07@2")
    assert (found.shares, found.cards, found.formula, found.process, found.lots) == ((),) * 5
    assert all(m.difference == 0 for m in (*found.predicted, *found.measured))


def test_changes_of_what_is_not_there_says_so(asked: Connection) -> None:
    with pytest.raises(NotebookError, match=r"no formula and no trial is called 'K-99'.*K-07@2"):
        changes(asked, "K-07@1", "K-99")


def test_a_lot_is_followed_to_its_trials_even_when_withdrawn(asked: Connection) -> None:
    found = where_lot_used(asked, "ZN-1")
    assert found.lot.withdrawn == "recalled"
    assert found.trial_count == 2
    assert [(t.trial, t.made_on, t.formula) for t in found.trials] == [
        ("T-002", "2026-02-20", "K-07@1"),
        ("T-001", "2026-02-10", "K-07@1"),
    ]
    assert [(w.lot, w.actual_g) for t in found.trials for w in t.weights] == [
        ("ZN-1", 90.0),
        ("ZN-1", 90.0),
    ]
    assert [r.value for t in found.trials for r in t.readings] == [24.0, 22.0]
    assert len(where_lot_used(asked, "ZN-1", at_most=1).trials) == 1
    with pytest.raises(NotebookError, match="no lot"):
        where_lot_used(asked, "ZN-9")


def test_a_material_is_found_in_blends_too(asked: Connection) -> None:
    found = where_material_used(asked, GRADE)
    assert found.carriers == {GRADE: 1.0, DISPERSION: pytest.approx(0.6)}
    shown = [(f.formula, f.percent, f.as_material, f.current) for f in found.formulas]
    assert shown == [
        ("K-08@1", 18.0, (GRADE,), True),
        ("K-07@3", pytest.approx(18.0), (DISPERSION,), True),  # 30 % of a blend with 60 %
        ("K-07@2", 20.0, (GRADE,), False),
        ("K-07@1", 18.0, (GRADE,), False),
    ]
    assert [f.state.state for f in found.formulas] == ["dropped", "open", "open", "open"]
    assert found.trial_count == 4  # T-004 noted no weight of the dispersion
    with pytest.raises(NotebookError, match="no material is called 'nothing'"):
        where_material_used(asked, "nothing")
    assert where_material_used(asked, "squalane").formulas == ()


def test_many_are_found_from_the_latest_back_as_few_are(
    asked: Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    few = where_material_used(asked, "water", at_most=3)
    monkeypatch.setattr("zincite.notebook.questions.where_used._FEW", 0)
    assert where_material_used(asked, "water", at_most=3) == few
    assert [t.trial for t in few.trials] == ["T-005", "T-004", "T-003"]
    assert (few.trial_count, few.formula_count) == (5, 4)


def test_only_current_versions_are_touched_by_a_change(asked: Connection) -> None:
    found = touched(asked, coating="STEARIC")
    assert [(f.formula, f.state.state, f.trial_count) for f in found.formulas] == [
        ("K-07@3", "open", 1)
    ]
    assert found.materials == (DISPERSION, GRADE)
    both = touched(asked, material=GRADE)
    assert [(f.formula, f.state.state) for f in both.formulas] == [
        ("K-07@3", "open"),
        ("K-08@1", "dropped"),
    ]
    assert touched(asked, coating="silica", material=GRADE).formulas[0].formula == "K-08@1"
    assert touched(asked, coating="100%_").formulas == ()
    with pytest.raises(InputError, match="nothing is named"):
        touched(asked, coating=" ")


def test_what_was_tried_stands_in_order_of_time(asked: Connection) -> None:
    found = tried(asked, GRADE)
    assert [(s.noun, s.name) for s in found.steps] == [
        ("formula", "K-07@1"), ("decision", "K-07@1"), ("trial", "T-001"), ("trial", "T-002"),
        ("formula", "K-07@2"), ("trial", "T-003"), ("decision", "T-003"),
        ("formula", "K-07@3"), ("trial", "T-004"),
        ("formula", "K-08@1"), ("trial", "T-005"), ("decision", "K-08@1"),
    ]  # fmt: skip
    assert [s.percent for s in found.steps if s.name == "T-004"] == [pytest.approx(18.0)]
    # not valid (90) and withdrawn (99) results are no results
    assert [r.value for s in found.steps for r in s.readings if r.quantity == "spf"] == [
        22.0, 24.0, 45.0, 33.0, 12.0,
    ]  # fmt: skip
    with pytest.raises(NotebookError, match="no material is called"):
        tried(asked, "nothing")


def test_the_best_of_each_line_and_who_passes_all(asked: Connection) -> None:
    (found,) = best(asked)
    assert found.brief == "P/1"
    assert [(v.formula, v.passed, v.failed, v.unknown) for v in found.versions] == [
        ("K-07@3", 3, 0, 1),  # viscosity not tested
        ("K-07@2", 3, 1, 0),  # 20 % pigment against 19 %
        ("K-07@1", 2, 1, 1),
        ("K-08@1", 1, 1, 2),
    ]
    assert found.passing == ()
    first = found.lines[0]
    assert (first.topic, first.formula, first.line.margin) == ("SPF", "K-07@2", 15.0)
    assert (first.line.source, first.line.evidence) == ("T-003/1", "measured")
    assert best(asked, "P") == (found,)
    with pytest.raises(NotebookError):
        best(asked, "Q")


def test_a_version_that_meets_every_line_is_named(asked: Connection, notebook: Notebook) -> None:
    from zincite.notebook.quantities import MeasuredValue
    from zincite.notebook.results import add_result

    with notebook.write("A. Example") as writer:
        value = MeasuredValue("viscosity_mPas", 2900.0, 2700.0, 3100.0, "mPa s")
        add_result(writer, "T-004", "flow", values=[value], measured_on="2026-06-01")
    with notebook.read() as connection:
        lines = {line.topic: line for line in best(connection, "P")[0].versions[0].lines}
    assert lines["viscosity"].verdict == "short"
    with notebook.write("A. Example") as writer:
        value = MeasuredValue("viscosity_mPas", 3000.0, unit="mPa s")
        add_result(writer, "T-004", "flow", values=[value], measured_on="2026-06-02")
    with notebook.read() as connection:
        assert best(connection, "P")[0].passing == ("K-07@3",)


def test_predictions_are_held_against_what_was_measured_later(asked: Connection) -> None:
    found = accuracy(asked)
    (spf,) = found.quantities
    assert [(p.result, p.prediction, p.inside, p.ahead) for p in spf.pairs] == [
        ("T-001/1", "K-07@1/1", True, True),
        ("T-002/1", "K-07@1/1", True, True),
        ("T-003/1", "K-07@2/1", False, True),  # not the second, made three months later
        ("T-004/1", "K-07@3/1", True, False),  # made the day after the trial: counts for nothing
    ]
    assert [p.coverage for p in spf.pairs] == [1.0, 1.0, pytest.approx(2 / 3), pytest.approx(2 / 3)]
    assert (spf.count, spf.inside_count, spf.too_proud) == (3, 2, False)
    ratios = (22 / 25, 24 / 25, 45 / 32)
    assert spf.mean_ratio == pytest.approx(math.prod(ratios) ** (1 / 3))
    assert accuracy(asked, quantity="viscosity_mPas").quantities == ()
    assert accuracy(asked, at_most=1).more


def test_the_score_is_that_of_a_normal_distribution(asked: Connection) -> None:
    """CRPS of a normal in closed form: Gneiting and Raftery 2007, J. Am. Stat. Assoc. 102, eq 20.

    199 quantiles stand for the distribution, hence the tolerance.
    """
    from zincite.notebook.questions.worth import interval_scores

    sigma, mean, value = 2.0, 3.0, 5.5
    z = (value - mean) / sigma
    closed = sigma * (z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / math.sqrt(math.pi))
    half = norm.ppf(0.95) * sigma  # 90 % interval that reaches below 0: no logarithms
    row = {"low": mean - half, "median": mean, "high": mean + half, "value": value}
    assert interval_scores([row]) == [pytest.approx(closed, rel=5e-3)]


@pytest.mark.parametrize(
    ("inside", "count", "surprising"),
    [(9, 10, False), (8, 10, False), (7, 10, False), (6, 10, True), (0, 1, False), (0, 2, True),
     (850, 1000, True), (1780, 2000, False), (1770, 2000, True)],
)  # fmt: skip
def test_too_few_inside_is_a_matter_of_chance(inside: int, count: int, surprising: bool) -> None:
    """Against the binomial distribution of scipy at a promise of 90 %."""
    from scipy.stats import binom

    from zincite.notebook.questions.worth import too_few_inside

    assert bool(binom.cdf(inside, count, 0.9) < 0.05) is surprising
    assert too_few_inside(inside, count) is surprising


def test_an_empty_notebook_answers_with_nothing(notebook: Notebook) -> None:
    with notebook.read() as connection:
        assert best(connection) == ()
        assert accuracy(connection).quantities == ()
        assert touched(connection, coating="silica").formulas == ()
        assert tried(connection, "squalane").steps == ()
