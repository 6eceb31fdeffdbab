"""Full-text search: all words, the last letters of each left open, "phrases" as they stand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.notebook.naming import names_of
from zincite.notebook.snippets import matches, snippet
from zincite.notebook.words import fold, noun_word

__all__ = ["Found", "Search", "Term", "search", "terms_of"]

SEARCHED = ("project", "brief", "formula", "material", "lot", "trial", "result", "decision",
            "comment", "attachment")  # fmt: skip
_MOST_TERMS, _MOST_WORDS, _CANDIDATES = 10, 12, 100
_PIECE = re.compile(r'"([^"]*)"|([^\s"]+)')
_SQLITE = sa.text(
    "SELECT t.id, t.noun, t.subject, t.body, t.folded FROM search_index "
    "JOIN search_text AS t ON t.id = search_index.rowid WHERE search_index MATCH :asked "
    "ORDER BY search_index.rowid DESC LIMIT :most"
)
_POSTGRES = sa.text(
    "SELECT id, noun, subject, body, folded FROM search_text "
    "WHERE vector @@ CAST(:asked AS tsquery) ORDER BY id DESC LIMIT :most"
)
_QUOTES = str.maketrans(dict.fromkeys("\u201c\u201d\u201e\u00ab\u00bb", '"'))


@dataclass(frozen=True, slots=True)
class Term:
    """Words that must follow each other.

    Attributes
    ----------
    words : tuple of str
        Folded.
    exact : bool
        Whether the last word must be whole; else it may go on.
    """

    words: tuple[str, ...]
    exact: bool


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
            "understood": [{"words": list(term.words), "exact": term.exact} for term in self.terms],
            "found": [item.to_dict() for item in self.found],
            "more": self.more,
        }


def terms_of(text: str) -> tuple[Term, ...]:
    """Return what a search text asks for; any text is legal.

    Examples
    --------
    >>> terms_of('K-07 "bead mill"')
    (Term(words=('k', '07'), exact=False), Term(words=('bead', 'mill'), exact=True))
    """
    found = []
    for piece in _PIECE.finditer(text[:2000].translate(_QUOTES)):
        quoted = piece.group(1) is not None
        words = tuple(fold(piece.group(1) if quoted else piece.group(2)).split()[:_MOST_WORDS])
        if words:
            found.append(Term(words, quoted))
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
    Of each kind of thing the newest 100 that hold all words whole, and the newest 100 that hold
    their beginnings, are ranked: whole words before beginnings, words near the start of the text
    (code and name stand there) before later ones, then newer before older. Both databases give
    the same order.
    """
    terms = terms_of(text)
    if not terms:
        return Search(text, (), (), False)
    scored: list[tuple[float, int, Any]] = []
    more = False
    for noun in nouns:
        rows = _candidates(connection, noun, terms)
        more = more or len(rows) > _CANDIDATES
        scored += [(_score(row.folded.split(), terms), row.id, row) for row in rows]
    scored.sort(key=lambda item: (-item[0], -item[1]))
    best = scored[:limit]
    return Search(text, terms, _named(connection, best, terms), more or len(scored) > limit)


def _candidates(connection: Connection, noun: str, terms: Sequence[Term]) -> list[Any]:
    """Return the newest things of a kind that hold all terms, those with whole words first."""
    whole = tuple(Term(term.words, exact=True) for term in terms)
    found = {row.id: row for row in _newest(connection, noun, whole)}
    if whole != tuple(terms) and len(found) <= _CANDIDATES:
        found |= {row.id: row for row in _newest(connection, noun, terms)}
    return list(found.values())


def _newest(connection: Connection, noun: str, terms: Sequence[Term]) -> Sequence[Any]:
    asked = (Term((noun_word(noun),), exact=True), *terms)
    if connection.dialect.name == "sqlite":
        query, text = _SQLITE, " AND ".join(_fts5(term) for term in asked)
    else:
        query, text = _POSTGRES, " & ".join(_tsquery(term) for term in asked)
    return connection.execute(query, {"asked": text, "most": _CANDIDATES + 1}).all()


def _fts5(term: Term) -> str:
    """Return a term as SQLite reads it; folded words hold nothing that it takes for syntax."""
    return f'"{" ".join(term.words)}"{"" if term.exact else "*"}'


def _tsquery(term: Term) -> str:
    """Return a term as PostgreSQL reads it; folded words hold nothing that it takes for syntax."""
    words = [f"'{word}'" for word in term.words]
    return f"({' <-> '.join(words)}{'' if term.exact else ':*'})"


def _score(words: Sequence[str], terms: Iterable[Term]) -> float:
    """Return how well words fit: whole ones count double, and the nearer to the start the more."""
    score = 0.0
    for term in terms:
        places = [
            (2.0 if whole else 1.0) + 2.0 / (1 + place)
            for place, whole in matches(words, term.words, exact=term.exact)
        ]
        score += max(places, default=0.0)
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
        shown, marks = snippet(row.body, [(term.words, term.exact) for term in terms])
        found.append(
            Found(
                row.noun, row.subject, named.name, named.title, named.on, named.withdrawn,
                shown, marks, round(score, 3),
            )
        )  # fmt: skip
    return tuple(found)
