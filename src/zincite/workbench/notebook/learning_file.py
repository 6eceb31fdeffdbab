"""Stored results as a results file of `zincite learn`, with the formulas that it names."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from zincite.errors import InputError
from zincite.formula.formula import Formula
from zincite.learning.emulator import learnable_grades
from zincite.learning.observations import KINDS
from zincite.notebook.formulas import FormulaRecord, formula_of, get_formula
from zincite.notebook.projects import get_project
from zincite.notebook.results import ResultRecord, list_results
from zincite.notebook.trials import TrialRecord, get_trial
from zincite.workbench.notebook.opening import Where, opened

if TYPE_CHECKING:
    from sqlalchemy.engine import Connection

__all__ = ["LearningFile", "LeftOut", "write_learning_file"]

_LEARNT_FROM = ("spf", "uva-pf", "uva", "size")
"""Tests whose evaluation holds lines for learning."""
_MOST = 2000  # as many as `zincite learn` reads


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A result that is not learnt from: its name and why."""

    result: str
    why: str


@dataclass(frozen=True, slots=True)
class LearningFile:
    """What was written.

    Attributes
    ----------
    path, folder : Path
        The results file, and the folder of the formulas that it names.
    results : dict of str to int
        How many of each kind of `zincite.learning.observations.KINDS`.
    formulas : tuple of str
        Versions, such as "K-07@2".
    left_out : tuple of LeftOut
    """

    path: Path
    folder: Path
    results: dict[str, int]
    formulas: tuple[str, ...]
    left_out: tuple[LeftOut, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "file": str(self.path),
            "formula_folder": str(self.folder),
            "results": dict(self.results),
            "formulas": list(self.formulas),
            "left_out": [{"result": item.result, "why": item.why} for item in self.left_out],
        }


@dataclass(slots=True)
class _Gathered:
    connection: Connection
    project: str
    with_deviations: bool
    trials: dict[str, TrialRecord] = field(default_factory=dict)
    versions: dict[str, tuple[FormulaRecord, Formula]] = field(default_factory=dict)
    left_out: list[LeftOut] = field(default_factory=list)

    def trial(self, code: str) -> TrialRecord:
        if code not in self.trials:
            self.trials[code] = get_trial(self.connection, code)
        return self.trials[code]

    def version(self, called: str) -> tuple[FormulaRecord, Formula]:
        if called not in self.versions:
            record = get_formula(self.connection, called)
            self.versions[called] = (record, formula_of(record))
        return self.versions[called]


def write_learning_file(
    where: Where,
    target: str | Path,
    *,
    project: str = "",
    with_deviations: bool = False,
    replace: bool = False,
) -> LearningFile:
    """Write what was measured on people, plates and mill bases for `zincite learn`.

    Parameters
    ----------
    where : str, Path or Notebook
    target : str or Path
        TOML file to write; the formulas go into a folder beside it.
    project : str
        Code; results of all projects when left out.
    with_deviations : bool
        Whether batches that were made otherwise than written count too.
    replace : bool
        Whether files that are there may be replaced.

    Returns
    -------
    LearningFile

    Raises
    ------
    InputError
        If there is no such project, nothing can be learnt from, or the files cannot be written.
    """
    path = Path(target)
    folder = path.with_name(f"{path.stem}-formulas")
    with opened(where) as notebook, notebook.read() as connection:
        if project:
            get_project(connection, project)  # refused where there is none
        known = _Gathered(connection, project, with_deviations)
        found = [pair for result in _results(connection) for pair in _lines(result, known)]
        name = notebook.name
    if not found:
        raise InputError(
            f"{name}: holds no result that can be learnt from, expected a valid test on people or "
            "plates (spf, uva-pf, uva)"
        )
    used = {called: known.versions[called][0].toml for called, _ in found}
    texts = {folder / f"{called}.toml": text for called, text in used.items()}
    texts[path] = _file_text(found, folder.name)
    _write(texts, path, folder, replace=replace)
    counts = {kind: sum(line["kind"] == kind for _, line in found) for kind in KINDS}
    return LearningFile(path, folder, counts, tuple(sorted(used)), tuple(known.left_out))


def _results(connection: Connection) -> list[ResultRecord]:
    """Return the latest results of the kinds that are learnt from, in order of their days."""
    found = [
        result
        for kind in _LEARNT_FROM
        for result in list_results(connection, kind=kind, at_most=_MOST)
    ]
    return sorted(found, key=lambda result: (result.measured_on, result.called))[-_MOST:]


def _lines(result: ResultRecord, known: _Gathered) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the lines of one result with the version that they are of."""
    trial = known.trial(result.trial)
    record, formula = known.version(trial.formula)
    if known.project and record.project != known.project:
        return
    why = _against(result, trial, record, with_deviations=known.with_deviations)
    if why:
        known.left_out.append(LeftOut(result.called, why))
        return
    for line in _told(result):
        if line["kind"] == "aggregate-fraction" and line["material"] not in learnable_grades(
            formula
        ):
            why = f"the card of {line['material']} states its dispersion state"
            known.left_out.append(LeftOut(result.called, why))
            continue
        yield trial.formula, {**line, "disperser": _disperser(formula), "result": result.called}


def _against(
    result: ResultRecord, trial: TrialRecord, version: FormulaRecord, *, with_deviations: bool
) -> str:
    """Return why a result is not learnt from, "" where it is."""
    if result.withdrawn or trial.withdrawn or version.withdrawn:
        return "withdrawn"
    if not result.valid:
        return "the test is not valid"
    if trial.deviations and not with_deviations:
        return "the batch was made otherwise than its formula says"
    return ""


def _told(result: ResultRecord) -> Iterator[dict[str, Any]]:
    """Yield the lines for learning that the evaluation of a test gave."""
    for lines in json.loads(result.evaluation).get("lines", ()):
        rows = tomllib.loads(str(lines["toml"])).get("result")
        yield from rows if isinstance(rows, list) else ()


def _disperser(formula: Formula) -> str:
    """Return the device that had the pigment last before another phase came to it."""
    pigment = {phase.name for phase in formula.phases if phase.kind == "pigment"}
    device = ""
    for step in formula.process:
        if not set(step.phases) <= pigment:
            break
        device = step.device
    return device


def _file_text(found: list[tuple[str, dict[str, Any]]], folder: str) -> str:
    text = ["# Written by `zincite notebook learn-file`: read it with `zincite learn`."]
    for called, line in found:
        text += ["", f"[[result]]   # {line['result']}"]
        text.append(f"formula = {json.dumps(f'{folder}/{called}.toml', ensure_ascii=False)}")
        for key in ("kind", "value", "standard_error", "material", "disperser"):
            if line.get(key):
                text.append(f"{key} = {json.dumps(line[key], ensure_ascii=False)}")
    return "\n".join(text) + "\n"


def _write(texts: dict[Path, str], target: Path, folder: Path, *, replace: bool) -> None:
    there = [path for path in texts if path.exists()]
    if there and not replace:
        raise InputError(
            f"{there[0]}: is there already, expected a new name for the results file, or --force "
            "to replace it and its formulas"
        )
    try:
        folder.mkdir(exist_ok=True)
        for path, text in texts.items():
            path.write_text(text, encoding="utf-8", newline="\n")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not usable"
        raise InputError(
            f"{target}: cannot be written ({reason}), expected a file name "
            "in a folder that is there and may be written to"
        ) from None
