"""How a terminal shows the best results against a brief."""

from __future__ import annotations

from rich.text import Text

from zincite.interfaces.cli.notebook.figure_text import short_figure
from zincite.interfaces.cli.terminal import Screen, verdict
from zincite.interfaces.documents.numbers import number_text, with_unit
from zincite.notebook.questions.best import BestResults, TestedVersion
from zincite.notebook.questions.requirements import JudgedLine
from zincite.workbench.notebook.asking import Best

__all__ = ["show_best"]

_MOST = 12  # versions that are listed; --json has all


def show_best(screen: Screen, found: Best) -> None:
    """Print the best of each line and the versions that were tested, one project after another."""
    if not found.projects:
        screen.line("No project has a brief: enter one with `zincite notebook brief`.")
    for number, project in enumerate(found.projects):
        if number:
            screen.line()
        _project(screen, project)


def _project(screen: Screen, found: BestResults) -> None:
    passing = ", ".join(found.passing)
    screen.title(
        f"{found.brief}  {found.name}", f"{passing} passes all" if passing else "none passes all"
    )
    if not found.versions:
        screen.line("No version has a result that stands.")
        return
    screen.heading("Best of each line")
    screen.table(
        (
            ("asked", "left"), ("", "right"), ("best", "left"), ("", "left"),
            ("version", "left"), ("from", "left"),
        ),
        (
            [
                best.topic, _limit(best.line), _found(best.line), verdict(best.line.verdict),
                best.formula, _source(best.line),
            ]
            for best in found.lines
        ),
    )  # fmt: skip
    screen.heading("Versions that were tested", "most lines passed first")
    rows = found.versions[:_MOST]
    screen.table(
        (
            ("version", "left"), ("passes", "right"), ("fails", "right"), ("not tested", "right"),
            ("first line", "left"), ("what it misses", "left"), ("state", "left"),
        ),
        (_version(version) for version in rows),
    )  # fmt: skip
    if len(rows) < len(found.versions):
        screen.line(f"{len(rows)} of {len(found.versions)} are listed, see --json.", style="dim")


def _limit(line: JudgedLine) -> str:
    return f"{line.sense} {with_unit(number_text(line.limit), line.unit)}"


def _found(line: JudgedLine) -> str:
    if line.value is None:
        return "not tested"
    return short_figure(line.value, line.low, line.high, line.unit)


def _source(line: JudgedLine) -> str:
    return f"{line.source}, calculated" if line.evidence == "calculated" else line.source


def _version(version: TestedVersion) -> list[str | Text]:
    missed = [line for line in version.lines if line.verdict in ("fails", "short")]
    first = version.lines[0] if version.lines else None
    return [
        version.formula,
        str(version.passed),
        str(version.failed),
        str(version.unknown),
        "" if first is None else f"{first.topic} {_found(first)}",
        "; ".join(f"{line.topic} {_value(line)}" for line in missed),
        version.state.state,
    ]


def _value(line: JudgedLine) -> str:
    return with_unit(number_text(line.value), line.unit)
