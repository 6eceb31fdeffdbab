"""Numbers as a reader meets them: sensible digits, the interval, the unit, and words for gaps."""

from __future__ import annotations

import math
import re

from zincite.evaluation.estimate import Estimate, Exact

__all__ = [
    "NOT_KNOWN",
    "best_value",
    "decimals_for",
    "decimals_of",
    "found_text",
    "interval_text",
    "number_text",
    "percent_text",
    "signed_text",
    "typeset",
    "unit_text",
    "value_text",
    "with_unit",
]

NOT_KNOWN = "not known"

_UNITS = {"degC": "°C", "deg": "°"}
_NARROW_SPACE = "\u202f"
_MINUS = "\u2212"
_WIDE_RATIO = 8.0
_DEGREES = re.compile(r"\bdegC\b")
_MICRO = re.compile(r"\bu(?=[mL]\b)")
_SQUARE = re.compile(r"\b([mc]?m)2\b")
_NEGATIVE = re.compile(r"(?<![\w.])-(?=\d)")
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|nm|µm|°C|mPa|g/mL|m²/cm3|[A-Z]{3}/kg)(?!\w))")


def unit_text(unit: str) -> str:
    """Return a unit as printed."""
    return _UNITS.get(unit, unit).replace(" ", "\u00a0")


def typeset(words: str) -> str:
    """Return a sentence of another room with signs and units that do not break apart.

    Examples
    --------
    >>> typeset("white cast -28 % at 80 degC") == "white cast \u221228\u00a0% at 80\u00a0°C"
    True
    """
    words = _DEGREES.sub("°C", words)
    words = _MICRO.sub("µ", words)
    words = _SQUARE.sub(r"\1²", words)
    words = _NEGATIVE.sub(_MINUS, words)
    return _BEFORE_UNIT.sub("\u00a0", words)


def decimals_of(value: float, digits: int = 3) -> int:
    """Return the decimals that show a value with so many significant digits; may be negative."""
    if value == 0 or not math.isfinite(value):
        return 0
    return digits - 1 - math.floor(math.log10(abs(value)))


_NOTHING = 1e-9  # what rounding leaves of a difference that is none


def number_text(value: float | None, *, decimals: int | None = None, digits: int = 3) -> str:
    """Return a number with thousands apart, or words where there is none.

    Parameters
    ----------
    value : float or None
        None and NaN read "not known".
    decimals : int, optional
        Places after the point; negative rounds to tens, hundreds and so on.
    digits : int
        Significant digits where `decimals` is left out.

    Examples
    --------
    >>> number_text(0.6408), number_text(None)
    ('0.641', 'not known')
    """
    if value is None or math.isnan(value):
        return NOT_KNOWN
    if math.isinf(value):
        return "without bound"
    if abs(value) < _NOTHING:
        value = 0.0
    places = decimals_of(value, digits) if decimals is None else decimals
    rounded = round(value, places)
    shown = f"{abs(rounded):,.{max(places, 0)}f}".replace(",", _NARROW_SPACE)
    if decimals is None and "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    return f"{_MINUS}{shown}" if rounded < 0 else shown


def signed_text(value: float | None, *, decimals: int | None = None, digits: int = 2) -> str:
    """Return a number with its sign always shown."""
    shown = number_text(value, decimals=decimals, digits=digits)
    if value is None or not math.isfinite(value) or shown.startswith(_MINUS):
        return shown
    return f"+{shown}" if shown.strip("0.") else shown


def percent_text(share: float | None) -> str:
    """Return a probability as a percentage; the ends say that they are not certainty."""
    if share is None or math.isnan(share):
        return ""
    if share >= 0.995:
        return "above 99 %"
    if share <= 0.005:
        return "below 1 %"
    return f"{100 * share:.0f} %"


def with_unit(text: str, unit: str) -> str:
    """Return a printed number with its unit; a degree sign of an angle stands close."""
    shown = unit_text(unit)
    if not shown or text == NOT_KNOWN:
        return text
    return f"{text}{shown}" if shown == "°" else f"{text}\u00a0{shown}"


def decimals_for(found: Estimate | Exact) -> int | None:
    """Return the decimals of a result and all that is said with it, None for three digits.

    The width of the interval gets two digits. Where the ends lie far apart by ratio the lower end
    sets them, so that it does not vanish.
    """
    if isinstance(found, Exact):
        return None
    low, high = found.low, found.high
    width = high - low
    if not (math.isfinite(width) and width > 0):
        return decimals_of(found.median)
    places = decimals_of(width, 2)
    if low > 0 and high > _WIDE_RATIO * low:
        places = max(places, decimals_of(low, 1 if places >= 0 else 2))
    return min(places, 4)


def _exact_text(found: Exact) -> str:
    """Return an exact number; what is not all of 100 % must not read 100 %."""
    value = found.value
    if found.unit == "%" and value is not None and 99.95 <= value < 100 - 1e-9:
        return number_text(value, decimals=min(decimals_of(100 - value, 1), 4))
    return number_text(value)


def value_text(found: Estimate | Exact, *, unit: bool = True) -> str:
    """Return the best value as printed, with its unit."""
    if isinstance(found, Exact):
        shown = _exact_text(found)
    elif math.isfinite(found.median):
        shown = number_text(found.median, decimals=decimals_for(found))
    else:
        shown = NOT_KNOWN
    return with_unit(shown, found.unit) if unit else shown


def interval_text(found: Estimate | Exact, *, signed: bool = False, unit: bool = True) -> str:
    """Return the 90 % interval as "20 to 67", "" where the value is exact or not known."""
    if isinstance(found, Exact) or not math.isfinite(found.median):
        return ""
    places = decimals_for(found)
    show = signed_text if signed else number_text
    text = f"{show(found.low, decimals=places)} to {show(found.high, decimals=places)}"
    return with_unit(text, found.unit) if unit else text


def found_text(found: Estimate | Exact, *, signed: bool = False) -> str:
    """Return value, interval and unit in one line, such as "35 (20 to 67)"."""
    if isinstance(found, Exact) or not math.isfinite(found.median):
        return value_text(found)
    places = decimals_for(found)
    show = signed_text if signed else number_text
    middle = show(found.median, decimals=places)
    return with_unit(f"{middle} ({interval_text(found, signed=signed, unit=False)})", found.unit)


def best_value(found: Estimate | Exact) -> float | None:
    """Return the median or the exact value, None where there is none."""
    value = found.value if isinstance(found, Exact) else found.median
    return None if value is None or not math.isfinite(value) else value
