"""What a panel's SPF may carry on the label of each market."""

from __future__ import annotations

import math

from zincite.data.regulation_tables import label_rows, markets
from zincite.evaluation.assay.panel import Panel
from zincite.evaluation.assay.rules import formula_marks
from zincite.evaluation.regulation import label_class
from zincite.statistics.intervals import lower_limit

__all__ = ["panel_label_classes", "usa_label_number"]


def usa_label_number(panel: Panel) -> int | None:
    """Return the number that the United States permit: below the panel's lower limit.

    Parameters
    ----------
    panel : Panel

    Returns
    -------
    int or None
        None for a single subject or a limit that is too low.

    Notes
    -----
    Largest whole number below mean - t(0.95; n - 1) s / sqrt(n), from memory of 21 CFR 201.327(i).
    """
    if panel.n < 2:
        return None
    # 30.0000000001 from rounding is 30, and the largest whole number below 30 is 29
    number = math.ceil(round(lower_limit(panel.values, 0.95), 9)) - 1
    return number if number > 0 else None


def panel_label_classes(panel: Panel) -> tuple[dict[str, str | None], tuple[str, ...]]:
    """Return the label of each market and the rules used that are only remembered.

    Parameters
    ----------
    panel : Panel

    Returns
    -------
    tuple of dict and tuple of str
        Market key to label such as "30" or "50+", None where the value is too low or no classes
        are held; marks.

    Notes
    -----
    The reported mean (truncated to 0.1) falls in the market's class. The United States take the
    number below the lower limit; "50+" also needs a lower 95 % limit of 51 in Japan, and a mean
    less one standard deviation above 50 in China (all from memory).
    """
    found: dict[str, str | None] = {}
    marks: list[str] = list(formula_marks("USA label"))
    for market in markets():
        label = label_class(market.key, panel.reported)
        if market.key == "usa":
            number = usa_label_number(panel)
            label = None if number is None else label_class("usa", float(number))
        elif market.key == "japan" and label == "50+":
            marks += formula_marks("Japan label")
            label = "50+" if panel.ci_low is not None and panel.ci_low >= 51 else "50"
        elif market.key == "china" and label == "50+":
            marks += formula_marks("China label")
            label = "50+" if panel.sd is not None and panel.mean - panel.sd > 50 else "50"
        found[market.key] = label
    remembered = [m.name for m in markets() if _remembered(m.key)]
    if remembered:
        marks.append(f"label classes of {', '.join(remembered)}: from memory")
    return found, tuple(marks)


def _remembered(market_key: str) -> bool:
    return any(row.origin.confidence != "verified" for row in label_rows(market_key))
