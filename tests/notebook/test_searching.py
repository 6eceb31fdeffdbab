"""Full-text search, on both databases."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.notebook.laboratory import fill_laboratory
from tests.notebook.postgres import Server
from zincite.notebook.searching import search, terms_of
from zincite.notebook.snippets import snippet
from zincite.notebook.store import Notebook, open_notebook
from zincite.notebook.words import fold, indexed, words_of

_NUMBERS = itertools.count(1)
_MANY = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
HOSTILE = (
    '"', '""', '"a', "a*", "*", "NEAR(a b)", "a NEAR/2 b", "a AND", "NOT", "OR OR", "(", ")", "((",
    "a:b", "folded:a", "-a", "^a", "{a}", "a+b", "'", "''", "a'b", "a' OR '1'='1", "; DROP TABLE x",
    "a & b", "a | !b", "!", "<->", "a <-> b", ":*", "a:*", "\\", "%", "_", "\x00", "\ud800",
    "\u202e", "a\nb", " ", "", "?", ":asked", "$1", "%(asked)s", "--", "/*", "é" * 300, "a " * 900,
    "qzxtrial", "AND AND AND", '"NOT"', "\u0301", "ﷺ", "½", "1e5", "0x1f", "a@b.c", "http://a/b?c",
)  # fmt: skip


def note(notebook: Notebook, text: str) -> str:
    """Write a project with a text and return its code."""
    code = f"X{next(_NUMBERS)}"
    with notebook.write("A") as writer:
        writer.add("project", {"code": code, "name": "n", "note": ""}, words=text)
    return code


def found(notebook: Notebook, text: str) -> list[str]:
    with notebook.read() as connection:
        return [one.name for one in search(connection, text, limit=1000).found]


@pytest.fixture(scope="module")
def both(
    postgres_server: Server, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[list[Notebook]]:
    """Give the laboratory on SQLite and on PostgreSQL."""
    folder: Path = tmp_path_factory.mktemp("search")
    places = [str(folder / "lab.zincite"), postgres_server.create("search_both")]
    notebooks = [open_notebook(place, create=True) for place in places]
    for notebook in notebooks:
        fill_laboratory(notebook)
    yield notebooks
    for notebook in notebooks:
        notebook.close()


def test_words_are_found_by_beginnings_accents_hyphens_and_phrases(notebook: Notebook) -> None:
    one = note(notebook, "K-07 Crème à l'oxyde; zinc-oxide-70-silane bead mill")
    two = note(notebook, "K-071 mill bead Straße 12,5 %")
    assert found(notebook, "creme") == [one]
    assert found(notebook, "CRÈM") == [one]
    assert found(notebook, "cre\u0300me") == [one]
    assert found(notebook, "k-07") == [one, two]  # the very word before what begins so
    assert found(notebook, "k07") == [one, two]
    assert found(notebook, "oxide-70") == [one]
    assert found(notebook, "Zinc oxide") == [one]
    assert found(notebook, '"bead mill"') == [one]
    assert found(notebook, '"mill bead"') == [two]
    assert found(notebook, '"bead mil"') == []
    assert found(notebook, "\u201ebead mill\u201c".replace("\u201c", "\u201d")) == [one]
    assert set(found(notebook, "mill bead")) == {one, two}
    assert found(notebook, "strasse") == [two]
    assert found(notebook, "12,5") == [two]
    assert found(notebook, "mill absent") == []


def test_nothing_to_look_for_finds_nothing(notebook: Notebook) -> None:
    note(notebook, "words")
    with notebook.read() as connection:
        for text in ("", " ", '""', "%&/()"):
            nothing = search(connection, text)
            assert (nothing.terms, nothing.found, nothing.more) == ((), (), False)


def test_withdrawn_things_are_found_and_marked(notebook: Notebook) -> None:
    fill_laboratory(notebook)
    with notebook.read() as connection:
        (lot,) = search(connection, "ZN-1", nouns=["lot"]).found
        assert (lot.noun, lot.name, lot.withdrawn) == ("lot", "ZN-1", "recalled")


def test_things_come_in_an_order_that_helps(notebook: Notebook) -> None:
    fill_laboratory(notebook)
    with notebook.read() as connection:
        shown = search(connection, "T-003").found
        assert (shown[0].noun, shown[0].name, shown[0].on) == ("trial", "T-003", "2026-03-10")
        assert {one.name for one in shown[1:]} == {"T-003/1", "T-003/2"}
        names = [one.name for one in search(connection, "k-07").found]
        # the versions that begin with the code, the latest first, before trials that name it
        assert names[:3] == ["K-07@3", "K-07@2", "K-07@1"]
        assert search(connection, "k-07", limit=2).more


def test_a_decision_is_named_by_what_it_is_about(notebook: Notebook) -> None:
    fill_laboratory(notebook)
    with notebook.read() as connection:
        (one,) = search(connection, "white on dark").found
        assert (one.noun, one.name, one.title) == ("decision", "decision on K-08@1", "drop")


def test_changed_words_replace_those_before(notebook: Notebook) -> None:
    with notebook.write("A") as writer:
        row = {"code": "W", "name": "n", "note": ""}
        subject = writer.add("project", row, words="before")
        writer.change("project", subject, {}, revision=1, words="after")
    assert found(notebook, "after") == ["W"]
    assert found(notebook, "before") == []


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_texts_find_the_same_on_both_or_nothing(both: list[Notebook], text: str) -> None:
    assert found(both[0], text) == found(both[1], text)


@_MANY
@given(text=st.text(max_size=40) | st.text("ak07tms1\"-*:()&|!<>'@/ .é", max_size=25))
def test_no_text_is_refused_and_both_databases_agree(both: list[Notebook], text: str) -> None:
    answers = []
    for notebook in both:
        with notebook.read() as connection:
            answers.append(
                [(f.noun, f.name, f.snippet, f.marks, f.score) for f in
                 search(connection, text).found]
            )  # fmt: skip
    assert answers[0] == answers[1]


_TEXTS = st.text(
    st.characters(codec="utf-8", exclude_characters="\x00", exclude_categories=["Cs", "Cn", "Co"]),
    min_size=1,
    max_size=60,
) | st.text("ab01eE.-_ x", min_size=1, max_size=30)


@_MANY
@given(text=_TEXTS)
def test_every_word_that_is_written_is_found(notebook: Notebook, text: str) -> None:
    code = note(notebook, text)
    for word in fold(text).split()[:3]:
        assert code in found(notebook, word)


@given(text=_TEXTS)
def test_the_quick_way_to_fold_is_the_slow_one(text: str) -> None:
    slow = " ".join(word.folded for word in words_of(text))
    assert fold(text) == slow
    assert fold(slow) == slow  # folding twice changes nothing
    assert re.fullmatch(r"[a-z0-9 ]*", indexed("trial", text))


@given(text=_TEXTS, wanted=_TEXTS)
def test_marks_lie_inside_the_snippet(text: str, wanted: str) -> None:
    terms = [(term.spelt, term.quoted) for term in terms_of(wanted + " " + text[:20])]
    shown, marks = snippet(text, terms)
    assert len(shown) <= 100
    assert "\n" not in shown
    assert all(0 <= start < end <= len(shown) for start, end in marks)


@pytest.mark.parametrize("word", ["abcdefg{n}-", "\u4e2d-", "a{n} ", "{n}中文-", "x" * 70 + "{n}."])
def test_long_texts_of_any_kind_are_taken_by_both(notebook: Notebook, word: str) -> None:
    code = note(notebook, "first " + "".join(word.format(n=n) for n in range(40_000)))
    assert code in found(notebook, "first")


def test_the_snippet_shows_where_most_words_stand() -> None:
    text = "first words " + "filler " * 40 + "the bead mill ran hot " + "filler " * 40
    shown, marks = snippet(text, [("bead", False), ("hot", False), ("first", False)])
    assert [shown[a:b] for a, b in marks] == ["bead", "hot"]
    assert shown.startswith("...")
    assert shown.endswith("...")
    assert len(shown) <= 100
