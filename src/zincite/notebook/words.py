"""Words as the search compares them: folded the same way for every database.

Codes and names of materials are written with hyphens, and people leave those out: words joined by
a hyphen, a dot or an underscore are also kept as one word from each of them to the end, so that
"k07" finds K-07 and "oxide-70" finds zinc-oxide-70-silane, each by one look into the index. Words
that follow each other are kept as one word in pairs, by which a phrase is looked up.

Folded words are plain ASCII, because each database has its own idea of what a letter is: a letter
of another script is written as z and five digits of its number.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

__all__ = ["LONGEST_WORD", "MOST_TEXT", "Word", "chains_of", "fold", "indexed", "joined",
           "noun_word", "pairs_of", "plain_part", "words_of"]  # fmt: skip

LONGEST_WORD = 60
"""Characters of a word that are compared."""
MOST_TEXT = 100_000
"""Characters of a text that are searched."""
_END = "qzx"  # after the words as they stand
_MOST_INDEXED = 300_000  # characters; PostgreSQL keeps at most 1 MB of words and their places
_LONGEST_CHAIN = 8

_SPACED = re.compile(r"\S+")
_PLAIN_CHAIN = re.compile(r"[a-z0-9]+(?:[-_.']+[a-z0-9]+)*")
_PLAIN_WORD = re.compile(r"[a-z0-9]+")
_LINKS = frozenset("-_.'\u2010\u2011\u2012\u2013\u2019\u00ad")


@dataclass(frozen=True, slots=True)
class Word:
    """A word and where it stands in its text.

    Attributes
    ----------
    folded : str
        Small letters and digits without marks.
    start, end : int
        Place in the text.
    linked : bool
        Whether only hyphens and the like part it from the word before.
    """

    folded: str
    start: int
    end: int
    linked: bool


@lru_cache(maxsize=4096)
def _folded(character: str) -> str:
    """Return a character's letters and digits, small and without marks, "" for anything else."""
    if character.isascii():
        return character.lower() if character.isalnum() else ""
    plain = unicodedata.normalize("NFKD", character)
    small = unicodedata.normalize("NFKD", plain.casefold())
    kept = (c for c in small if c.isalnum())
    return "".join(c if c.isascii() else f"z{ord(c):05x}" for c in kept)


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
        letters, start, linked = "", run.start(), False
        for place, character in enumerate(run.group(), start=run.start()):
            found = _folded(character)
            if found:
                start = start if letters else place
                letters += found
            elif not _is_mark(character):
                if letters:
                    yield Word(letters[:LONGEST_WORD], start, place, linked)
                    letters, linked = "", True
                linked = linked and character in _LINKS
        if letters:
            yield Word(letters[:LONGEST_WORD], start, run.end(), linked)


def chains_of(text: str) -> list[list[str]]:
    """Return the folded words of a text, those that hyphens and the like join in one list.

    Examples
    --------
    >>> chains_of("K-07@3 Zinc-Oxide_120 (Müller's)")
    [['k', '07'], ['3'], ['zinc', 'oxide', '120'], ['muller', 's']]
    """
    if text.isascii():  # the same, ten times as fast
        chains = _PLAIN_CHAIN.findall(text[:MOST_TEXT].lower())
        return [[w[:LONGEST_WORD] for w in _PLAIN_WORD.findall(chain)] for chain in chains]
    found: list[list[str]] = []
    for word in words_of(text):
        if word.linked:
            found[-1].append(word.folded)
        else:
            found.append([word.folded])
    return found


def joined(chain: Sequence[str]) -> str:
    """Return words of a chain as the one word that the index keeps."""
    return "".join(chain[:_LONGEST_CHAIN])[:LONGEST_WORD]


def fold(text: str) -> str:
    """Return the words of a text, one blank between them.

    Examples
    --------
    >>> fold("Zinc-Oxide_120 (Müller's)")
    'zinc oxide 120 muller s'
    """
    return " ".join(word for chain in chains_of(text) for word in chain)


def noun_word(noun: str) -> str:
    """Return the word by which the index tells kinds of things apart; nobody types its start."""
    return f"qzx{noun}"


def indexed(noun: str, text: str) -> str:
    """Return what the index keeps of a thing's text: its kind, its words, chains and pairs as one.

    Examples
    --------
    >>> indexed("formula", "K-07@3 Fluid")
    'qzxformula k 07 3 fluid qzx k07 073 3fluid'
    """
    chains = chains_of(text)
    plain = [word for chain in chains for word in chain]
    whole = [
        joined(chain[n : n + _LONGEST_CHAIN]) for chain in chains for n in range(len(chain) - 1)
    ]
    found = " ".join([noun_word(noun), *plain, _END, *dict.fromkeys([*whole, *pairs_of(plain)])])
    return found if len(found) <= _MOST_INDEXED else found[:_MOST_INDEXED].rpartition(" ")[0]


def plain_part(kept: str) -> list[str]:
    """Return the words of a text in their order, of what the index keeps of it.

    Examples
    --------
    >>> plain_part("qzxformula k 07 3 fluid qzx k07 073 3fluid")
    ['k', '07', '3', 'fluid']
    """
    words = kept.split()[1:]
    return words[: words.index(_END)] if _END in words else words


def pairs_of(words: Sequence[str]) -> list[str]:
    """Return words that follow each other as one word each.

    Examples
    --------
    >>> pairs_of(["in", "the", "mill"])
    ['inthe', 'themill']
    """
    return [joined(pair) for pair in pairwise(words)]
