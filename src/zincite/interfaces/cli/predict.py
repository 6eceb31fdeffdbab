"""`zincite predict`: the judged prediction of one formula."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.errors import InputError, OutOfRangeError
from zincite.interfaces.cli.notebook.common import optional_notebook, who
from zincite.interfaces.cli.opening import head_line
from zincite.interfaces.cli.options import as_json, cards, formula_file, model, write_text

if TYPE_CHECKING:
    from zincite.evaluation.making.stress.deagglomeration import Kinetics
    from zincite.evaluation.prediction import Prediction
    from zincite.learning.posterior import LabPosterior

__all__ = ["predict"]


@click.command()
@formula_file
@as_json
@click.option("--html", metavar="FILE", help="Also write a report page with pictures.")
@cards
@model
@optional_notebook
@who
@click.option(
    "--process-fit",
    metavar="FIT.json",
    help="De-agglomeration of devices as `zincite making fit` fitted it.",
)
@click.option(
    "--dose",
    "dose_mg_cm2",
    type=float,
    default=2.0,
    metavar="MG_CM2",
    help="Applied dose, 0.1 to 10 mg/cm2 (2, as in the SPF method).",
)
def predict(
    formula: str,
    as_json: bool,
    html: str | None,
    cards: str | None,
    model: str | None,
    notebook: str | None,
    who: str,
    process_fit: str | None,
    dose_mg_cm2: float,
) -> None:
    """Predict SPF, UVA, white cast, cost and more of a formula.

    Shown first: each line of the brief with its margin, the chance to meet it and the lever that
    helps most. With --notebook FORMULA is a stored version such as K-07@2, and the prediction is
    kept with it.
    """
    if not 0.1 <= dose_mg_cm2 <= 10:
        raise OutOfRangeError(f"--dose is {dose_mg_cm2:g}, expected 0.1 to 10 mg/cm2")
    laboratory, kinetics = _learnt(model, process_fit)
    kept = ""
    if notebook is None:
        from zincite.workbench.formulas import open_formula
        from zincite.workbench.formulas import predict as make

        made = make(
            open_formula(formula, cards=cards),
            laboratory=laboratory,
            dose_mg_cm2=dose_mg_cm2,
            kinetics=kinetics,
        )
        shown = made.to_dict
    else:
        _refuse_with_notebook(cards, dose_mg_cm2)
        from zincite.workbench.notebook.formulas import predict_version

        found = predict_version(
            notebook, formula, who=who, laboratory=laboratory, kinetics=kinetics
        )
        made, shown, kept = found.prediction, found.to_dict, found.sentence
    if html is not None:
        write_text(html, _report(made, head_line(notebook)), what="the report")
    if as_json:
        from zincite.interfaces.cli.terminal import print_json

        print_json(shown())
        return
    _show(made, html, kept)


def _show(made: Prediction, html: str | None, kept: str) -> None:
    from zincite.interfaces.cli.prediction_view import show_prediction
    from zincite.interfaces.cli.terminal import Screen

    screen = Screen()
    show_prediction(screen, made)
    if html is not None:
        screen.heading("Report")
        screen.line(html)
    if kept:
        screen.heading("Notebook")
        screen.line(kept)
    screen.write()


def _learnt(
    model: str | None, process_fit: str | None
) -> tuple[LabPosterior | None, Kinetics | None]:
    laboratory, kinetics = None, None
    if model is not None:
        from zincite.workbench.learning import open_laboratory

        laboratory = open_laboratory(model)
    if process_fit is not None:
        from zincite.workbench.making.deagglomeration import open_fit

        kinetics = open_fit(process_fit)
    return laboratory, kinetics


def _refuse_with_notebook(cards: str | None, dose_mg_cm2: float) -> None:
    if cards is not None:
        raise InputError(
            "--cards with --notebook: a stored version has its own cards, expected no --cards"
        )
    if dose_mg_cm2 != 2.0:
        raise InputError(
            f"--dose is {dose_mg_cm2:g} with --notebook, expected 2 mg/cm2: predictions are kept "
            "for one dose, so that they compare"
        )


def _report(made: Prediction, head: str) -> str:
    from zincite.interfaces.documents.report import report_html
    from zincite.workbench.formulas import check
    from zincite.workbench.making.overview import overview

    return report_html(
        made,
        check(made.formula, prediction=made),
        making=overview(made.formula),
        head=head,
    )
