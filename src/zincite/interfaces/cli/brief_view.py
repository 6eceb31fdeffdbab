"""How a terminal shows a judged brief: the decision in one line, then each requirement."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.text import Text

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.prediction import Prediction
from zincite.interfaces.cli.terminal import Cell, Screen, assumed, clean, verdict
from zincite.interfaces.documents.judged import verdict_sentence
from zincite.interfaces.documents.numbers import (
    found_text,
    number_text,
    percent_text,
    signed_text,
    with_unit,
)

__all__ = ["decision", "estimate_cell", "show_brief"]

_COLUMNS = (
    ("verdict", "left"),
    ("requirement", "left"),
    ("asked", "left"),
    ("predicted (90 % interval)", "left"),
    ("margin", "right"),
    ("chance", "right"),
)
_WIDTHS = (7, 22, 17, 25, 12, 7)


def estimate_cell(found: Estimate | Exact, *, signed: bool = False) -> Text:
    """Return a value with interval and unit; an assumed one in its own look and word."""
    text = found_text(found, signed=signed)
    if isinstance(found, Estimate) and found.assumed:
        return assumed(f"{text} assumed")
    return Text(clean(text))


def decision(made: Prediction) -> Text:
    """Return the verdict on the brief and what misses it, in a sentence or two."""
    if not made.brief:
        return Text("no brief, so nothing is judged")
    shown = {"short": "FALLS SHORT"}.get(made.verdict, made.verdict.upper())
    said = f"  {verdict_sentence(made)}{_tightest(made.brief)}"
    return Text().append(verdict(made.verdict, shown)).append(clean(said))


def _tightest(brief: Sequence[BriefLine]) -> str:
    """Return the line met by the best estimate that is most likely to be missed, in words."""
    known = [x for x in brief if x.probability is not None and x.verdict == "passes"]
    if not known or any(line.verdict != "passes" for line in brief):
        return ""
    least = min(known, key=lambda line: line.probability or 0.0)
    return f" Least sure: {least.topic}, chance {percent_text(least.probability)}."


def _asked(line: BriefLine) -> str:
    return f"{line.sense} {with_unit(number_text(line.limit, digits=4), line.unit)}"


def _margin(line: BriefLine) -> str:
    if line.margin is None:
        return ""
    return with_unit(signed_text(line.margin, digits=2), line.unit)


def _chance(line: BriefLine) -> str:
    if line.probability is not None:
        return percent_text(line.probability).replace("above", ">").replace("below", "<")
    return "exact" if isinstance(line.found, Exact) and line.found.value is not None else ""


def show_brief(screen: Screen, brief: Sequence[BriefLine], name: str = "") -> None:
    """Print each line of a brief with its biggest lever."""
    screen.heading("What the brief asks", name)
    screen.table(_COLUMNS, (), widths=_WIDTHS)
    for line, after in zip_longest(brief, brief[1:]):
        cells: list[Cell] = [
            verdict(line.verdict),
            line.topic.removesuffix(" skin"),
            _asked(line),
            estimate_cell(line.found),
            _margin(line),
            _chance(line),
        ]
        screen.table(_COLUMNS, [cells], widths=_WIDTHS, header=False)
        if after is None or (after.lever, after.note) != (line.lever, line.note):
            remark = "; ".join(_remarks(line))
            if remark:
                screen.line(remark, indent=_WIDTHS[0] + 2, style="dim")
    screen.line(
        "margin: how far the best estimate is on the good side; chance: share of the model's "
        "draws that meet the line, empty where none are drawn; lever: the change that helps most.",
        style="dim",
    )


def _remarks(line: BriefLine) -> list[str]:
    noted = f"note: {line.note}" if line.note else ""
    return [text for text in (line.lever and f"lever: {line.lever}", noted) if text]
