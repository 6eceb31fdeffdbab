"""How a terminal lists the nouns of the notebook, and its history."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from zincite.interfaces.cli.notebook.record_view import measured, said_when
from zincite.interfaces.cli.terminal import Screen
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.briefs import BriefRecord
from zincite.notebook.decisions import DecisionRecord
from zincite.notebook.formulas import FormulaRecord
from zincite.notebook.history import Entry
from zincite.notebook.lots import LotRecord
from zincite.notebook.materials import MaterialRecord
from zincite.notebook.predictions import PredictionRecord
from zincite.notebook.projects import ProjectRecord
from zincite.notebook.records import Record
from zincite.notebook.results import ResultRecord
from zincite.notebook.trials import TrialRecord
from zincite.workbench.notebook.listing import History, Listing

__all__ = ["list_records", "show_history", "show_listing"]

_FIGURES = 2  # of a result in a list; all of them where it is shown alone


def _left(*names: str) -> tuple[tuple[str, str], ...]:
    return tuple((name, "left") for name in names)


_COLUMNS: dict[str, tuple[tuple[str, str], ...]] = {
    "projects": _left("code", "name", "state"),
    "briefs": _left("brief", "name", "reason", "state"),
    "materials": _left("card", "INCI", "reason", "state"),
    "lots": _left("lot", "material", "supplier", "received", "expires", "state"),
    "formulas": _left("version", "project", "from", "name", "reason", "state"),
    "predictions": _left("prediction", "made on", "SPF", "model", "state"),
    "trials": _left("trial", "formula", "made on", "made by", "kg", "state"),
    "results": _left("result", "kind", "measured on", "figures", "state"),
    "decisions": _left("about", "verdict", "reason", "state"),
}
"""Columns of each list."""


def list_records(
    screen: Screen, noun: str, records: Sequence[Record], names: Mapping[str, str] | None = None
) -> None:
    """Print things one a row; a column in which nothing stands is left out.

    Parameters
    ----------
    screen : Screen
    noun : str
        In the plural.
    records : sequence of Record
    names : mapping of str to str, optional
        What decisions are about, by id.
    """
    rows = []
    for record in records:
        row = [*_CELLS[noun](record), _state(record)]
        if isinstance(record, DecisionRecord):
            row.insert(0, (names or {}).get(record.subject, record.noun))
        rows.append(row)
    columns = _COLUMNS[noun]
    used = [n for n, _ in enumerate(columns) if any(row[n] for row in rows)]
    screen.table([columns[n] for n in used], ([row[n] for n in used] for row in rows))


def _state(record: Record) -> str:
    if record.withdrawn:
        return "withdrawn"
    if isinstance(record, ResultRecord) and not record.valid:
        return "not valid"
    return ""


def _project(record: ProjectRecord) -> list[str]:
    return [record.code, record.name]


def _brief(record: BriefRecord) -> list[str]:
    return [record.called, record.name, record.reason]


def _material(record: MaterialRecord) -> list[str]:
    return [record.called, record.inci, record.reason]


def _lot(record: LotRecord) -> list[str]:
    return [
        *(record.code, record.material_key, record.supplier),
        *(record.received_on, record.expires_on),
    ]


def _formula(record: FormulaRecord) -> list[str]:
    return [record.called, record.project, record.parent or "", record.name, record.reason]


def _prediction(record: PredictionRecord) -> list[str]:
    spf = record.of("spf")
    shown = "" if spf is None else measured(spf.median, spf.low, spf.high, "")
    return [record.called, record.made_on, shown, record.model]


def _trial(record: TrialRecord) -> list[str]:
    size = "" if record.batch_kg is None else f"{record.batch_kg:g}"
    return [record.code, record.formula, record.made_on, record.made_by, size]


def _result(record: ResultRecord) -> list[str]:
    shown = [
        f"{quantity_words(v.quantity)} {measured(v.value, v.low, v.high, v.unit)}"
        for v in record.values[:_FIGURES]
    ]
    more = len(record.values) - len(shown)
    figures = "; ".join(shown) + (f"; {more} more" if more else "")
    return [record.called, record.kind, record.measured_on, figures]


def _decision(record: DecisionRecord) -> list[str]:
    return [record.verdict, record.reason]


_CELLS: dict[str, Callable[[Any], list[str]]] = {
    "projects": _project,
    "briefs": _brief,
    "materials": _material,
    "lots": _lot,
    "formulas": _formula,
    "predictions": _prediction,
    "trials": _trial,
    "results": _result,
    "decisions": _decision,
}


def show_listing(screen: Screen, listing: Listing) -> None:
    """Print the things of a noun, one a row."""
    count = len(listing.records)
    noun = listing.noun.removesuffix("s") if count == 1 else listing.noun
    screen.title(f"{count} {noun}", "the latest first" if listing.more else "")
    if not listing.records:
        return
    list_records(screen, listing.noun, listing.records, listing.names)
    if listing.more:
        screen.line("There are more: name fewer with an option, or see --json.", style="dim")


def _what(entry: Entry) -> str:
    """Return what was done to what, such as "added trial T-001"."""
    done = entry.kind.removeprefix(f"{entry.noun} ")
    named = entry.called.startswith(f"{entry.noun} ")  # "decision on K-07@2"
    return f"{done} {entry.called}" if named else f"{done} {entry.noun} {entry.called}"


def show_history(screen: Screen, history: History) -> None:
    """Print events, the latest first."""
    about = f" about {history.about}" if history.about else ""
    screen.title(f"History{about}", f"{history.events} events in the notebook")
    rows = [
        (str(e.seq), said_when(e.at), e.who, _what(e),
         e.said)
        for e in history.entries
    ]  # fmt: skip
    columns = (
        *(("event", "right"), ("when", "left"), ("who", "left")),
        *(("what", "left"), ("said", "left")),
    )
    screen.table(columns, rows)
    if history.head_hash:
        screen.line()
        screen.line(f"head {history.head_hash}", style="dim")
