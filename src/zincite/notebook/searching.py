"""Full-text search: all words, the last letters of each left open, "phrases" as they stand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.naming import names_of
from zincite.notebook.schema import search_text
from zincite.notebook.snippets import matches, snippet
from zincite.notebook.words import chains_of, fold, joined, noun_word, pairs_of, plain_part

__all__ = ["Found", "Search", "Term", "search", "terms_of"]

SEARCHED = ("project", "brief", "formula", "material", "lot", "trial", "result", "decision",
            "comment", "attachment")  # fmt: skip
_MOST_ASKED, _MOST_TERMS, _CANDIDATES, _OPEN_CANDIDATES = 1000, 10, 100, 300
_FEW = 2000  # rows of PostgreSQL that are sorted; of more the newest are near
_LEAST_OPEN = 2  # a single letter begins nearly everything
_PIECE = re.compile(r'"([^"]*)"|([^\s"]+)')
_SQLITE = sa.text(
    "SELECT t.id, t.noun, t.subject, t.body, t.folded FROM search_index "
    "JOIN search_text AS t ON t.id = search_index.rowid WHERE search_index MATCH :asked "
    "ORDER BY search_index.rowid DESC LIMIT :most"
)
_BY_INDEX = sa.text("SELECT search_by_index(CAST(:asked AS tsquery), :most)")
_FROM_NEWEST = sa.text("SELECT search_from_newest(CAST(:asked AS tsquery), :noun, :most)")
_NEWEST = sa.text(
    "SELECT id FROM search_text WHERE vector @@ CAST(:asked AS tsquery) "
    "ORDER BY id DESC LIMIT :most"
)
_QUOTES = str.maketrans(dict.fromkeys("\u201c\u201d\u201e\u00ab\u00bb", '"'))


@dataclass(frozen=True, slots=True)
class Term:
    """What must occur.

    Attributes
    ----------
    words : tuple of str
        Folded; they follow each other.
    quoted : bool
        Whether they must stand so; else words that hyphens join are one word, however they are
        joined, and the last may go on.
    """

    words: tuple[str, ...]
    quoted: bool

    @property
    def spelt(self) -> str:
        """The words without blanks between them."""
        return "".join(self.words)


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that was found.

    Attributes
    ----------
    noun, id, name, title, on : str
        What it is, its short name, what is said beside it and its day.
    withdrawn : str
        Reason, "" where it stands.
    snippet : str
        The place in its text that matches best.
    marks : tuple of (int, int)
        Where the words stand in the snippet.
    score : float
        Higher fits better.
    """

    noun: str
    id: str
    name: str
    title: str
    on: str
    withdrawn: str
    snippet: str
    marks: tuple[tuple[int, int], ...]
    score: float

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "noun": self.noun,
            "id": self.id,
            "name": self.name,
            "title": self.title,
            "on": self.on,
            "withdrawn": self.withdrawn,
            "snippet": self.snippet,
            "marks": [list(mark) for mark in self.marks],
            "score": self.score,
        }


@dataclass(frozen=True, slots=True)
class Search:
    """What a search found, best first.

    Attributes
    ----------
    text : str
        As asked.
    terms : tuple of Term
        As understood; empty where the text holds no letter and no digit.
    found : tuple of Found
    more : bool
        Whether there is more than is shown.
    """

    text: str
    terms: tuple[Term, ...]
    found: tuple[Found, ...]
    more: bool

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "text": self.text,
            "understood": [
                {"words": list(term.words), "quoted": term.quoted} for term in self.terms
            ],
            "found": [item.to_dict() for item in self.found],
            "more": self.more,
        }


def terms_of(text: str) -> tuple[Term, ...]:
    """Return what a search text asks for; any text is legal.

    Examples
    --------
    >>> terms_of('K-07 "bead mill"')
    (Term(words=('k07',), quoted=False), Term(words=('bead', 'mill'), quoted=True))
    """
    found = []
    for piece in _PIECE.finditer(text[:_MOST_ASKED].translate(_QUOTES)):
        quoted = piece.group(1) is not None
        if quoted:
            words = tuple(fold(piece.group(1)).split())
        else:
            words = tuple(joined(chain) for chain in chains_of(piece.group(2)))
        if words:
            found.append(Term(words[:_MOST_TERMS], quoted))
    return tuple(dict.fromkeys(found))[:_MOST_TERMS]


def search(
    connection: Connection, text: str, *, nouns: Sequence[str] = SEARCHED, limit: int = 30
) -> Search:
    """Return what fits a text, best first; withdrawn things are found too and say so.

    Parameters
    ----------
    connection : Connection
    text : str
        Words, each of which must occur; the end of a word is open (`sil` finds "silica"), accents
        and capitals do not matter, words in double quotes must follow each other as they stand.
    nouns : sequence of str
        Kinds of things to look among.
    limit : int
        Most things returned.

    Returns
    -------
    Search

    Notes
    -----
    Of each kind of thing the newest 100 that hold all words whole are ranked, and where they are
    few the newest 300 of all kinds that hold their beginnings: whole words before beginnings,
    words near the start of the text (code and name stand there) before later ones, a formula
    before a trial before a result, newer before older. Both databases give the same order.
    """
    terms = terms_of(text)
    if not terms:
        return Search(text, (), (), False)
    rows: dict[int, Any] = {}
    more = False
    for noun in nouns:
        newest = _newest(connection, terms, _CANDIDATES + 1, noun=noun)
        more = more or len(newest) > _CANDIDATES
        rows |= {row.id: row for row in newest}
    if len(rows) < limit and not all(term.quoted for term in terms):
        newest = _newest(connection, terms, _OPEN_CANDIDATES + 1)
        more = more or len(newest) > _OPEN_CANDIDATES
        rows |= {row.id: row for row in newest if row.noun in nouns}
    scored = [(_score(plain_part(row.folded), terms), row.id, row) for row in rows.values()]
    scored = sorted((s for s in scored if s[0] > 0), key=_order)
    best = scored[:limit]
    return Search(text, terms, _named(connection, best, terms), more or len(scored) > limit)


def _newest(
    connection: Connection, terms: Sequence[Term], most: int, *, noun: str = ""
) -> Sequence[Any]:
    """Return the newest things of a kind that hold all words; without a kind their beginnings."""
    asked = [(noun_word(noun), False)] if noun else []
    for term in terms:
        if term.quoted:
            asked += [(word, False) for word in pairs_of(term.words) or term.words]
            continue
        *first, last = term.words
        asked += [(word, False) for word in first]
        asked.append((last, not noun and len(last) >= _LEAST_OPEN))
    # folded words hold nothing that either database takes for syntax
    if connection.dialect.name == "sqlite":
        text = " AND ".join(f'"{word}"{"*" if is_open else ""}' for word, is_open in asked)
        return connection.execute(_SQLITE, {"asked": text, "most": most}).all()
    # in the index each word begins with an x, so that none is read as a number
    text = " & ".join(f"'x{word}'{':*' if is_open else ''}" for word, is_open in asked)
    return _newest_postgres(connection, text, noun, most)


def _newest_postgres(connection: Connection, asked: str, noun: str, most: int) -> Sequence[Any]:
    """Return the newest rows that fit, of few all and of many those met first on the way back."""
    few = {"asked": asked, "most": _FEW + 1}
    ids = connection.execute(_BY_INDEX, few).scalars().all()
    if len(ids) > _FEW:
        many = {"asked": asked, "most": most, **({"noun": noun} if noun else {})}
        ids = connection.execute(_FROM_NEWEST if noun else _NEWEST, many).scalars().all()
    if not ids:
        return []
    c = search_text.c
    question = sa.select(c.id, c.noun, c.subject, c.body, c.folded).order_by(c.id.desc())
    return connection.execute(question.where(c.id.in_(sorted(ids)[-most:]))).all()


def _order(item: tuple[float, int, Any]) -> tuple[float, int, int]:
    score, number, row = item
    return -score, SEARCHED.index(row.noun) if row.noun in SEARCHED else 99, -number


def _score(words: Sequence[str], terms: Iterable[Term]) -> float:
    """Return how well words fit: whole ones count double, and the nearer to the start the more.

    0 where a term is not there: the index finds parts of "K-07@3" that do not follow each other.
    """
    score = 0.0
    for term in terms:
        found = matches(words, term.spelt, exact=term.quoted)
        best = max(((2.0 if w else 1.0) + 2.0 / (1 + n) for n, _, w in found), default=0.0)
        if best == 0.0:
            return 0.0
        score += best
    return score


def _named(
    connection: Connection, best: Sequence[tuple[float, int, Any]], terms: Sequence[Term]
) -> tuple[Found, ...]:
    names = {
        noun: names_of(connection, noun, [row.subject for _, _, row in best if row.noun == noun])
        for noun in {row.noun for _, _, row in best}
    }
    found = []
    for score, _, row in best:
        named = names[row.noun].get(row.subject)
        if named is None:
            continue
        shown, marks = snippet(row.body, [(term.spelt, term.quoted) for term in terms])
        found.append(
            Found(
                row.noun, row.subject, named.name, named.title, named.on, named.withdrawn,
                shown, marks, round(score, 3),
            )
        )  # fmt: skip
    return tuple(found)
