"""The place in a text that shows why it was found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zincite.notebook.words import words_of

__all__ = ["matches", "snippet"]

_WIDTH = 90
_BEFORE = 20


def matches(
    words: Sequence[str], wanted: Sequence[str], *, exact: bool
) -> Iterator[tuple[int, bool]]:
    """Give where wanted words follow each other, and whether the last of them is whole.

    Parameters
    ----------
    words, wanted : sequence of str
        Folded.
    exact : bool
        Whether the last word must be whole.
    """
    size = len(wanted)
    head, last = list(wanted[:-1]), wanted[-1]
    for place in range(len(words) - size + 1):
        end = words[place + size - 1]
        if not end.startswith(last) or (exact and end != last):
            continue
        if list(words[place : place + size - 1]) == head:
            yield place, end == last


def snippet(
    text: str, terms: Sequence[tuple[Sequence[str], bool]]
) -> tuple[str, tuple[tuple[int, int], ...]]:
    """Return the part of a text with most of the wanted words, and where they stand in it.

    Parameters
    ----------
    text : str
    terms : sequence of (sequence of str, bool)
        Folded words that follow each other, and whether the last must be whole.

    Returns
    -------
    str, tuple of (int, int)
        One line, with dots where text is left out; start and end of each found word.
    """
    words = list(words_of(text))
    folded = [word.folded for word in words]
    spans = sorted(
        {
            (words[place].start, words[place + len(wanted) - 1].end)
            for wanted, exact in terms
            for place, _ in matches(folded, wanted, exact=exact)
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
