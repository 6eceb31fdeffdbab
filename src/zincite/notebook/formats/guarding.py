"""Texts that a spreadsheet would run as formulas, made harmless in delimited text.

A spreadsheet takes a cell of delimited text for a formula where it begins with one of the signs
below. Such a text gets an apostrophe in front; so does one that begins with apostrophes before
such a sign, so that `unguarded` finds every text again as it was.
"""

from __future__ import annotations

import re

__all__ = ["guarded", "is_risky", "unguarded"]

_SIGNS = "=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20"  # the last four: the same signs in full width
_RISKY = re.compile(f"'*[{_SIGNS}]")
_GUARDED = re.compile(f"'+[{_SIGNS}]")


def is_risky(text: str) -> bool:
    """Return whether a spreadsheet could take a text for a formula.

    Examples
    --------
    >>> is_risky("=1+1"), is_risky("zinc oxide")
    (True, False)
    """
    return _RISKY.match(text) is not None


def guarded(text: str) -> str:
    """Return a text with an apostrophe in front where a spreadsheet would run it.

    Examples
    --------
    >>> guarded("=1+1"), guarded("'=1"), guarded("5'-AMP")
    ("'=1+1", "''=1", "5'-AMP")
    """
    return f"'{text}" if is_risky(text) else text


def unguarded(text: str) -> str:
    """Return a text as it was before `guarded`; what nothing guarded stays as it is.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("'quoted'")
    ('=1+1', "'quoted'")
    """
    return text[1:] if _GUARDED.match(text) else text
