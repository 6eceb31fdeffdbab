"""`zincite batch`: the record of one batch, to print, to fill in and to review."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import click

from zincite.errors import InputError
from zincite.interfaces.cli.notebook.common import optional_notebook
from zincite.interfaces.cli.opening import head_line, opened_formula
from zincite.interfaces.cli.options import as_json, cards, formula_file, write_text

if TYPE_CHECKING:
    from zincite.evaluation.making.batch.batch_record import BatchRecord
    from zincite.formula.formula import Formula
    from zincite.workbench.making.report import MakingReport

__all__ = ["batch"]


@click.command()
@formula_file
@click.option("--kg", required=True, metavar="KG", help="Batch size, 0.1 to 1000 kg.")
@click.option("--batch-number", default="", metavar="TEXT", help="Printed on the record.")
@click.option(
    "--balance-g",
    metavar="G",
    help="Step of the one balance that weighs everything (usual balances by weight).",
)
@click.option(
    "--tolerance",
    type=float,
    default=1.0,
    metavar="PERCENT",
    help="Tolerance of a weight (1 %).",
)
@click.option(
    "--uv-filter-tolerance",
    type=float,
    default=0.5,
    metavar="PERCENT",
    help="Tolerance of a UV filter's weight (0.5 %).",
)
@click.option(
    "--viscosity",
    type=float,
    metavar="MPA_S",
    help="Viscosity of the reference batch; the limit is 20 % around it.",
)
@click.option(
    "--density",
    type=float,
    metavar="G_ML",
    help="Density of the reference batch; the limit is 0.02 g/mL around it.",
)
@click.option("--html", metavar="FILE", help="Also write the record as a page to print on A4.")
@click.option("--template", metavar="FILE", help="Also write an empty file to fill in.")
@click.option("--force", is_flag=True, help="Let --template replace a file that is there.")
@click.option("--filled", metavar="FILE", help="Review a filled file: weights, lots, holds, yield.")
@as_json
@cards
@optional_notebook
@click.pass_context
def batch(
    ctx: click.Context,
    /,
    formula: str,
    as_json: bool,
    cards: str | None,
    notebook: str | None,
    **given: Any,
) -> None:
    """Write the batch record of a formula: weighing list, steps, hold points, release.

    Weights are rounded to the balance and sum to the batch exactly. --html gives the paper,
    --template the file to fill in, --filled the review of what was filled in; exit status 1
    where something lies outside its limits and no decided deviation covers it. With --notebook
    FORMULA is a stored version such as K-07@2; `zincite trial add --filled` enters the batch.
    """
    from zincite.workbench.making.batch import batch_template, review_batch

    html, template, filled = given["html"], given["template"], given["filled"]
    made = _made(opened_formula(formula, cards, notebook), given)
    if template is not None:
        _refuse_same(template, {"the formula": formula, "--filled": filled})
        text = batch_template(made)
        write_text(template, text, what="the file to fill in", replace=given["force"])
    if filled is not None:
        made = review_batch(made, filled)
    if html is not None:
        from zincite.interfaces.documents.making.batch_page import batch_html

        write_text(html, batch_html(made, head=head_line(notebook)), what="the record")
    _show(made, as_json, [name for name in (html, template) if name is not None])
    review = made.result.review
    ctx.exit(1 if review is not None and review.verdict == "fails" else 0)


def _made(formula: Formula, given: dict[str, Any]) -> MakingReport[BatchRecord]:
    from zincite.evaluation.making.batch.batch_record import WeighingRules
    from zincite.evaluation.making.batch.record_holds import References
    from zincite.workbench.making.batch import make_batch

    return make_batch(
        formula,
        given["kg"],
        WeighingRules(given["balance_g"], given["tolerance"], given["uv_filter_tolerance"]),
        batch_number=given["batch_number"],
        references=References(given["viscosity"], given["density"]),
    )


def _refuse_same(template: str, others: dict[str, str | None]) -> None:
    for what, name in others.items():
        if name is not None and os.path.realpath(name) == os.path.realpath(template):
            raise InputError(f"--template {template}: is {what} itself, expected a new name")


def _show(made: MakingReport[BatchRecord], as_json: bool, written: list[str]) -> None:
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(made.to_dict())
        return
    from zincite.interfaces.cli.making.view import show_making

    screen = Screen()
    show_making(screen, made)
    if written:
        screen.heading("Written")
        screen.items(written)
    screen.write()
