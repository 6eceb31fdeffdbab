"""The ingredient list of the label, and the nano decision that it needs.

Order: Regulation (EC) 1223/2009, Art 19(1)(g): descending by mass down to 1 %, below in any order
(kept descending here), colorants after the others in any order; nano ingredients with the word
"nano" in brackets. From memory of the act; the responsible person signs the label.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from zincite.formula.formula import Formula
from zincite.formula.material import Grade
from zincite.formula.substances import resolve
from zincite.physics.sizes import histogram_nodes, lognormal_nodes, number_fraction_below

__all__ = [
    "NANO_LIMIT_NM",
    "IngredientList",
    "ListedIngredient",
    "NanoDecision",
    "inci_list",
    "nano_decision",
]

NANO_LIMIT_NM = 100.0
"""Largest external dimension of a nano particle (Commission Recommendation 2022/C 229/01)."""

_NANO_SHARE = 0.50
"""Share by number from which a material is nano (same Recommendation)."""

_BORDER = (0.40, 0.60)
"""Where size analysis cannot decide safely; common practice, no source."""

_NOT_NANO_VSSA_M2_CM3 = 6.0
"""Volume-specific surface area below which a material is never nano (same Recommendation)."""

_MEDIAN_FACTOR = 1.10
_GSD_STEP = 0.10
"""Uncertainty of a median and of a width by electron microscopy; assumed, no source."""


@dataclass(frozen=True, slots=True)
class NanoDecision:
    """Whether a grade is nano.

    Attributes
    ----------
    verdict : str
        "nano", "not nano" or "border" (40 to 60 % by number).
    number_fraction_below_100nm, low, high : float
        Best value and range by the uncertainty of the sizes. [-]
    reason : str
        In words.
    is_nano : bool
        The 50 % rule applied to the best value; the label follows it also at the border.
    """

    verdict: str
    number_fraction_below_100nm: float
    low: float
    high: float
    reason: str
    is_nano: bool


@dataclass(frozen=True, slots=True)
class ListedIngredient:
    """One name of the ingredient list: mass share of the formula in percent, nano, colorant."""

    inci: str
    percent: float
    nano: bool = False
    border: bool = False
    colorant: bool = False

    @property
    def label(self) -> str:
        """The name as printed."""
        return f"{self.inci} [nano]" if self.nano else self.inci


@dataclass(frozen=True, slots=True)
class IngredientList:
    """The ingredient list in legal order, with what a reader must check."""

    entries: tuple[ListedIngredient, ...]
    warnings: tuple[str, ...] = ()

    def text(self) -> str:
        """Return the list as it is printed."""
        return ", ".join(entry.label for entry in self.entries)


@lru_cache(maxsize=512)
def nano_decision(grade: Grade) -> NanoDecision:
    """Decide whether a pigment grade is nano by the number of its constituent particles.

    Parameters
    ----------
    grade : Grade
        Its core sizes count: the constituent particles, also inside aggregates. A coating and the
        laser size of a dispersion do not decide.

    Returns
    -------
    NanoDecision

    Notes
    -----
    At least 50 % of the particles by number between 1 and 100 nm; never nano below 6 m2/cm3
    (Commission Recommendation 2022/C 229/01). The range takes the median 10 % up and down and the
    geometric standard deviation 0.1 up and down (assumed).

    Examples
    --------
    >>> nano_decision(Grade("zinc-oxide", 200.0, 1.5)).verdict
    'not nano'
    """
    best = _fraction(grade, 1.0, 0.0)
    tries = [
        _fraction(grade, factor, step)
        for factor in (1 / _MEDIAN_FACTOR, 1.0, _MEDIAN_FACTOR)
        for step in (-_GSD_STEP, 0.0, _GSD_STEP)
    ]
    low, high = min(best, *tries), max(best, *tries)
    share = f"{100 * best:.0f} % of the constituent particles by number are below 100 nm"
    span = f"{100 * low:.0f} to {100 * high:.0f} % within the size uncertainty"
    surface = _surface_m2_cm3(grade)
    if surface < _NOT_NANO_VSSA_M2_CM3:
        reason = f"surface area {surface:.1f} m2/cm3 is below 6 m2/cm3, which is never nano"
        return NanoDecision("not nano", best, low, high, reason, False)
    is_nano = best >= _NANO_SHARE
    if _BORDER[0] <= best <= _BORDER[1]:
        side = "nano" if is_nano else "not nano"
        reason = f"{share} ({span}), {side} by the 50 % rule but too near to it to be sure"
        return NanoDecision("border", best, low, high, reason, is_nano)
    word = "at or above" if is_nano else "below"
    reason = f"{share} ({span}), {word} the 50 % of Recommendation 2022/C 229/01"
    return NanoDecision("nano" if is_nano else "not nano", best, low, high, reason, is_nano)


def _fraction(grade: Grade, factor: float, step: float) -> float:
    if grade.histogram_nm:
        return _histogram_fraction(grade, factor)
    gsd = max(grade.primary_gsd + step, 1.0)
    return number_fraction_below(
        NANO_LIMIT_NM, grade.primary_median_nm * factor, gsd, weighting=grade.weighting
    )


def _histogram_fraction(grade: Grade, factor: float) -> float:
    """Return the share by number below the limit; a class is spread to its geometric edges."""
    nodes = histogram_nodes(grade.histogram_nm, grade.histogram_share, weighting=grade.weighting)
    pairs = sorted(zip(nodes.diameter_nm * factor, nodes.number_weight, strict=True))
    logs = [math.log(diameter) for diameter, _ in pairs]
    middles = [(a + b) / 2 for a, b in pairwise(logs)] or logs
    edges = [2 * logs[0] - middles[0], *middles, 2 * logs[-1] - middles[-1]]
    if len(logs) == 1:
        edges = [logs[0], logs[0]]
    total, limit = 0.0, math.log(NANO_LIMIT_NM)
    for (left, right), (_, weight) in zip(pairwise(edges), pairs, strict=True):
        share = (limit - left) / (right - left) if right > left else float(left < limit)
        total += float(weight) * min(max(share, 0.0), 1.0)
    return min(total, 1.0)


def _surface_m2_cm3(grade: Grade) -> float:
    """Return 6 / d32 of the core sizes. [m2/cm3]"""
    nodes = (
        histogram_nodes(grade.histogram_nm, grade.histogram_share, weighting=grade.weighting)
        if grade.histogram_nm
        else lognormal_nodes(grade.primary_median_nm, grade.primary_gsd, weighting=grade.weighting)
    )
    return 6000.0 / nodes.sauter_diameter_nm


def inci_list(formula: Formula) -> IngredientList:
    """Return the ingredient list of a formula.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    IngredientList
        Equal INCI names merged, descending by mass, colorants (CI numbers) last; a substance is
        marked nano as soon as one of its grades is.
    """
    shares: dict[str, float] = {}
    nano: set[str] = set()
    border: set[str] = set()
    warnings: list[str] = []
    for part in resolve(formula):
        name = "Aqua" if part.inci.lower() in ("aqua", "water") else part.inci
        shares[name] = shares.get(name, 0.0) + part.percent
        card = formula.materials.get(part.material)
        if part.role != "core" or card is None or card.grade is None or part.percent == 0:
            continue
        decision = nano_decision(card.grade)
        if decision.is_nano:
            nano.add(name)
        if decision.verdict == "border":
            border.add(name)
            warnings.append(f"{card.id}: {decision.reason}")
    for name in shares:
        if "(and)" in name.lower():
            warnings.append(
                f"{name}: one card for several substances without composition, so their order "
                "is not known"
            )
    entries = [
        ListedIngredient(name, share, name in nano, name in border, name.startswith("CI "))
        for name, share in shares.items()
        if share > 0
    ]
    entries.sort(key=lambda entry: (entry.colorant, -entry.percent, entry.inci))
    return IngredientList(tuple(entries), tuple(dict.fromkeys(warnings)))
