"""Acts on formulas: enter a version, open one, predict one and keep the prediction."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from zincite.errors import ReadOnlyError
from zincite.evaluation.prediction import Prediction
from zincite.formula.formula import Formula
from zincite.formula.library import library
from zincite.formula.reading import load_formula
from zincite.notebook.briefs import keep_brief
from zincite.notebook.formulas import add_formula, formula_of, get_formula
from zincite.notebook.formulas import open_formula as open_stored
from zincite.notebook.materials import keep_material
from zincite.notebook.predictions import (
    PredictionRecord,
    add_prediction,
    get_prediction,
    list_predictions,
)
from zincite.notebook.quantities import predicted_values
from zincite.notebook.records import SOFTWARE, standing
from zincite.notebook.store import Notebook
from zincite.notebook.writer import Writer
from zincite.workbench.formulas import predict
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

if TYPE_CHECKING:
    from zincite.evaluation.making.stress.deagglomeration import Kinetics
    from zincite.learning.posterior import LabPosterior

__all__ = ["KeptPrediction", "enter_formula", "open_version", "predict_version"]


def enter_formula(
    where: Where,
    path: str | Path,
    project: str,
    *,
    who: str,
    reason: str = "",
    parent: str | None = None,
    cards: str | Path | None = None,
    predicted: bool = False,
) -> Entered:
    """Enter the formula of a file as a new version, with its brief and its own cards.

    Parameters
    ----------
    where : str, Path or Notebook
    path : str or Path
        Formula file; its text is kept beside the version.
    project : str
        Code.
    who : str
    reason : str
        Why it was made; needed from version 2 on.
    parent : str, optional
        Version it came from; the latest of its code when left out.
    cards : str or Path, optional
        Cards used before the library's.
    predicted : bool
        Whether it is predicted and the prediction kept.

    Raises
    ------
    InputError
        If the file cannot be read, or the notebook refuses the version.
    """
    formula = load_formula(path, cards=cards)
    text = Path(path).read_bytes().decode("utf-8-sig")
    with opened(where) as notebook:
        made = predict(formula) if predicted and _may_write(notebook) else None
        with notebook.write(who) as writer:
            id = add_formula(writer, formula, text, project, reason, parent=parent)
            also = _keep_with(writer, formula, id, project)
            if made is not None:
                added = add_prediction(writer, id, made.to_dict(), _today())
                also.append(("prediction", added))
        return entered(notebook, "formula", id, also=also)


def _may_write(notebook: Notebook) -> bool:
    """Refuse a prediction that could not be kept, before it is worked out."""
    if notebook.read_only:
        raise ReadOnlyError(f"{notebook.name} is open for reading only: {notebook.read_only}")
    return True


def _keep_with(writer: Writer, formula: Formula, id: str, project: str) -> list[tuple[str, str]]:
    """Keep the brief and the cards that are not the library's; return those that are new."""
    called = get_formula(writer.connection, id).called
    reason = f"came with {called}"
    found: list[tuple[str, tuple[str, bool]]] = []
    if formula.brief is not None:
        found.append(("brief", keep_brief(writer, project, formula.brief, reason)))
    shipped = library()
    for key, card in formula.materials.items():
        if key not in shipped or shipped[key] != card:
            found.append(("material", keep_material(writer, card, reason)))
    return [(noun, kept) for noun, (kept, is_new) in found if is_new]


def open_version(where: Where, code: str) -> Formula:
    """Return a version as the formula that it is: "K-07@2", or "K-07" for the latest."""
    with opened(where) as notebook, notebook.read() as connection:
        return open_stored(connection, code)


@dataclass(frozen=True, slots=True)
class KeptPrediction:
    """A prediction of a stored version.

    Attributes
    ----------
    prediction : Prediction
    record : PredictionRecord
        As kept.
    is_new : bool
        Whether it was kept now; an equal one was there already where not.
    """

    prediction: Prediction
    record: PredictionRecord
    is_new: bool

    @property
    def sentence(self) -> str:
        """Where it is kept, in one sentence."""
        when = "Kept as" if self.is_new else "The same is kept already as"
        return f"{when} {self.record.called}."

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints: the prediction's keys and where it is kept."""
        kept = {"called": self.record.called, "id": self.record.id, "new": self.is_new}
        return {**self.prediction.to_dict(), "kept": kept}


def predict_version(
    where: Where,
    code: str,
    *,
    who: str,
    laboratory: LabPosterior | None = None,
    kinetics: Kinetics | None = None,
) -> KeptPrediction:
    """Predict a stored version and keep the prediction, once where it is the same again.

    Parameters
    ----------
    where : str, Path or Notebook
    code : str
        "K-07@2", or "K-07" for the latest version that stands.
    who : str
    laboratory, kinetics
        As `zincite.workbench.formulas.predict`; kept with the model's name.

    Raises
    ------
    NotebookError
        If there is no such version, it is withdrawn, or the notebook cannot be written.
    """
    with opened(where) as notebook:
        _may_write(notebook)
        with notebook.read() as connection:
            version = get_formula(connection, code)
        standing(version, "formula")
        id, formula = version.id, formula_of(version)
        made = predict(formula, laboratory=laboratory, kinetics=kinetics)
        shown = made.to_dict()
        if kinetics is not None:
            shown["model"] = f"{shown['model']}, devices as fitted"
        with notebook.write(who) as writer:
            same = _same(writer, id, shown)
            kept = same or add_prediction(writer, id, shown, _today())
        with notebook.read() as connection:
            return KeptPrediction(made, get_prediction(connection, kept), same is None)


def _same(writer: Writer, formula: str, shown: dict[str, Any]) -> str | None:
    values = predicted_values(shown)
    for known in reversed(list_predictions(writer.connection, formula)):
        made_by = (known.model, known.software, known.withdrawn)
        if made_by == (shown["model"], SOFTWARE, "") and known.values == values:
            return known.id
    return None


def _today() -> str:
    return datetime.date.today().isoformat()
