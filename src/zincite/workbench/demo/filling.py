"""The notebook of the demo: the story's acts in the order of their days, through the notebook."""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from pathlib import Path
from typing import Any

from zincite.notebook.attachments import add_attachment
from zincite.notebook.briefs import add_brief
from zincite.notebook.comments import add_comment
from zincite.notebook.decisions import add_decision
from zincite.notebook.formulas import add_formula
from zincite.notebook.lots import CertificateValue, add_lot
from zincite.notebook.materials import add_material
from zincite.notebook.predictions import add_prediction
from zincite.notebook.projects import add_project
from zincite.notebook.results import RawFile, add_result
from zincite.notebook.store import Notebook
from zincite.notebook.trials import add_trial
from zincite.notebook.withdrawing import withdraw
from zincite.notebook.writer import Writer
from zincite.workbench.demo.batches import deviations_of, process_text, weights_of
from zincite.workbench.demo.evaluating import evaluated
from zincite.workbench.demo.hidden_laboratory import Truth
from zincite.workbench.demo.instruments import file_name, measured_file
from zincite.workbench.demo.story import DemoTrial, DemoVersion, Story, read_story
from zincite.workbench.formulas import predict

__all__ = ["LEAD", "Act", "acts_of", "fill_notebook"]

LEAD = "lab lead"

_DAYS_LATER = {
    "size": 0,
    "drops": 0,
    "viscosity": 1,
    "density": 1,
    "ph": 1,
    "flow": 2,
    "contrast": 3,
    "colour": 4,
    "uva": 6,
    "water": 20,
    "spf": 30,
    "uva-pf": 31,
}
"""Days after the batch on which a test's file came."""
_ON_PEOPLE = ("spf", "uva-pf", "water")


@dataclass(frozen=True, slots=True)
class Act:
    """One thing that was entered.

    Attributes
    ----------
    on : str
        Day.
    rank : int
        Order within a day.
    who : str
    write : callable
        Enters it.
    """

    on: str
    rank: int
    who: str
    write: Callable[[Writer], Any]


def fill_notebook(
    notebook: Notebook, *, progress: Callable[[int, int], None] | None = None
) -> None:
    """Write the demo's six months into an empty notebook.

    Parameters
    ----------
    notebook : Notebook
    progress : callable, optional
        Told how many acts are done, of how many.
    """
    acts = acts_of(read_story())
    done = 0
    for who, together in groupby(acts, key=lambda act: act.who):
        with notebook.write(who) as writer:
            for act in together:
                act.write(writer)
                done += 1
                if progress is not None:
                    progress(done, len(acts))


def acts_of(story: Story) -> list[Act]:
    """Return everything that is entered, in order."""
    found = [*_beginnings(story), *_lots(story)]
    for version in story.versions:
        found += _version_acts(version, story.project["code"])
    for trial in story.trials:
        found += _trial_acts(trial, story)
    found += _said(story)
    return sorted(found, key=lambda act: (act.on, act.rank))


def _beginnings(story: Story) -> Iterator[Act]:
    first = min(str(lot["received_on"]) for lot in story.lots)
    code = story.project["code"]
    yield Act(first, 0, LEAD, lambda writer: add_project(writer, **story.project))
    for on, reason, brief in story.briefs:
        yield Act(on, 1, LEAD, partial(_add_brief, code=code, brief=brief, reason=reason))
    for on, reason, card in story.cards:
        yield Act(on, 2, LEAD, partial(add_material, card=card, reason=reason))


def _add_brief(writer: Writer, *, code: str, brief: Any, reason: str) -> None:
    add_brief(writer, code, brief, reason)


def _lots(story: Story) -> Iterator[Act]:
    for lot in story.lots:
        more = {
            key: lot[key] for key in ("supplier", "received_on", "expires_on", "note") if key in lot
        }
        values = [_certified(quantity, text) for quantity, text in lot.get("values", {}).items()]
        write = partial(add_lot, code=lot["code"], material=lot["material"], values=values, **more)
        yield Act(lot["received_on"], 3, LEAD, write)


def _certified(quantity: str, text: str) -> CertificateValue:
    number, unit = text.split(" ", 1)
    return CertificateValue(quantity, float(number), unit)


def _version_acts(version: DemoVersion, project: str) -> Iterator[Act]:
    def enter(writer: Writer) -> None:
        parent = version.parent or None
        add_formula(writer, version.formula, "", project, version.reason, parent=parent)

    def foretell(writer: Writer) -> None:
        add_prediction(writer, version.name, predict(version.formula).to_dict(), version.on)

    yield Act(version.on, 4, LEAD, enter)
    yield Act(version.on, 5, LEAD, foretell)


def _trial_acts(trial: DemoTrial, story: Story) -> Iterator[Act]:
    def enter(writer: Writer) -> None:
        add_trial(
            writer,
            trial.version,
            code=trial.code,
            made_on=trial.made_on,
            made_by=trial.made_by,
            batch_kg=trial.batch_kg,
            process=process_text(trial),
            weights=weights_of(trial),
            deviations=deviations_of(trial, story),
        )

    yield Act(trial.made_on, 6, trial.made_by, enter)
    truth = Truth(trial)
    for kind, people in trial.tests:
        on = _working_day(trial.made_on, _DAYS_LATER[kind])
        who = LEAD if kind in _ON_PEOPLE else trial.made_by
        yield Act(on, 7, who, partial(_measure, truth=truth, kind=kind, people=people, on=on))


def _working_day(on: str, later: int) -> str:
    day = datetime.date.fromisoformat(on) + datetime.timedelta(days=later)
    weekend = max(day.weekday() - 4, 0)
    return (day + datetime.timedelta(days=3 - weekend if weekend else 0)).isoformat()


def _measure(writer: Writer, *, truth: Truth, kind: str, people: int, on: str) -> None:
    """Let the instrument write its file, evaluate it as any other file, and keep both."""
    trial = truth.trial
    data, name = measured_file(trial, truth, kind, people), file_name(trial, kind)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        material = truth.pigment.id if kind == "size" else ""
        found = evaluated(kind, path, label_spf=trial.label_spf, material=material)
    add_result(
        writer,
        trial.code,
        found.kind,
        measured_on=on,
        evaluation=found.evaluation,
        values=found.values,
        method=found.method,
        valid=found.valid,
        raw=RawFile(name, data),
    )


def _said(story: Story) -> Iterator[Act]:
    for entry in story.said["withdrawal"]:
        gone = partial(_withdraw, trial=entry["trial"], reason=entry["reason"])
        yield Act(entry["on"], 8, LEAD, gone)
    for rank, kind in enumerate(("comment", "decision", "attachment"), start=9):
        for entry in story.said[kind]:
            write = partial(_SAY[kind], entry=entry)
            yield Act(entry["on"], rank, entry.get("who", LEAD), write)


def _withdraw(writer: Writer, *, trial: str, reason: str) -> None:
    withdraw(writer, "trial", trial, reason)


def _comment(writer: Writer, *, entry: dict[str, str]) -> None:
    add_comment(writer, *_subject(entry["about"]), f"{entry['on']}: {entry['text']}")


def _decide(writer: Writer, *, entry: dict[str, str]) -> None:
    reason = f"{entry['on']}: {entry['reason']}"
    add_decision(writer, *_subject(entry["about"]), entry["verdict"], reason)


def _attach(writer: Writer, *, entry: dict[str, str]) -> None:
    data = entry["text"].lstrip().encode()
    add_attachment(writer, *_subject(entry["about"]), entry["name"], data)


_SAY: dict[str, Callable[..., None]] = {
    "comment": _comment,
    "decision": _decide,
    "attachment": _attach,
}


def _subject(about: str) -> tuple[str, str]:
    if about.startswith("lot "):
        return "lot", about.removeprefix("lot ")
    return ("formula" if "@" in about else "trial"), about
