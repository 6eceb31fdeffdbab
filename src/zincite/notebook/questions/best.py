"""The best results so far: each version that was tested against each line of its brief."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import ZinciteError
from zincite.formula.brief import Brief
from zincite.notebook.briefs import BriefRecord, get_brief, open_brief
from zincite.notebook.formulas import formula_of, get_formula
from zincite.notebook.projects import list_projects
from zincite.notebook.questions.readings import Reading, readings_of
from zincite.notebook.questions.requirements import (
    CALCULATED,
    Calculated,
    JudgedLine,
    Requirement,
    judge,
    judge_formula,
    requirements_of,
)
from zincite.notebook.questions.states import State, states_of
from zincite.notebook.records import rows_of
from zincite.notebook.schema import brief, formula, prediction, prediction_value, trial

__all__ = ["BestLine", "BestResults", "TestedVersion", "best"]

_MOST = 200
"""Versions whose formulas are read; of more those with the most lines passed."""


@dataclass(frozen=True, slots=True)
class TestedVersion:
    """A version that was made and tested.

    Attributes
    ----------
    formula, name : str
        Such as "K-07@2".
    trials : tuple of str
        Codes of its trials that have results.
    state : State
    lines : tuple of JudgedLine
        One for each requirement, in the order of the brief.
    """

    formula: str
    name: str
    trials: tuple[str, ...]
    state: State
    lines: tuple[JudgedLine, ...]

    @property
    def passed(self) -> int:
        """Lines that pass."""
        return self._count("passes")

    @property
    def failed(self) -> int:
        """Lines that fail."""
        return self._count("fails")

    @property
    def unknown(self) -> int:
        """Lines that nobody tested."""
        return self._count("unknown")

    @property
    def passes_all(self) -> bool:
        """Whether every line passes; a line that nobody tested does not."""
        return bool(self.lines) and self.passed == len(self.lines)

    def _count(self, verdict: str) -> int:
        return sum(line.verdict == verdict for line in self.lines)


@dataclass(frozen=True, slots=True)
class BestLine:
    """The best of one requirement.

    Attributes
    ----------
    topic, sense : str
    formula : str
        Version with the largest margin, "" where none was tested.
    line : JudgedLine
        Of that version.
    """

    topic: str
    sense: str
    formula: str
    line: JudgedLine


@dataclass(frozen=True, slots=True)
class BestResults:
    """The best so far of one project.

    Attributes
    ----------
    project, brief, name : str
        Code, brief such as "OF/2", and its name.
    lines : tuple of BestLine
    versions : tuple of TestedVersion
        Best first: most lines passed, then fewest failed.
    """

    project: str
    brief: str
    name: str
    lines: tuple[BestLine, ...]
    versions: tuple[TestedVersion, ...]

    @property
    def passing(self) -> tuple[str, ...]:
        """Versions that pass every line."""
        return tuple(version.formula for version in self.versions if version.passes_all)

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        shown = asdict(self)
        for version, told in zip(self.versions, shown["versions"], strict=True):
            told |= {
                "passed": version.passed, "failed": version.failed, "unknown": version.unknown,
                "passes_all": version.passes_all,
            }  # fmt: skip
        return {"passing": list(self.passing), **shown}


def best(connection: Connection, project: str = "") -> tuple[BestResults, ...]:
    """Return the best results so far of a project, or of each that has a brief.

    Parameters
    ----------
    connection : Connection
    project : str
        Code or id.

    Raises
    ------
    NotebookError
        If there is no such project, or it has no brief.
    """
    if project:
        return (_of_project(connection, get_brief(connection, project)),)
    with_brief = sa.select(brief.c.project_id).where(brief.c.withdrawn == "").distinct()
    ids = set(connection.execute(with_brief).scalars())
    return tuple(
        _of_project(connection, get_brief(connection, found.code))
        for found in list_projects(connection)
        if found.id in ids and not found.withdrawn
    )


def _of_project(connection: Connection, record: BriefRecord) -> BestResults:
    asked = open_brief(connection, record.called)
    requirements = requirements_of(asked)
    tested = _tested(connection, record.project_id, requirements)
    calculated = _calculated(connection, list(tested))
    judged = {
        id: tuple(judge(one, version.readings, calculated.get(id, {})) for one in requirements)
        for id, version in tested.items()
    }
    listed = sorted(judged, key=lambda id: _rank(judged[id]))[:_MOST]
    states = states_of(connection, listed)
    versions = []
    for id in listed:
        version = tested[id]
        trials = dict.fromkeys(reading.result.rpartition("/")[0] for reading in version.readings)
        lines = (*judged[id], *_formula_lines(connection, asked, id, version.called))
        versions.append(
            TestedVersion(version.called, version.name, tuple(trials), states[id], lines)
        )
    versions.sort(key=lambda version: _rank(version.lines))
    return BestResults(
        record.project, record.called, record.name, _best_lines(versions), tuple(versions)
    )


def _rank(lines: Sequence[JudgedLine]) -> tuple[int, int, float]:
    """Order versions: most passed, fewest failed, then the margin of the first line."""
    verdicts = [line.verdict for line in lines]
    margin = lines[0].margin if lines else None
    return -verdicts.count("passes"), verdicts.count("fails"), -(margin or 0.0)


def _best_lines(versions: Sequence[TestedVersion]) -> tuple[BestLine, ...]:
    found: dict[tuple[str, str], BestLine] = {}
    for version in versions:
        for line in version.lines:
            known = found.get((line.topic, line.sense))
            if known is None or _margin(line) > _margin(known.line):
                name = version.formula if line.value is not None else ""
                found[line.topic, line.sense] = BestLine(line.topic, line.sense, name, line)
    return tuple(found.values())


def _margin(line: JudgedLine) -> float:
    return -math.inf if line.margin is None else line.margin


@dataclass(frozen=True, slots=True)
class _Version:
    called: str
    name: str
    readings: tuple[Reading, ...]


def _tested(
    connection: Connection, project_id: str, requirements: Sequence[Requirement]
) -> dict[str, _Version]:
    """Return the versions of a project that stand and have results that stand."""
    question = (
        sa.select(trial.c.id, trial.c.formula_id, formula.c.code, formula.c.number, formula.c.name)
        .join(formula, formula.c.id == trial.c.formula_id)
        .where(
            formula.c.project_id == project_id, formula.c.withdrawn == "", trial.c.withdrawn == ""
        )
        .order_by(formula.c.code, formula.c.number, trial.c.made_on, trial.c.code)
    )
    rows = connection.execute(question).mappings().all()
    wanted = [one.quantity for one in requirements]
    readings = readings_of(connection, [row["id"] for row in rows], wanted) if wanted else {}
    found: dict[str, _Version] = {}
    for row in rows:
        measured = readings.get(row["id"], ())
        if measured:
            known = found.get(row["formula_id"])
            before = known.readings if known is not None else ()
            called = f"{row['code']}@{row['number']}"
            found[row["formula_id"]] = _Version(called, row["name"], (*before, *measured))
    return found


def _calculated(connection: Connection, ids: Sequence[str]) -> dict[str, dict[str, Calculated]]:
    """Return the figures of versions that follow from the formula, of the latest prediction."""
    p, v = prediction.c, prediction_value.c
    question = (
        sa.select(
            p.formula_id, p.number, v.quantity, v.median, v.low, v.high,
            formula.c.code, formula.c.number.label("version"),
        )
        .join(prediction, p.id == v.prediction_id)
        .join(formula, formula.c.id == p.formula_id)
        .where(p.withdrawn == "", v.quantity.in_(CALCULATED), v.median.is_not(None))
        .order_by(p.number)
    )  # fmt: skip
    found: dict[str, dict[str, Calculated]] = {}
    for row in rows_of(connection, question, p.formula_id, ids):
        source = f"{row['code']}@{row['version']}/{row['number']}"
        figure = Calculated(row["median"], row["low"], row["high"], source)
        found.setdefault(row["formula_id"], {})[row["quantity"]] = figure
    return found


def _formula_lines(
    connection: Connection, asked: Brief, id: str, called: str
) -> tuple[JudgedLine, ...]:
    try:
        return judge_formula(asked, formula_of(get_formula(connection, id)), called)
    except ZinciteError:  # entered by an earlier release and no longer legal
        return ()
