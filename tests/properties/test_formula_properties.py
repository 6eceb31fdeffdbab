"""What must hold for every formula: mass is kept, order does not matter, files read back."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import formulas, grades

from zincite.errors import ZinciteError
from zincite.formula.checks import check_formula
from zincite.formula.documents import parse_document
from zincite.formula.formula import Formula, Phase
from zincite.formula.ingredient_list import inci_list, nano_decision
from zincite.formula.material import Grade
from zincite.formula.reading import parse_formula
from zincite.formula.substances import Substance, leaves, resolve
from zincite.formula.writing import formula_text

relaxed = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def by_name(parts: tuple[Substance, ...]) -> dict[tuple[str, str, str], float]:
    return {(s.inci, s.material, s.role): s.percent for s in parts}


@relaxed
@given(formulas())
def test_resolution_keeps_mass(formula: Formula) -> None:
    total = math.fsum(i.percent for i in formula.ingredients)
    assert math.fsum(s.percent for s in resolve(formula)) == pytest.approx(total, abs=1e-9)
    assert math.fsum(p for _, p in leaves(formula)) == pytest.approx(total, abs=1e-9)
    listed = math.fsum(e.percent for e in inci_list(formula).entries)
    assert listed == pytest.approx(total, abs=1e-9)


@relaxed
@given(formulas())
def test_leaves_are_leaves_and_stand_once(formula: Formula) -> None:
    found = [card for card, _ in leaves(formula)]
    assert not any(card.composition for card in found)
    assert len({card.id for card in found}) == len(found)


@relaxed
@given(formulas(), st.randoms(use_true_random=False))
def test_order_of_ingredients_does_not_matter(formula: Formula, random) -> None:  # type: ignore[no-untyped-def]
    shuffled = list(formula.ingredients)
    random.shuffle(shuffled)
    other = replace(formula, phases=(Phase("all", "oil", tuple(shuffled)),))
    assert by_name(resolve(other)) == pytest.approx(by_name(resolve(formula)), abs=1e-9)
    named = {e.inci: (e.nano, e.colorant) for e in inci_list(formula).entries}
    assert {e.inci: (e.nano, e.colorant) for e in inci_list(other).entries} == named


@relaxed
@given(formulas())
def test_natural_origin_indexes_stay_within_0_and_1(formula: Formula) -> None:
    known = [s.natural_origin_index for s in resolve(formula) if s.natural_origin_index]
    assert all(0 <= index.value <= 1 for index in known)


@relaxed
@given(formulas())
def test_ingredient_list_is_in_legal_order(formula: Formula) -> None:
    entries = inci_list(formula).entries
    assert [e.colorant for e in entries] == sorted(e.colorant for e in entries)
    for colorant in (False, True):
        shares = [e.percent for e in entries if e.colorant is colorant]
        assert shares == sorted(shares, reverse=True)
    assert len({e.inci for e in entries}) == len(entries)


@relaxed
@given(formulas())
def test_a_written_formula_reads_back_unchanged(formula: Formula) -> None:
    again = parse_formula(formula_text(formula))
    assert replace(again, replaced_cards=()) == formula


@relaxed
@given(formulas())
def test_checks_speak_in_sentences(formula: Formula) -> None:
    for finding in check_formula(formula):
        assert finding.level in ("error", "warning", "note")
        assert finding.where
        assert "\n" not in finding.message


@relaxed
@given(grades())
def test_nano_range_holds_the_best_value(grade: Grade) -> None:
    found = nano_decision(grade)
    assert 0 <= found.low <= found.number_fraction_below_100nm <= found.high <= 1
    assert found.verdict in ("nano", "not nano", "border")
    if found.verdict != "border":
        assert found.is_nano is (found.verdict == "nano")


@relaxed
@given(st.floats(20, 600), st.floats(1.05, 2.5), st.floats(1.01, 2))
def test_coarser_grades_are_less_nano(median_nm: float, gsd: float, factor: float) -> None:
    fine = nano_decision(Grade("zinc-oxide", median_nm, gsd))
    coarse = nano_decision(Grade("zinc-oxide", median_nm * factor, gsd))
    assert coarse.number_fraction_below_100nm <= fine.number_fraction_below_100nm + 1e-12


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(ZinciteError) as caught:
        parse_formula(text, name="x.toml")
    assert str(caught.value).count("\n") == 0


_values = st.recursive(
    st.one_of(
        st.booleans(), st.integers(), st.floats(), st.text("abc,1. ", max_size=6), st.none()
    ).map(lambda v: "rest" if v is None else v),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=5,
)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return f"[{', '.join(_toml(item) for item in value)}]"
    return repr(value)


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(
        (
            "percent",
            "material",
            "name",
            "kind",
            "temperature_C",
            "emulsion",
            "core",
            "density_g_ml",
            "functions",
            "composition",
            "grade",
            "volatile",
            "primary_gsd",
            "label_spf",
            "water",
        )
    ),
    _values,
)
def test_any_value_is_taken_or_refused_in_one_sentence(key: str, value: object) -> None:
    """No value of any kind at any key may end in anything but a formula or our own error."""
    lines = {
        "formula": ['emulsion = "anhydrous"'],
        "brief": ["label_spf = 30"],
        "prices": ["water = 1"],
        "phase": ['name = "A"', 'kind = "oil"', "temperature_C = 20"],
        "phase.ingredient": ['material = "own"', "percent = 100"],
        "material": ['id = "own"', 'inci = "Own"', "density_g_ml = 1", 'functions = ["x"]'],
        "material.grade": ['core = "zinc-oxide"', "primary_median_nm = 100", "primary_gsd = 1.5"],
    }
    text, changed = "", False
    for header, entries in lines.items():
        double = header in ("phase", "phase.ingredient", "material")
        text += f"[[{header}]]\n" if double else f"[{header}]\n"
        for entry in entries:
            hit = entry.startswith(f"{key} ")
            changed = changed or hit
            text += f"{key} = {_toml(value)}\n" if hit else f"{entry}\n"
        if header == "material" and not changed and key in ("composition", "volatile"):
            text += f"{key} = {_toml(value)}\n"
    parse_document(text, "x.toml")  # the text itself is sound TOML
    found = _outcome(text)
    if isinstance(found, ZinciteError):
        assert str(found).startswith("x.toml")
        assert "\n" not in str(found)
    else:
        assert math.fsum(s.percent for s in resolve(found)) == pytest.approx(100, abs=0.02)


def _outcome(text: str) -> Formula | ZinciteError:
    try:
        return parse_formula(text, name="x.toml")
    except ZinciteError as error:
        return error
