"""Words as the search compares them: folded the same way for every database."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["LONGEST_WORD", "MOST_TEXT", "Word", "fold", "indexed", "noun_word", "words_of"]

LONGEST_WORD = 60
"""Characters of a word that are compared."""
MOST_TEXT = 100_000
"""Characters of a text that are searched; PostgreSQL refuses texts of about 1 MB."""

_SPACED = re.compile(r"\S+")
_PLAIN = re.compile(r"[a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Word:
    """A word and where it stands in its text.

    Attributes
    ----------
    folded : str
        Small letters and digits without marks.
    start, end : int
        Place in the text.
    """

    folded: str
    start: int
    end: int


def _folded(character: str) -> str:
    """Return a character's letters and digits, small and without marks, "" for anything else."""
    if character.isascii():
        return character.lower() if character.isalnum() else ""
    plain = unicodedata.normalize("NFKD", character)
    small = unicodedata.normalize("NFKD", plain.casefold())
    return "".join(c for c in small if c.isalnum())


def _is_mark(character: str) -> bool:
    return not character.isascii() and bool(unicodedata.combining(character))


def words_of(text: str) -> Iterator[Word]:
    """Give the words of a text: runs of letters and digits, marks left out.

    Parameters
    ----------
    text : str
        Anything; what is no letter and no digit only parts words.

    Examples
    --------
    >>> [word.folded for word in words_of("K-07, Crème à 12,5 %")]
    ['k', '07', 'creme', 'a', '12', '5']
    """
    for run in _SPACED.finditer(text[:MOST_TEXT]):
        letters, start = "", run.start()
        for place, character in enumerate(run.group(), start=run.start()):
            found = _folded(character)
            if found:
                start = start if letters else place
                letters += found
            elif letters and not _is_mark(character):
                yield Word(letters[:LONGEST_WORD], start, place)
                letters = ""
        if letters:
            yield Word(letters[:LONGEST_WORD], start, run.end())


def fold(text: str) -> str:
    """Return the words of a text as the index keeps them, one blank between them.

    Examples
    --------
    >>> fold("Zinc-Oxide_120 (Müller's)")
    'zinc oxide 120 muller s'
    """
    if text.isascii():  # the same, ten times as fast
        return " ".join(w[:LONGEST_WORD] for w in _PLAIN.findall(text[:MOST_TEXT].lower()))
    return " ".join(word.folded for word in words_of(text))


def noun_word(noun: str) -> str:
    """Return the word by which the index tells kinds of things apart."""
    return f"zincitenoun{noun}"


def indexed(noun: str, text: str) -> str:
    """Return what the index keeps of a thing's text."""
    return f"{fold(text)} {noun_word(noun)}"
