"""What the words over, beside and below a table mean, whatever their capitals and accents."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from zincite.workbench.sheets.vocabulary import ROLE_WORDS, TITLE_KEYS

__all__ = [
    "AMOUNT_ROLES",
    "NAME_ROLES",
    "ROLES",
    "is_header_text",
    "is_total",
    "plain",
    "role_of",
    "title_key",
]

_LONGEST_HEADER = 80

ROLES = tuple(ROLE_WORDS)
AMOUNT_ROLES = ("percent", "fraction", "per_mille", "grams", "kilograms", "amount")
NAME_ROLES = ("name", "inci", "code")

_UNITS = (("%", "percent"), ("g", "grams"), ("kg", "kilograms"))

_SIZED = re.compile(r" \d+ k?g ")
"""A size, as in "Batch 500 g": the header of weights, not of lots."""

_FILLERS = frozenset(
    ("the", "of", "in", "by", "per", "and", "or", "der", "die", "das", "de", "la", "le", "du",
     "des", "el", "los", "las", "a", "n", "no", "nr", "name", "names", "w", "ww", "eu", "us", "e")
)  # fmt: skip

_TOTAL = re.compile(
    r"(?:(?:grand |sub ?|zwischen ?|gesamt ?|sous )?(?:total|totaux|totale|totales|summe|sum|somme"
    r"|suma|gesamt|sigma)\b.{0,40}|σ|∑|subtotal|sub total|zwischensumme|100 % total|check ?sum)"
)


def _folded(text: str) -> str:
    text = text.replace("ß", "ss").replace("œ", "oe").replace("Œ", "oe").replace("µ", "u")
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(c for c in parts if not unicodedata.combining(c))


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Return text in lower case without accents and punctuation, words between single blanks.

    Examples
    --------
    >>> plain("Gew.-% (Einwaage)")
    'gew % einwaage'
    """
    spaced = re.sub(r"([%€$£#])", r" \1 ", _folded(text))
    return " ".join(re.sub(r"[^\w%€$£#σ∑]+|_", " ", spaced).split())


@lru_cache(maxsize=4096)
def role_of(text: str) -> str:
    """Return the role that a header names, "" where none is known.

    The longest known phrase in it decides.

    Examples
    --------
    >>> role_of("Konzentration [% w/w]"), role_of("INCI name"), role_of("Trial 4")
    ('percent', 'inci', '')
    """
    if len(text) > _LONGEST_HEADER or text.strip() == "pH":
        return ""
    words = f" {plain(text)} "
    best, longest = "", 0
    for role, phrases in ROLE_WORDS.items():
        for phrase in phrases:
            if len(phrase) > longest and f" {phrase} " in words:
                best, longest = role, len(phrase)
    if best == "amount" or (best == "lot" and _SIZED.search(words)):
        best = next((role for unit, role in _UNITS if f" {unit} " in words), best)
    return best


@lru_cache(maxsize=4096)
def is_header_text(text: str) -> bool:
    """Return whether a text says nothing but the role of a column, as headers do."""
    if not role_of(text) or text.rstrip().endswith(":"):
        return False
    words = f" {plain(text)} "
    for phrase in sorted(_ALL_PHRASES, key=len, reverse=True):
        words = words.replace(f" {phrase} ", "  ")
    return all(word in _FILLERS for word in words.split())


_ALL_PHRASES = tuple(phrase for phrases in ROLE_WORDS.values() for phrase in phrases)


def is_total(text: str) -> bool:
    """Return whether a text beside a number says that it is a sum."""
    return len(text) <= 60 and bool(_TOTAL.fullmatch(plain(text)))


def title_key(text: str) -> str:
    """Return what a text above a table introduces, "" where nothing known."""
    words = plain(text)
    return next((key for key, phrases in TITLE_KEYS.items() if words in phrases), "")
