"""Options that the assay commands share, and how each ends."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any

import click

from zincite.interfaces.cli.opening import head_line, opened_formula
from zincite.interfaces.cli.options import as_json, cards, model, write_text

if TYPE_CHECKING:
    from zincite.workbench.assay import Expected
    from zincite.workbench.assay.report import AssayReport

__all__ = [
    "EXIT",
    "Command",
    "decimal",
    "ends",
    "formula",
    "only_evaluate",
    "quantity",
]

Command = Callable[..., Any]

_ONLY_EVALUATE = f"{__name__}.only_evaluate"

EXIT = "Exit status: 0 done and valid, 1 done but not valid or a given limit missed, 2 bad input."

_formula = click.option(
    "--formula",
    metavar="FORMULA.toml",
    help="Lay the formula's prediction with its 90 % interval over the result.",
)
_html = click.option("--html", metavar="FILE", help="Also write a page with the picture.")
_notebook = click.option(
    "--notebook",
    metavar="FILE_OR_URL",
    help="Notebook that --formula is a version of; the page prints where its history ends.",
)

decimal = click.option(
    "--decimal",
    type=click.Choice([".", ","]),
    help="Decimal sign of the files, where they cannot tell.",
)
quantity = click.option(
    "--quantity",
    type=click.Choice(
        ["absorbance", "transmittance", "transmittance_percent", "transmittance_fraction"]
    ),
    help="What the spectra are, where the file cannot tell.",
)


def formula(command: Command) -> Command:
    """Add --formula, --cards and --model; the command gets the formula opened as `expected`."""

    @wraps(command)
    def opened(
        *args: Any, formula: str | None, cards: str | None, model: str | None, **given: Any
    ) -> Any:
        expected = _expected_from(formula, cards, model, given["notebook"])
        return command(*args, expected=expected, **given)

    return _formula(cards(model(opened)))


def ends(command: Command) -> Command:
    """Add --decimal, and --json and --html, which show the report that the command returns.

    A page made with --notebook prints where the notebook's history ends.
    """

    @wraps(command)
    def shown(
        *args: Any, as_json: bool, html: str | None, notebook: str | None, **given: Any
    ) -> Any:
        head = head_line(notebook)
        report = command(*args, **given)
        if not click.get_current_context().meta.get(_ONLY_EVALUATE):
            _finish(report, as_json, html, head)
        return report

    return decimal(as_json(_html(_notebook(shown))))


def only_evaluate(ctx: click.Context) -> None:
    """Let the assay command of a context return its report instead of showing it."""
    ctx.meta[_ONLY_EVALUATE] = True


def _expected_from(
    formula: str | None, cards: str | None, model: str | None, notebook: str | None
) -> Expected | None:
    from zincite.errors import InputError
    from zincite.workbench.assay import open_expected

    if formula is None and (model or cards):
        name = "--model" if model else "--cards"
        raise InputError(f"{name} predicts nothing without --formula, expected both or neither")
    if formula is None or notebook is None:
        return open_expected(formula, cards=cards, model=model)
    return open_expected(opened_formula(formula, cards, notebook), model=model)


def _finish(report: AssayReport[Any, Any], as_json: bool, html: str | None, head: str) -> None:
    """Write the page if asked for, print the result and leave with its status."""
    if html is not None:
        from zincite.interfaces.documents.assay.page import assay_html

        write_text(html, assay_html(report, head=head), what="the page")
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        print_json(report.to_dict())
    else:
        from zincite.interfaces.cli.assay.view import show_assay

        screen = Screen()
        show_assay(screen, report)
        if html is not None:
            screen.heading("Page")
            screen.line(html)
        screen.write()
    click.get_current_context().exit(0 if report.passes else 1)
