"""The market rules as data: every row can be traced, and none pretends to be surer than it is."""

import itertools
import math

import pytest

from zincite.data.provenance import sources
from zincite.data.regulation_tables import (
    filter_rules,
    label_rows,
    market,
    market_notes,
    markets,
    ordered_tests,
)
from zincite.data.tables import read_rows
from zincite.errors import InputError

TABLES = ("ceilings", "claims", "filters", "label_classes", "markets", "notes", "tests", "uses")
MARKETS = [m.key for m in markets()]


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_source_section_date_and_confidence(table):
    rows = read_rows(f"regulation/{table}.csv")
    assert rows
    for row in rows:
        assert row["source"] in sources(), row
        assert row["section"], row
        assert row["date"][:4].isdigit() or row["date"].startswith("gathered 20"), row
        assert row["confidence"] in ("verified", "unverified"), row


@pytest.mark.parametrize("table", TABLES)
def test_what_comes_from_memory_is_unverified(table):
    for row in read_rows(f"regulation/{table}.csv"):
        if sources()[row["source"]].status == "from memory":
            # the instrument was not read, so only side facts read elsewhere may be verified
            assert row["confidence"] == "unverified" or table in ("markets", "uses"), row


def test_rows_name_only_known_markets():
    for table in TABLES:
        for row in read_rows(f"regulation/{table}.csv"):
            assert row["market"] in MARKETS or (table == "notes" and row["market"] == "all")


def test_all_markets_of_the_trade_are_there():
    wanted = "eu uk usa canada australia new-zealand japan china south-korea asean mercosur"
    assert set(wanted.split()) <= set(MARKETS)


@pytest.mark.parametrize("key", MARKETS)
def test_each_market_has_both_filters_and_tests_to_order(key):
    assert {r.filter for r in filter_rules(key)} == {"zinc-oxide", "titanium-dioxide"}
    assert all(0 < r.max_percent <= 100 for r in filter_rules(key))
    assert any(t.quantity.startswith("SPF") for t in ordered_tests(key))
    assert market_notes(key)


@pytest.mark.parametrize("key", MARKETS)
def test_label_classes_rise_without_gap_or_overlap(key):
    for scheme in ("SPF", "PA"):
        rows = label_rows(key, scheme)
        for lower, upper in itertools.pairwise(rows):
            assert lower.tested_below == upper.tested_min
        assert not rows or math.isinf(rows[-1].tested_below)


def test_market_is_found_by_usual_names_in_any_case():
    assert market("New Zealand").key == "new-zealand"
    assert market("BRAZIL").key == "mercosur"
    assert market("gb").key == "uk"


def test_unknown_market_is_one_clear_sentence():
    with pytest.raises(InputError, match=r"market is 'mars', expected one of eu, uk"):
        market("mars")
