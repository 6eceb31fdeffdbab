"""Weights round to the balance and keep the sum.

The oracle is exact arithmetic: decimals for sums, fractions for shares. Hamilton's method of the
largest remainder is from memory (handbooks of apportionment).
"""

from __future__ import annotations

import math
import sys
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zincite.errors import OutOfRangeError
from zincite.evaluation.making.batch.balances import balances, choose_balances, one_balance
from zincite.evaluation.making.batch.weighing import batch_g_of, on_balance, round_weights
from zincite.evaluation.making.batch.weighing_list import weighing_list
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library

sys.path.insert(0, str(Path(__file__).parents[2] / "properties"))
from strategies import shares_to_100

PLAIN = ("water", "glycerin", "squalane", "tocopherol", "zinc-oxide-120-stearate")
STEPS = st.sampled_from([Decimal(t) for t in (
    "0.001", "0.002", "0.005", "0.01", "0.1", "0.5", "1", "2", "10", "20", "100",
)])  # fmt: skip
BATCHES = st.one_of(
    st.integers(100, 1_000_000).map(Decimal),
    st.integers(100_000, 1_000_000_000).map(lambda mg: Decimal(mg) / 1000),
    st.integers(10**8, 10**12).map(lambda ug: Decimal(ug) / 10**6),
)
"""0.1 to 1000 kg in g, whole or to the milligram or microgram."""
SHARES = st.lists(st.integers(1, 10**6), min_size=1, max_size=40)


def exact(shares: list[int], batch: Decimal) -> list[Fraction]:
    return [Fraction(share, sum(shares)) * Fraction(batch) for share in shares]


def formula_of(shares: list[float], rest: int | None = None) -> Formula:
    ingredients = tuple(
        Ingredient(PLAIN[i % len(PLAIN)], share, i == rest) for i, share in enumerate(shares)
    )
    cards = {name: library()[name] for name in PLAIN}
    return Formula("T", "T", "water-in-oil", (Phase("A", "oil", ingredients),), cards)


@settings(max_examples=400)
@given(shares=SHARES, batch=BATCHES, step=STEPS, data=st.data())
def test_one_balance_keeps_the_sum_and_each_within_one_step(
    shares: list[int], batch: Decimal, step: Decimal, data: st.DataObject
) -> None:
    wanted = exact(shares, batch)
    last = data.draw(st.integers(0, len(shares) - 1))
    found = round_weights(wanted, [step] * len(shares), batch_g=batch, last=last)
    assert sum(found) == batch
    for i, (mass, want) in enumerate(zip(found, wanted, strict=True)):
        assert abs(Fraction(mass) - want) < Fraction(step)
        assert mass >= 0
        assert mass % step == 0 or (i == last and batch % step != 0)


@settings(max_examples=200)
@given(data=st.data(), batch=BATCHES)
def test_a_balance_for_each_weight_keeps_the_sum(data: st.DataObject, batch: Decimal) -> None:
    shares = data.draw(st.integers(1, 30).flatmap(shares_to_100))
    formula = formula_of(shares)
    found = weighing_list(formula, batch / 1000)
    assert sum(item.mass_g for item in found.items) == batch
    assert math.fsum(float(item.mass_g) for item in found.items) == pytest.approx(
        float(batch), abs=1e-9, rel=1e-15
    )
    assert sum(float(i.mass_g) for i in found.items) == pytest.approx(float(batch), abs=1e-6)
    total = sum(Fraction(repr(share)) for share in shares)
    for item, share in zip(found.items, shares, strict=True):
        want = Fraction(repr(share)) / total * Fraction(batch)
        assert abs(Fraction(item.mass_g) - want) < Fraction(item.balance.resolution_g)
        assert item.balance.holds(Fraction(item.mass_g))
        on_step = item.mass_g % item.balance.resolution_g == 0
        assert on_step or item is found.remainder
        assert item.reads_g % item.balance.resolution_g == 0
        assert item.low_g <= item.mass_g <= item.high_g


@given(shares=SHARES)
def test_what_divides_evenly_is_not_touched(shares: list[int]) -> None:
    whole = Decimal(sum(shares))
    found = round_weights(
        exact(shares, whole), [Decimal(1)] * len(shares), batch_g=whole, last=len(shares) - 1
    )
    assert [int(mass) for mass in found] == shares


def test_largest_remainder_gives_the_odd_step_to_the_largest_remainder() -> None:
    # Hamilton's method by hand: 10 steps, quotas 4.6, 3.3, 2.1 -> 5, 3, 2 (one left over, .6)
    wanted = [Fraction(46, 10), Fraction(33, 10), Fraction(21, 10)]
    found = round_weights([*wanted, Fraction(0)], [Decimal(1)] * 4, batch_g=Decimal(10), last=3)
    assert [int(mass) for mass in found] == [5, 3, 2, 0]


def test_thirds() -> None:
    # 100 g in three equal parts on a 1 g balance: 33 + 33 + 34
    found = round_weights([Fraction(100, 3)] * 3, [Decimal(1)] * 3, batch_g=Decimal(100), last=0)
    assert sorted(found) == [33, 33, 34]


def test_the_rest_takes_the_remainder_where_it_is_on_the_coarsest_balance() -> None:
    shares = [60.0, 30.0, 9.9, 0.1]
    assert weighing_list(formula_of(shares), 7).remainder.number == 1
    assert weighing_list(formula_of(shares, rest=1), 7).remainder.number == 2
    # 7 g of the rest sit on a finer balance and leave the remainder to the heaviest
    assert weighing_list(formula_of(shares, rest=3), 7).remainder.number == 1


def test_a_batch_that_no_step_divides_says_what_the_balance_shows() -> None:
    found = weighing_list(formula_of([60.0, 30.0, 10.0]), "33.333", balance_g="10")
    assert found.batch_g == 33333
    last = found.remainder
    assert last.mass_g % 10 != 0
    assert last.reads_g == on_balance(last.mass_g, Decimal(10))
    assert any("of which the balance shows" in said for said in found.warnings)


def test_the_finest_balance_that_holds_the_heaviest_weighs_most() -> None:
    fine = [b.resolution_g for b in balances()]
    assert fine == sorted(fine)
    exact_g = [Fraction(30_000), Fraction(150), Fraction(1)]
    chosen = choose_balances(exact_g, [Fraction(1)] * 3)
    # +-1 % of 150 g and 1 g: half of that is 0.75 g and 0.005 g
    assert [str(b.resolution_g) for b in chosen] == ["1", "0.1", "0.001"]


def test_a_weight_too_light_for_the_fixed_balance_is_named() -> None:
    found = weighing_list(formula_of([99.0, 1.0]), 1, balance_g=1)
    assert [said for said in found.warnings if "glycerin" in said]
    with pytest.raises(OutOfRangeError, match="glycerin rounds to nothing on a balance of 100 g"):
        weighing_list(formula_of([99.0, 1.0]), 1, balance_g=100)


def test_shares_that_do_not_quite_sum_are_scaled_and_said() -> None:
    found = weighing_list(formula_of([60.0, 40.005]), 1)
    assert sum(item.mass_g for item in found.items) == 1000
    assert found.warnings == ("Percentages sum to 100.005 %: the weights are their shares of it.",)


def test_nothing_is_weighed_of_an_ingredient_at_zero() -> None:
    found = weighing_list(formula_of([60.0, 0.0, 40.0]), 1)
    assert [item.material for item in found.items] == ["water", "squalane"]


def test_uv_filters_get_the_tighter_tolerance_and_powders_the_dust_mark() -> None:
    found = weighing_list(formula_of([40.0, 10.0, 10.0, 10.0, 30.0]), 1)
    powder = found.items[4]
    assert (powder.is_uv_filter, powder.is_dusty, powder.tolerance_percent) == (True, True, 0.5)
    assert (powder.low_g, powder.high_g) == (Decimal("298.50"), Decimal("301.50"))
    water = found.items[0]
    assert (water.is_uv_filter, water.is_dusty, water.tolerance_percent) == (False, False, 1.0)
    assert (water.low_g, water.high_g) == (396, 404)


def test_a_dispersion_is_a_filter_without_dust() -> None:
    name = "zinc-oxide-120-in-caprylic-capric-triglyceride-50"
    card = library()[name]
    parts = {part.material: library()[part.material] for part in card.composition}
    phase = Phase("A", "oil", (Ingredient(name, 40.0), Ingredient("squalane", 60.0)))
    cards = {name: card, "squalane": library()["squalane"], **parts}
    item = weighing_list(Formula("T", "T", "anhydrous", (phase,), cards), 1).items[0]
    assert item.is_uv_filter
    assert not item.is_dusty


@pytest.mark.parametrize(
    ("given", "grams"), [("50", 50000), (33.333, 33333), ("0.337", 337), (0.1, 100), ("1e3", 10**6)]
)
def test_batch_sizes_are_exact(given: str | float, grams: int) -> None:
    assert batch_g_of(given) == grams


@pytest.mark.parametrize("given", ["0.0999", "1000.001", "-5", "nan", "inf", "much", "", "33,3"])
def test_other_batch_sizes_are_refused(given: str) -> None:
    with pytest.raises(OutOfRangeError, match=r"expected a number from 0\.1 to 1000 kg"):
        batch_g_of(given)


def test_a_decimal_comma_is_told_how_to_write() -> None:
    with pytest.raises(OutOfRangeError, match=r"write 33\.3"):
        batch_g_of("33,3")


@pytest.mark.parametrize("given", ["0.01", 0.5, "2", "1e2", "0.0001", "1000"])
def test_steps_that_balances_have(given: str | float) -> None:
    assert one_balance(given).resolution_g == Decimal(str(given))


@pytest.mark.parametrize("given", ["3", "0", "-1", "nan", "coarse", "0.00001", "2000", "0.011"])
def test_other_steps_are_refused(given: str) -> None:
    with pytest.raises(OutOfRangeError, match="expected the step of a balance in g"):
        one_balance(given)


@pytest.mark.parametrize("percent", [0.0, -1.0, 11.0, math.nan, math.inf])
def test_tolerances_out_of_range_are_refused(percent: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"expected 0\.01 to 10 %"):
        weighing_list(formula_of([100.0]), 1, tolerance_percent=percent)
