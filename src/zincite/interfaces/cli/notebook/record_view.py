"""How a terminal shows each noun of the notebook."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from rich.text import Text

from zincite.evaluation.estimate import Estimate, Exact
from zincite.interfaces.cli.terminal import Screen
from zincite.interfaces.documents.numbers import found_text, number_text, unit_text
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.attachments import AttachmentRecord
from zincite.notebook.briefs import BriefRecord
from zincite.notebook.comments import CommentRecord
from zincite.notebook.decisions import DecisionRecord
from zincite.notebook.formulas import FormulaRecord
from zincite.notebook.lots import LotRecord
from zincite.notebook.materials import MaterialRecord
from zincite.notebook.predictions import PredictionRecord
from zincite.notebook.projects import ProjectRecord
from zincite.notebook.records import Record
from zincite.notebook.results import ResultRecord
from zincite.notebook.trials import TrialRecord

__all__ = ["measured", "said_when", "show_record"]


def show_record(screen: Screen, record: Record, *, whole: bool = True) -> None:
    """Print a thing with its parts, whether it stands first.

    Parameters
    ----------
    screen : Screen
    record : Record
    whole : bool
        Whether what a formula and a trial weigh, and a trial's steps, are printed.
    """
    if record.withdrawn:
        screen.line(Text(f"WITHDRAWN  {record.withdrawn}", style="bold red"))
    for kind, view in _VIEWS.items():
        if isinstance(record, kind):
            view(screen, record)
    if whole and isinstance(record, FormulaRecord):
        _weighed(screen, record)
    if whole and isinstance(record, TrialRecord):
        _made(screen, record)


def said_when(at: str) -> str:
    """Return a time of the history as people read it: to the minute, UTC."""
    return f"{at[:10]} {at[11:16]} UTC"


def _grams(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def measured(value: float | None, low: float | None, high: float | None, unit: str) -> str:
    """Return a figure with its interval and unit, such as "31.2 (28.2 to 34.3)"."""
    if value is None or low is None:
        return found_text(Exact(value, unit))
    if high is None:
        return f"{found_text(Exact(value, unit))} (at least {number_text(low)})"
    return found_text(Estimate(value, low, high, unit))


def _pairs(screen: Screen, rows: Iterable[tuple[str, str]]) -> None:
    screen.pairs((name, text) for name, text in rows if text)


def _project(screen: Screen, record: ProjectRecord) -> None:
    _pairs(screen, (("name", record.name), ("note", record.note)))


def _brief(screen: Screen, record: BriefRecord) -> None:
    _pairs(screen, (("name", record.name), ("reason", record.reason)))
    screen.heading("Brief")
    for line in record.toml.splitlines()[1:]:
        screen.line(line)


def _material(screen: Screen, record: MaterialRecord) -> None:
    from zincite.interfaces.cli.materials_view import show_card
    from zincite.notebook.materials import card_of

    _pairs(screen, (("version", str(record.number)), ("reason", record.reason)))
    show_card(screen, card_of(record))


def _lot(screen: Screen, record: LotRecord) -> None:
    _pairs(
        screen,
        (
            ("material", record.material_key),
            ("supplier", record.supplier),
            ("received", record.received_on),
            ("expires", record.expires_on),
            ("note", record.note),
        ),
    )
    if record.values:
        screen.heading("Certificate")
        rows = [
            (v.quantity, v.text or f"{v.value:.6g} {unit_text(v.unit)}".strip())
            for v in record.values
        ]
        screen.table((("quantity", "left"), ("value", "left")), rows)


def _formula(screen: Screen, record: FormulaRecord) -> None:
    came = f"from {record.parent}" if record.parent else "first version"
    _pairs(
        screen,
        (
            ("name", record.name),
            ("project", record.project),
            ("lineage", came),
            ("reason", record.reason),
        ),
    )


def _weighed(screen: Screen, record: FormulaRecord) -> None:
    screen.heading("Weighed", "mass %")
    rows = []
    for item in record.items:
        pigment = ", ".join(text for text in (item.core, item.coating) if text)
        rows.append((item.phase, item.material_key, f"{item.percent:.4g}", pigment))
    columns = (("phase", "left"), ("material", "left"), ("%", "right"), ("core, coating", "left"))
    screen.table(columns, rows, widths=(5, 57, 6, 26))


def _prediction(screen: Screen, record: PredictionRecord) -> None:
    _pairs(
        screen,
        (
            ("of", record.formula),
            ("model", record.model),
            ("software", record.software),
            ("made on", record.made_on),
        ),
    )
    screen.heading("Predicted", "median (90 % interval)")
    rows = [(quantity_words(v.quantity), measured(v.median, v.low, v.high, v.unit))
            for v in record.values]  # fmt: skip
    screen.table((("quantity", "left"), ("value", "left")), rows)


def _trial(screen: Screen, record: TrialRecord) -> None:
    size = "" if record.batch_kg is None else f"{record.batch_kg:g} kg"
    _pairs(
        screen,
        (
            ("formula", record.formula),
            ("made", f"{record.made_on} by {record.made_by}"),
            ("batch", size),
            ("note", record.note),
        ),
    )
    if record.deviations:
        screen.heading("Deviations")
        screen.items(f"{d.what}: {d.decision or 'open'}" for d in record.deviations)


def _made(screen: Screen, record: TrialRecord) -> None:
    if record.weights:
        screen.heading("Weights", "g")
        rows = [
            (w.phase, w.material_key, w.lot, _grams(w.target_g), _grams(w.actual_g))
            for w in record.weights
        ]
        columns = (
            *(("phase", "left"), ("material", "left"), ("lot", "left")),
            *(("target", "right"), ("actual", "right")),
        )
        used = [n for n, _ in enumerate(columns) if any(row[n] for row in rows)]
        screen.table([columns[n] for n in used], ([row[n] for n in used] for row in rows))
    if record.process:
        screen.heading("Process")
        for line in record.process.splitlines():
            screen.line(line)


def _result(screen: Screen, record: ResultRecord) -> None:
    kept = f"{record.file_name}, SHA-256 {record.sha256}" if record.sha256 else ""
    _pairs(
        screen,
        (
            ("kind", record.kind),
            ("measured on", record.measured_on),
            ("method", record.method),
            ("valid", "yes" if record.valid else "no"),
            ("software", record.software),
            ("raw file", kept),
        ),
    )
    screen.heading("Measured")
    rows = [(quantity_words(v.quantity), measured(v.value, v.low, v.high, v.unit))
            for v in record.values]  # fmt: skip
    screen.table((("quantity", "left"), ("value", "left")), rows)


def _decision(screen: Screen, record: DecisionRecord) -> None:
    _pairs(screen, (("verdict", record.verdict), ("reason", record.reason)))


def _attachment(screen: Screen, record: AttachmentRecord) -> None:
    _pairs(
        screen,
        (("file", record.name), ("type", record.media_type), ("SHA-256", record.sha256)),
    )


def _comment(screen: Screen, record: CommentRecord) -> None:
    screen.line(record.text)


_VIEWS: dict[type[Record], Callable[[Screen, Any], None]] = {
    ProjectRecord: _project,
    BriefRecord: _brief,
    MaterialRecord: _material,
    LotRecord: _lot,
    FormulaRecord: _formula,
    PredictionRecord: _prediction,
    TrialRecord: _trial,
    ResultRecord: _result,
    DecisionRecord: _decision,
    AttachmentRecord: _attachment,
    CommentRecord: _comment,
}
