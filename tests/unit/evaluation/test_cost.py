"""Cost: own prices first, exact where all are known, widened by price classes."""

import math

import pytest
from regulation_formulas import OIL, ZINC, formula

from zincite.evaluation.cost import cost
from zincite.evaluation.estimate import Estimate, Exact
from zincite.formula.material import Material
from zincite.sources import Evidence, Sourced


def price(value, low=None, high=None, evidence=Evidence.MEASURED, source="offer"):
    return Sourced(value, "EUR/kg", evidence, source, low, high)


def test_own_prices_give_an_exact_cost():
    """By hand: 20 % at 30, 30 % at 8, 50 % water at 0.01 -> 8.405 per kg."""
    own = {ZINC.id: price(30.0), OIL.id: price(8.0), "water": price(0.01)}
    found = cost(formula((ZINC, 20.0), (OIL, 30.0), prices_per_kg=own))
    assert isinstance(found.per_kg, Exact)
    assert found.per_kg.value == pytest.approx(8.405)
    assert found.missing == ()
    assert [line.material for line in found.lines] == [ZINC.id, OIL.id, "water"]
    assert found.lines[0].contribution_per_kg == pytest.approx(6.0)


def test_own_price_goes_before_the_card_and_the_card_before_the_class():
    card = Material("oil", "Oil", ("emollient",), properties={"price_per_kg": price(5.0)})
    assert cost(formula((card, 100.0))).lines[0].price_per_kg == 5.0
    own = {"oil": price(4.0)}
    assert cost(formula((card, 100.0), prices_per_kg=own)).lines[0].price_per_kg == 4.0
    bare = Material("oil", "Oil", ("emollient",))
    assert cost(formula((bare, 100.0))).lines[0].evidence == "assumed"


def test_class_prices_make_an_assumed_interval():
    found = cost(formula((ZINC, 20.0), (OIL, 30.0)))
    assert isinstance(found.per_kg, Estimate)
    assert found.per_kg.assumed
    assert found.per_kg.low < found.per_kg.median < found.per_kg.high
    assert found.known_part_per_kg == pytest.approx(found.per_kg.median)


def test_classes_are_independent_and_one_class_is_not():
    """Deviations 3 and 4: 5 in quadrature between classes, 7 within one."""
    first = price(10.0, 7.0, 13.0, Evidence.ASSUMED, "class a")
    other = price(10.0, 6.0, 14.0, Evidence.ASSUMED, "class b")
    a, b = Material("a", "A"), Material("b", "B")
    water = {"water": price(0.0)}
    apart = cost(formula((a, 50.0), (b, 50.0), prices_per_kg={"a": first, "b": other} | water))
    assert isinstance(apart.per_kg, Estimate)
    assert apart.per_kg.high - apart.per_kg.median == pytest.approx(math.hypot(1.5, 2.0))
    assert apart.per_kg.median - apart.per_kg.low == pytest.approx(math.hypot(1.5, 2.0))
    same = cost(formula((a, 50.0), (b, 50.0), prices_per_kg={"a": first, "b": first} | water))
    assert isinstance(same.per_kg, Estimate)
    assert same.per_kg.high - same.per_kg.median == pytest.approx(3.0)


def test_a_price_in_another_currency_is_missing_not_mixed():
    found = cost(formula((ZINC, 20.0), prices_per_kg={ZINC.id: price(30.0)}, currency="USD"))
    assert isinstance(found.per_kg, Exact)
    assert found.per_kg.value is None
    assert found.missing == ("water",)
    assert found.known_part_per_kg == pytest.approx(6.0)
    assert found.to_dict()["cost_per_kg"] == {"value": None, "missing": ["water"]}
