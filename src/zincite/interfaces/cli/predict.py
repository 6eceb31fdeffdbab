"""`zincite predict`: the judged prediction of one formula."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.errors import OutOfRangeError
from zincite.interfaces.cli.options import as_json, cards, formula_file, model, write_text

if TYPE_CHECKING:
    from zincite.evaluation.prediction import Prediction

__all__ = ["predict"]


@click.command()
@formula_file
@as_json
@click.option("--html", metavar="FILE", help="Also write a report page with pictures.")
@cards
@model
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
    process_fit: str | None,
    dose_mg_cm2: float,
) -> None:
    """Predict SPF, UVA, white cast, cost and more of a formula.

    Shown first: each line of the brief with its margin, the chance to meet it and the lever that
    helps most.
    """
    from zincite.workbench.formulas import open_formula
    from zincite.workbench.formulas import predict as make

    if not 0.1 <= dose_mg_cm2 <= 10:
        raise OutOfRangeError(f"--dose is {dose_mg_cm2:g}, expected 0.1 to 10 mg/cm2")
    from zincite.workbench.learning import open_laboratory

    laboratory = None if model is None else open_laboratory(model)
    kinetics = None
    if process_fit is not None:
        from zincite.workbench.making.deagglomeration import open_fit

        kinetics = open_fit(process_fit)
    made = make(
        open_formula(formula, cards=cards),
        laboratory=laboratory,
        dose_mg_cm2=dose_mg_cm2,
        kinetics=kinetics,
    )
    if html is not None:
        write_text(html, _report(made), what="the report")
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(made.to_dict())
        return
    from zincite.interfaces.cli.prediction_view import show_prediction

    screen = Screen()
    show_prediction(screen, made)
    if html is not None:
        screen.heading("Report")
        screen.line(html)
    screen.write()


def _report(made: Prediction) -> str:
    from zincite.interfaces.documents.report import report_html
    from zincite.workbench.formulas import check
    from zincite.workbench.making.overview import overview

    return report_html(made, check(made.formula, prediction=made), making=overview(made.formula))
