"""Reading of shipped tables."""

from __future__ import annotations

import numpy as np
import pytest

from zincite.data import tables
from zincite.errors import InputError, MissingDataError


@pytest.fixture
def shipped(monkeypatch: pytest.MonkeyPatch):
    texts: dict[str, str] = {}
    monkeypatch.setattr(tables, "read_text", lambda path: texts[path])
    tables._cells.cache_clear()
    tables._columns.cache_clear()
    yield texts
    tables._cells.cache_clear()
    tables._columns.cache_clear()


def test_comments_blanks_and_text(shipped: dict[str, str]) -> None:
    shipped["a.csv"] = '# source: x\nw,n,note\n1,2.5,plain\n\n# more\n3,,"a, b"\n'
    table = tables.read_table("a.csv")
    assert list(table) == ["w", "n"]
    np.testing.assert_array_equal(table["w"], [1.0, 3.0])
    np.testing.assert_array_equal(table["n"], [2.5, np.nan])
    assert tables.read_rows("a.csv") == [
        {"w": "1", "n": "2.5", "note": "plain"},
        {"w": "3", "n": "", "note": "a, b"},
    ]


def test_header_joins_repeated_keys(shipped: dict[str, str]) -> None:
    shipped["a.csv"] = "# source: x, y\n# note: one.\n# note: two: it is.\nw\n1\n"
    assert tables.read_header("a.csv") == {"source": "x, y", "note": "one. two: it is."}


def test_arrays_are_read_only_and_the_dict_is_the_callers(shipped: dict[str, str]) -> None:
    shipped["a.csv"] = "w\n1\n"
    table = tables.read_table("a.csv")
    with pytest.raises(ValueError, match="read-only"):
        table["w"][0] = 2.0
    del table["w"]
    assert "w" in tables.read_table("a.csv")


def test_ragged_row_names_its_line(shipped: dict[str, str]) -> None:
    shipped["a.csv"] = "# source: x\nw,n\n1,2\n3\n"
    with pytest.raises(InputError, match=r"a\.csv, line 4: 1 cells found, expected 2"):
        tables.read_table("a.csv")


def test_empty_file(shipped: dict[str, str]) -> None:
    shipped["a.csv"] = "# source: x\n"
    with pytest.raises(InputError, match="no header row"):
        tables.read_table("a.csv")


@pytest.mark.parametrize("path", ["nk/none.csv", "nk", "nk/water.csv/deeper"])
def test_missing_file(path: str) -> None:
    with pytest.raises(MissingDataError, match="not in the package"):
        tables.read_table(path)
