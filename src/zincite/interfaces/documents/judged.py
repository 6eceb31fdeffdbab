"""What a prediction says in words: the verdict line, and what speaks against an alternative."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.prediction import Prediction
from zincite.interfaces.documents.figures.appearance import cast_word, worst_class
from zincite.interfaces.documents.figures.brief_bars import limit_text
from zincite.interfaces.documents.numbers import (
    best_value,
    found_text,
    number_text,
    percent_text,
    with_unit,
)

__all__ = [
    "PercentRow",
    "differing_percents",
    "key_numbers",
    "reasons_against",
    "reasons_for",
    "verdict_sentence",
]

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


def key_numbers(prediction: Prediction) -> str:
    """Return the numbers that stand beside the verdict, in one line."""
    p = prediction
    parts = [f"SPF {found_text(p.spf)}"]
    spf = next((line for line in p.brief if line.topic == "SPF"), None)
    if spf is not None and spf.probability is not None:
        parts.append(f"chance to test {limit_text(spf)}: {percent_text(spf.probability)}")
    parts.append(f"UVA-PF {found_text(p.uva_pf)}")
    name = worst_class(p)
    if name:
        cast = p.white_cast[name]
        parts.append(f"{cast_word(cast)} dE00 {found_text(cast.delta_e00)} on {name} skin")
    parts.append(f"raw materials {found_text(p.cost.per_kg)}")
    return "; ".join(parts)


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
        words.append(f"{topic} on {listed(named)} skin" if named else topic)
    return listed(words)


def listed(words: Sequence[str]) -> str:
    """Return words as a list in a sentence: "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _by_topic(prediction: Prediction) -> dict[tuple[str, str], BriefLine]:
    return {(line.topic, line.sense): line for line in prediction.brief}


def _gaps(weaker: Prediction, stronger: Prediction) -> list[tuple[BriefLine, BriefLine]]:
    """Return lines of the brief, weaker and stronger, where the verdict is worse, gravest first."""
    mine = _by_topic(stronger)
    found = [
        (line, mine[key])
        for key, line in _by_topic(weaker).items()
        if key in mine and _ORDER.get(line.verdict, 1) > _ORDER.get(mine[key].verdict, 1)
    ]
    return sorted(found, key=lambda pair: -_ORDER.get(pair[0].verdict, 1))


def _chances(weaker: Prediction, stronger: Prediction) -> list[tuple[BriefLine, str, str]]:
    """Return lines of equal verdict with a plainly smaller chance, and both chances."""
    mine = _by_topic(stronger)
    found = []
    for key, line in _by_topic(weaker).items():
        other = mine.get(key)
        if other is None or other.verdict != line.verdict:
            continue
        low, high = line.probability, other.probability
        if low is not None and high is not None and low < high - _SURE:
            found.append((line, percent_text(low), percent_text(high)))
    return found


def _dearer_by(a: Prediction, b: Prediction) -> str:
    """Return by how much a costs more than b, "" where it does not plainly."""
    theirs, own = best_value(a.cost.per_kg), best_value(b.cost.per_kg)
    if theirs is None or own is None or a.cost.currency != b.cost.currency:
        return ""
    more = theirs - own
    if more <= _RELATIVE * own:
        return ""
    return with_unit(number_text(more, digits=2), f"{a.cost.currency}/kg")


def _stronger(a: Prediction, b: Prediction) -> tuple[str, str, str, str] | None:
    """Return how, on which skin and by which two dE00 a plainly shows more than b.

    Looked at on the skin on which a shows most.
    """
    name = worst_class(a)
    if not name or name not in b.white_cast:
        return None
    high, low = a.white_cast[name].delta_e00.median, b.white_cast[name].delta_e00.median
    if not math.isfinite(low) or high - low <= _RELATIVE * low:
        return None
    word = cast_word(a.white_cast[name])
    return word, name, number_text(high, digits=3), number_text(low, digits=3)


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
    found = [
        f"{line.verdict}: {line.topic} is {found_text(line.found)}, asked {limit_text(line)}"
        for line, _ in _gaps(other, chosen)
    ]
    found += [
        f"less sure: {line.topic}, chance {low} instead of {high}"
        for line, low, high in _chances(other, chosen)
    ]
    more = _dearer_by(other, chosen)
    if more:
        found.append(f"dearer by {more}")
    shown = _stronger(other, chosen)
    if shown:
        word, skin, high, low = shown
        found.append(f"more {word} on {skin} skin: dE00 {high} instead of {low}")
    return tuple(found)


def reasons_for(other: Prediction, chosen: Prediction) -> tuple[str, ...]:
    """Return what speaks for a formula beside the chosen one, the gravest first."""
    code = chosen.formula.code
    found = [
        f"{better.verdict}: {better.topic} is {found_text(better.found)}, "
        f"where {code} {_misses(line.verdict)}"
        for line, better in _gaps(chosen, other)
    ]
    found += [
        f"surer: {line.topic}, chance {high} instead of {low}"
        for line, low, high in _chances(chosen, other)
    ]
    less = _dearer_by(chosen, other)
    if less:
        found.append(f"cheaper by {less}")
    shown = _stronger(chosen, other)
    if shown:
        word, skin, high, low = shown
        found.append(f"less {word} on {skin} skin: dE00 {low} instead of {high}")
    return tuple(found)


def _misses(verdict: str) -> str:
    return {"fails": "fails", "short": "falls short"}.get(verdict, "is not decided")


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
