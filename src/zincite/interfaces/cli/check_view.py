"""How a terminal shows what the markets say to a formula."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.text import Text

from zincite.evaluation.prediction import Prediction
from zincite.evaluation.regulation import (
    CAUTIONS,
    VERDICTS,
    MarketAssessment,
    Requirement,
    Statement,
)
from zincite.interfaces.cli.brief_view import decision, show_brief
from zincite.interfaces.cli.prediction_view import show_cautions, show_formula_title
from zincite.interfaces.cli.terminal import Cell, Screen, assumed, clean, verdict
from zincite.interfaces.documents.numbers import percent_text

__all__ = ["counted", "show_check"]

_UNVERIFIED = "unverified"


def show_check(screen: Screen, made: Prediction, assessments: Sequence[MarketAssessment]) -> None:
    """Print the verdict of each market, then its requirements from the worst to the best."""
    show_formula_title(screen, made.formula)
    screen.pairs((found.name, _verdict_line(found)) for found in assessments)
    if made.brief:
        screen.pairs([("Brief", decision(made))])
    for found in assessments:
        _show_market(screen, found)
    if made.brief and made.formula.brief is not None:
        show_brief(screen, made.brief, made.formula.brief.name)
    show_cautions(screen, CAUTIONS)


def counted(found: MarketAssessment) -> str:
    """Return the requirements of a market by verdict, such as "2 fail, 10 pass"."""
    words = {"fails": "fail", "unknown": "unknown", "needs a test": "need a test", "passes": "pass"}
    counts = [(words[v], sum(r.verdict == v for r in found.requirements)) for v in VERDICTS]
    return ", ".join(f"{number} {word}" for word, number in counts if number)


def _verdict_line(found: MarketAssessment) -> Text:
    word = verdict(found.verdict, found.verdict.upper())
    return Text().append(word).append(f"  {counted(found)}")


def _show_market(screen: Screen, found: MarketAssessment) -> None:
    screen.heading(found.name, f"{found.product_status}")
    ordered = sorted(found.requirements, key=lambda r: VERDICTS.index(r.verdict))
    for requirement in ordered:
        _show_requirement(screen, requirement)
    _show_statements(screen, "What the label must say or not say", found.label_statements)
    _show_statements(screen, "Tests to order", found.tests_to_order)
    _show_statements(screen, "Notes on the rules", found.notes)
    if found.warnings:
        screen.line("")
        screen.line(f"Warnings, {found.name}", style="bold")
        screen.items(found.warnings)


def _show_requirement(screen: Screen, asked: Requirement) -> None:
    facts = [f"found: {asked.found}" if asked.found else ""]
    facts.append(f"limit: {asked.limit}" if asked.limit else "")
    if asked.probability is not None:
        facts.append(f"chance that a test meets it: {percent_text(asked.probability)}")
    text = Text().append(clean(asked.topic), style="bold")
    said = "; ".join(fact for fact in facts if fact)
    for line in filter(None, (said, asked.detail)):
        text.append(clean(f"\n{line}"))
    text.append("\n").append(_origin(asked.source, asked.date, asked.confidence))
    columns = (("", "left"), ("", "left"))
    screen.table(columns, [[verdict(asked.verdict), text]], widths=(12, 86), header=False)


def _origin(source: str, date: str, confidence: str) -> Text:
    """Return source and date; what was not read looks as assumed values do."""
    told = f"{source}, {date}" if date else source
    if confidence == _UNVERIFIED:
        return assumed(f"{told} (unverified)")
    return Text(clean(told), style="dim")


def _show_statements(screen: Screen, title: str, statements: Iterable[Statement]) -> None:
    rows: list[Cell] = [
        Text(clean(f"{s.kind}: {s.text}"))
        .append("; ")
        .append(_origin(s.source, s.date, s.confidence))
        for s in statements
    ]
    if rows:
        screen.line("")
        screen.line(title, style="bold")
        screen.items(rows)
