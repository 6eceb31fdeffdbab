"""What a prediction says in words: the verdict line, and what speaks against an alternative."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.prediction import Prediction
from zincite.interfaces.documents.figures.appearance import worst_class
from zincite.interfaces.documents.figures.brief_bars import limit_text
from zincite.interfaces.documents.numbers import (
    best_value,
    found_text,
    number_text,
    percent_text,
    with_unit,
)

__all__ = ["PercentRow", "differing_percents", "reasons_against", "reasons_for", "verdict_sentence"]

_ORDER = {"passes": 0, "unknown": 1, "short": 2, "fails": 3}
_SURE = 0.05
_RELATIVE = 0.03


def verdict_sentence(prediction: Prediction) -> str:
    """Return the verdict on the brief in one sentence with what misses."""
    lines = prediction.brief
    if not lines:
        return "No brief was given, so nothing is judged: the numbers stand alone."
    parts = [
        f"{verdict} {_count(found)}: {_topics(found)}"
        for verdict in ("fails", "short", "unknown")
        if (found := [line for line in lines if line.verdict == verdict])
    ]
    passed = sum(line.verdict == "passes" for line in lines)
    if not parts:
        return f"The best estimates meet all {len(lines)} lines of the brief."
    if passed:
        parts.append(f"passes {passed} of {len(lines)}")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _count(lines: Sequence[BriefLine]) -> str:
    return "1 line" if len(lines) == 1 else f"{len(lines)} lines"


def _topics(lines: Sequence[BriefLine]) -> str:
    """Return the topics, those that differ only in the skin class joined."""
    joined: dict[str, list[str]] = {}
    for line in lines:
        head, _, tail = line.topic.partition(", ")
        skin = tail.endswith(" skin")
        joined.setdefault(head if skin else line.topic, []).append(
            tail.removesuffix(" skin") if skin else ""
        )
    words = []
    for topic, skins in joined.items():
        named = [s for s in skins if s]
        words.append(f"{topic} on {_listed(named)} skin" if named else topic)
    return _listed(words)


def _listed(words: Sequence[str]) -> str:
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _by_topic(prediction: Prediction) -> dict[tuple[str, str], BriefLine]:
    return {(line.topic, line.sense): line for line in prediction.brief}


def reasons_against(other: Prediction, chosen: Prediction) -> tuple[str, ...]:
    """Return what speaks against a formula beside the chosen one, the gravest first.

    Parameters
    ----------
    other, chosen : Prediction
        Judged by the same brief.

    Returns
    -------
    tuple of str
        Empty where nothing does.
    """
    mine = _by_topic(chosen)
    worse = [
        line
        for key, line in _by_topic(other).items()
        if line.verdict != "passes"
        and key in mine
        and _ORDER.get(line.verdict, 1) > _ORDER.get(mine[key].verdict, 1)
    ]
    worse.sort(key=lambda line: -_ORDER.get(line.verdict, 1))
    found = [
        f"{line.verdict}: {line.topic}, {found_text(line.found)} against {limit_text(line)}"
        for line in worse
    ]
    judged = {(line.topic, line.sense) for line in worse}
    found += _less_sure(other, chosen, judged)
    found += _weaker_numbers(other, chosen)
    return tuple(found)


def reasons_for(other: Prediction, chosen: Prediction) -> tuple[str, ...]:
    """Return what speaks for a formula beside the chosen one."""
    return reasons_against(chosen, other)


def _less_sure(other: Prediction, chosen: Prediction, judged: set[tuple[str, str]]) -> list[str]:
    mine = _by_topic(chosen)
    found = []
    for key, line in _by_topic(other).items():
        if key in judged or key not in mine or line.probability is None:
            continue
        own = mine[key].probability
        if own is not None and line.probability < own - _SURE:
            found.append(
                f"less sure: {line.topic}, {percent_text(line.probability)} "
                f"instead of {percent_text(own)}"
            )
    return found


def _weaker_numbers(other: Prediction, chosen: Prediction) -> list[str]:
    """Return costs and white cast that are higher by more than a few percent."""
    found = []
    theirs, own = best_value(other.cost.per_kg), best_value(chosen.cost.per_kg)
    if theirs is not None and own is not None and other.cost.currency == chosen.cost.currency:
        more = theirs - own
        if more > _RELATIVE * own:
            shown = with_unit(number_text(more, digits=2), f"{chosen.cost.currency}/kg")
            found.append(f"dearer by {shown}")
    name = worst_class(chosen)
    if name and name in other.white_cast:
        a, b = other.white_cast[name].delta_e00.median, chosen.white_cast[name].delta_e00.median
        if math.isfinite(a) and a - b > _RELATIVE * b:
            found.append(
                f"whiter on {name} skin: dE00 {number_text(a, digits=2)} "
                f"instead of {number_text(b, digits=2)}"
            )
    return found


@dataclass(frozen=True, slots=True)
class PercentRow:
    """One material's share in several formulas.

    Attributes
    ----------
    phase, material : str
    percents : tuple of float or None
        None where a formula does without. [%]
    differs : bool
    """

    phase: str
    material: str
    percents: tuple[float | None, ...]
    differs: bool


def differing_percents(predictions: Sequence[Prediction]) -> tuple[PercentRow, ...]:
    """Return the shares of all materials phase by phase, side by side.

    Parameters
    ----------
    predictions : sequence of Prediction

    Returns
    -------
    tuple of PercentRow
        In the order in which phases and materials first occur.
    """
    shares: dict[tuple[str, str], list[float | None]] = {}
    for place, prediction in enumerate(predictions):
        for phase in prediction.formula.phases:
            for ingredient in phase.ingredients:
                row = shares.setdefault(
                    (phase.name, ingredient.material), [None] * len(predictions)
                )
                row[place] = (row[place] or 0.0) + ingredient.percent
    phases = list(dict.fromkeys(name for name, _ in shares))
    rows = [
        PercentRow(phase, material, tuple(row), _differ(row))
        for (phase, material), row in shares.items()
    ]
    return tuple(sorted(rows, key=lambda row: phases.index(row.phase)))


def _differ(row: Sequence[float | None]) -> bool:
    known = [v for v in row if v is not None]
    return len(known) < len(row) or max(known) - min(known) > 1e-9
