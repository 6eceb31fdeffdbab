"""Label classes: which SPF number and which UVA grade a tested value may carry in a market."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.regulation_rows import LabelRow
from zincite.data.regulation_tables import label_rows, market

__all__ = ["LabelTarget", "label_class", "label_row", "label_target", "pa_grade", "uva_pf_needed"]

_PA_BOUNDS = ((16.0, "PA++++"), (8.0, "PA+++"), (4.0, "PA++"), (2.0, "PA+"))


@dataclass(frozen=True, slots=True)
class LabelTarget:
    """What a wanted label number means in a market.

    Attributes
    ----------
    text : str
        As printed, such as "30" or "50+".
    tested_spf_min : float
        Smallest tested SPF that may carry it.
    row : LabelRow
        Its class.
    """

    text: str
    tested_spf_min: float
    row: LabelRow


def label_row(market_name: str, spf: float) -> LabelRow | None:
    """Return the class that a tested SPF falls in, None below the lowest or without classes."""
    rows = label_rows(market(market_name).key)
    return next((row for row in reversed(rows) if spf >= row.tested_min), None)


def label_class(market_name: str, spf: float) -> str | None:
    """Return the SPF that a label may carry for a tested value.

    Parameters
    ----------
    market_name : str
        Market key or name.
    spf : float
        Tested SPF.

    Returns
    -------
    str or None
        Such as "30" or "50+"; None where the value is too low or no classes are held.

    Raises
    ------
    InputError
        If the market is unknown.

    Notes
    -----
    For the United States the label is the lower confidence bound of the panel (rounding rule from
    memory), so a tested mean gives at most this number.

    References
    ----------
    reg-eu-2006-647 (point 10), reg-cn-107-2016, reg-kr-consumer-2024 and others in
    data/regulation/label_classes.csv.

    Examples
    --------
    >>> label_class("eu", 49.9), label_class("eu", 60.0), label_class("eu", 5.9)
    ('30', '50+', None)
    """
    row = label_row(market_name, spf)
    if row is None:
        return None
    if row.labels == ("actual",):
        return str(math.floor(min(spf, row.label_max)))
    numbers = [label for label in row.labels if float(label.rstrip("+")) <= spf]
    return numbers[-1] if numbers else None


def label_target(market_name: str, label_spf: float) -> LabelTarget | None:
    """Return what a wanted label number needs, None where a market has no such label.

    Above 50 a market that prints "50+" prints that. Where any number may be printed it needs a
    tested value of at least itself.

    Examples
    --------
    >>> label_target("eu", 60).text, label_target("eu", 60).tested_spf_min
    ('50+', 60.0)
    """
    rows = label_rows(market(market_name).key)
    text = f"{label_spf:g}"
    for row in rows:
        if text in row.labels:
            return LabelTarget(text, max(row.tested_min, label_spf), row)
        in_row = row.tested_min <= label_spf < row.tested_below and label_spf <= row.label_max
        if row.labels == ("actual",) and in_row and float(label_spf).is_integer():
            return LabelTarget(text, label_spf, row)
    for row in rows:
        if row.labels == ("50+",) and label_spf >= 50:
            return LabelTarget("50+", row.tested_min, row)
    return None


def uva_pf_needed(target: LabelTarget) -> float | None:
    """Return the UVA-PF that a label needs, None where the market has no such rule.

    A third of the label SPF; a 50+ label divides 60, the careful reading (from memory).

    References
    ----------
    reg-eu-2006-647: UVA-PF of at least a third of the labelled SPF.
    """
    if target.row.uva_rule != "third of label SPF":
        return None
    number = target.row.uva_spf
    if math.isnan(number):
        number = float(target.text.rstrip("+"))
    return number / 3.0


def pa_grade(uva_pf: float) -> str | None:
    """Return the PA grade of a UVA-PF, None below 2.

    Bounds 2, 4, 8, 16 (Japan since 2013, China; for South Korea from memory).

    References
    ----------
    reg-jp-pa-2013, reg-cn-107-2016.

    Examples
    --------
    >>> pa_grade(7.9), pa_grade(16.0), pa_grade(1.9)
    ('PA++', 'PA++++', None)
    """
    return next((grade for bound, grade in _PA_BOUNDS if uva_pf >= bound), None)
