"""The place in a text that shows why it was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zincite.notebook.words import words_of

__all__ = ["matches", "snippet"]

_WIDTH = 90
_BEFORE = 20


def matches(words: Sequence[str], wanted: str, *, exact: bool) -> Iterator[tuple[int, int, bool]]:
    """Give where words that follow each other spell what is wanted.

    Parameters
    ----------
    words : sequence of str
        Folded.
    wanted : str
        Folded words without blanks between them: "k07" is spelt by "k", "07".
    exact : bool
        Whether the last word must be whole.

    Yields
    ------
    int, int, bool
        First word, the one after the last, and whether the last is whole.
    """
    for place, first in enumerate(words):
        if not (wanted.startswith(first) or first.startswith(wanted)):
            continue
        spelt, end = "", place
        while end < len(words) and len(spelt) < len(wanted) and wanted.startswith(spelt):
            spelt += words[end]
            end += 1
        if spelt == wanted or (not exact and spelt.startswith(wanted)):
            yield place, end, spelt == wanted


def snippet(
    text: str, terms: Sequence[tuple[str, bool]]
) -> tuple[str, tuple[tuple[int, int], ...]]:
    """Return the part of a text with most of the wanted words, and where they stand in it.

    Parameters
    ----------
    text : str
    terms : sequence of (str, bool)
        What is wanted as in `matches`, and whether its last word must be whole.

    Returns
    -------
    str, tuple of (int, int)
        One line, with dots where text is left out; start and end of each found word.
    """
    words = list(words_of(text))
    folded = [word.folded for word in words]
    spans = sorted(
        {
            (words[first].start, words[end - 1].end)
            for wanted, exact in terms
            for first, end, _ in matches(folded, wanted, exact=exact)
        }
    )
    start, end = _window(text, spans)
    before, after = "..." if start > 0 else "", "..." if end < len(text) else ""
    # line ends become blanks one by one, so that the places stay
    shown = "".join(" " if c.isspace() else c for c in text[start:end])
    shift = len(before) - start
    inside = tuple((a + shift, b + shift) for a, b in spans if a >= start and b <= end)
    return f"{before}{shown}{after}", inside


def _window(text: str, spans: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """Return start and end of the part that holds most spans, moved to the ends of words."""
    if len(text) <= _WIDTH or not spans:
        return _trimmed(text, 0, min(len(text), _WIDTH))
    starts = [max(a - _BEFORE, 0) for a, _ in spans]
    held = [sum(1 for a, b in spans if a >= s and b <= s + _WIDTH) for s in starts]
    start = min(starts[held.index(max(held))], len(text) - _WIDTH)
    return _trimmed(text, start, start + _WIDTH)


def _trimmed(text: str, start: int, end: int) -> tuple[int, int]:
    if start > 0:
        blank = text.find(" ", start, start + _BEFORE)
        start = start if blank < 0 else blank + 1
    if end < len(text):
        blank = text.rfind(" ", end - _BEFORE, end)
        end = end if blank < 0 else blank
    return start, end
