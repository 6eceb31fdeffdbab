"""Numbers as instruments print them: decimal sign, thousands, per cent, over range, gaps."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

__all__ = [
    "Beyond",
    "NumberForm",
    "evidence_of_sign",
    "is_gap",
    "is_number_like",
    "is_value_like",
    "over_range",
]

_LONGEST = 40
_MINUS = str.maketrans({"\u2212": "-", "\u2013": "-"})
_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)
"""Nearly all cells, so that a million of them are told in a second."""
_ANY_NUMBER = re.compile(
    r"[+-]?(?=[.,]?\d)[\d.,'\u2019\u00a0\u202f]*(?:[eE][+-]?\d{1,3})?[ \u00a0]?%?", re.A
)
_SINGLE = re.compile(r"[+-]?(\d*)([.,])(\d*)((?:[eE][+-]?\d{1,3})?)\s?%?", re.A)
_GROUPED = re.compile(
    r"[+-]?\d{1,3}([.,])\d{3}(?:\1\d{3})*(?!\1)([.,])\d+(?:[eE][+-]?\d+)?\s?%?", re.A
)
_MANY_GROUPS = re.compile(r"[+-]?\d{1,3}([.,])\d{3}(?:\1\d{3})+\s?%?", re.A)
_GAPS = frozenset({"", "-", "--", "---", ".", "nan", "n/a", "na", "#n/a", "null", "none", "*"})
_OVER = re.compile(
    r"(?:over(?:flow|range|load|[ -]range)?|ovr|ovrflw|sat(?:urated|\.)?|#{2,}|\+?inf(?:inity)?|"
    r"\+?\u221e|>+)"
)
_OVER_NUMBER = re.compile(
    r"(?:>=?|\u2265|over|above)\s*(?P<number>[\d.,]+)\s*(?P<unit>a|abs|au|%)?"
)
_UNDER_NUMBER = re.compile(r"(?:<=?|\u2264|under|below)\s*(?P<number>[\d.,]+)\s*(?P<unit>%)?")


@dataclass(frozen=True, slots=True)
class Beyond:
    """A reading beyond the instrument's range.

    Attributes
    ----------
    above : bool
        True for "over", False for "under".
    bound : float or None
        The limit where the file states one, in the column's unit.
    percent : bool
        Whether the limit is followed by a per cent sign.
    """

    above: bool
    bound: float | None
    percent: bool = False


@dataclass(frozen=True, slots=True)
class NumberForm:
    """How one file prints numbers.

    Attributes
    ----------
    decimal : str
        "." or ",".
    grouped : bool
        Whether the other sign was seen to group thousands beyond doubt.
    """

    decimal: str = "."
    grouped: bool = False

    def parse(self, text: str) -> float | None:
        """Return a text as a finite number, or None where it is not one."""
        if len(text) > _LONGEST or not text:
            return None
        plain = text if self.decimal == "." else _with_point(text)
        if _PLAIN.fullmatch(plain):
            value = float(plain)
            return value if math.isfinite(value) else None
        text = text.strip().translate(_MINUS)
        if not _pattern(self.decimal, self.grouped).fullmatch(text):
            return None
        other = "," if self.decimal == "." else "."
        for sign in (other, "'", "\u2019", "\u00a0", "\u202f"):
            text = text.replace(sign, "")
        value = float(text.replace(self.decimal, "."))
        return value if math.isfinite(value) else None

    def parse_percent(self, text: str) -> float | None:
        """Return the number before a per cent sign, or None where there is no such thing."""
        stripped = text.strip()
        return self.parse(stripped[:-1].rstrip()) if stripped.endswith("%") else None


def _with_point(text: str) -> str:
    """Return a text with its one decimal comma as point, "" where it holds a point already."""
    return "" if "." in text else text.replace(",", ".", 1)


@lru_cache(maxsize=8)
def _pattern(decimal: str, grouped: bool) -> re.Pattern[str]:
    sign = re.escape(decimal)
    group = rf"(?:{re.escape(',' if decimal == '.' else '.')}\d{{3}})"
    # one group without a decimal sign after it ("1,234") counts only where others settled it
    comma_groups = (
        rf"\d{{1,3}}{group}+"
        if grouped
        else (rf"(?:\d{{1,3}}{group}+(?={sign})|\d{{1,3}}{group}{{2,}})")
    )
    spaces = r"\d{1,3}(?:['\u2019\u00a0\u202f]\d{3})+"
    whole = rf"(?:\d+|{comma_groups}|{spaces})"
    return re.compile(rf"[+-]?(?:{whole}(?:{sign}\d*)?|{sign}\d+)(?:[eE][+-]?\d{{1,3}})?", re.A)


def is_number_like(text: str) -> bool:
    """Return whether a text is a number under some decimal sign, with or without per cent."""
    if len(text) > _LONGEST:
        return False
    if _PLAIN.fullmatch(text):
        return True
    return bool(_ANY_NUMBER.fullmatch(text.strip().translate(_MINUS)))


def is_gap(text: str) -> bool:
    """Return whether a text stands for a missing reading."""
    return len(text) <= 8 and text.strip().lower() in _GAPS


def over_range(text: str, form: NumberForm) -> Beyond | None:
    """Return what a text such as "OVER", "> 3.5" or "< 0.01 %" says, or None."""
    if len(text) > _LONGEST:
        return None
    word = text.strip().lower()
    if _OVER.fullmatch(word):
        return Beyond(True, None)
    for above, pattern in ((True, _OVER_NUMBER), (False, _UNDER_NUMBER)):
        found = pattern.fullmatch(word)
        if found:
            # a limit may be worded with a fixed sign: "> 3.5" among decimal commas
            bound = form.parse(found["number"])
            if bound is None:
                bound = NumberForm("," if form.decimal == "." else ".").parse(found["number"])
            return None if bound is None else Beyond(above, bound, found["unit"] == "%")
    return Beyond(False, None) if word in ("under", "underflow", "-inf", "udr") else None


def is_value_like(text: str) -> bool:
    """Return whether a text can stand in a column of readings."""
    return len(text) <= _LONGEST and (bool(_PLAIN.fullmatch(text)) or _stands_for_reading(text))


@lru_cache(maxsize=4096)
def _stands_for_reading(text: str) -> bool:
    if is_number_like(text) or (is_gap(text) and bool(text.strip())):
        return True
    return any(over_range(text, NumberForm(sign)) is not None for sign in ".,")


def evidence_of_sign(text: str) -> tuple[str, bool, bool] | None:
    """Return what a number tells of its file's decimal sign.

    Returns
    -------
    tuple or None
        Decimal sign, whether that is certain, whether the other sign groups thousands. None for
        whole numbers and for what is no number. "1,234" is uncertain: it may be 1234.

    Examples
    --------
    >>> evidence_of_sign("1.234,5")
    (',', True, True)
    """
    if len(text) > _LONGEST:
        return None
    text = text.strip().translate(_MINUS)
    if "," not in text and text.count(".") < 2 and _PLAIN.fullmatch(text):
        return _evidence_of_point(text) if "." in text else None
    both = _GROUPED.fullmatch(text)
    if both and both[1] != both[2]:
        return both[2], True, True
    many = _MANY_GROUPS.fullmatch(text)
    if many:
        return ("." if many[1] == "," else ","), True, True
    single = _SINGLE.fullmatch(text)
    if single is None or not (single[1] or single[3]):
        return None
    whole, sign, part, power = single.groups()
    return sign, bool(power) or not _may_be_thousands(whole, part), False


def _may_be_thousands(whole: str, part: str) -> bool:
    return len(part) == 3 and 1 <= len(whole) <= 3 and not whole.startswith("0")


def _evidence_of_point(text: str) -> tuple[str, bool, bool]:
    whole, _, part = text.lstrip("+-").partition(".")
    return ".", not _may_be_thousands(whole, part), False
