"""`zincite check`: what each market and the brief say to a formula."""

from __future__ import annotations

import click

from zincite.interfaces.cli.notebook.common import optional_notebook
from zincite.interfaces.cli.opening import opened_formula
from zincite.interfaces.cli.options import as_json, cards, formula_file, model

__all__ = ["check", "overall"]

_WORST_FIRST = ("fails", "unknown", "needs a test", "short", "passes")


def overall(verdicts: tuple[str, ...]) -> str:
    """Return the worst of the verdicts, "" where there is none."""
    return next((word for word in _WORST_FIRST if word in verdicts), "")


@click.command()
@formula_file
@click.option(
    "--market",
    "markets",
    multiple=True,
    metavar="MARKET",
    help="Market such as eu or australia, may be repeated (those of the brief, else eu).",
)
@as_json
@cards
@model
@optional_notebook
@click.pass_context
def check(
    ctx: click.Context,
    formula: str,
    markets: tuple[str, ...],
    as_json: bool,
    cards: str | None,
    model: str | None,
    notebook: str | None,
) -> None:
    """Check a formula against the rules of markets and its brief.

    Each requirement passes, fails, needs a test or is unknown, with what was found, the limit,
    its source and date. Exit status 1 where a requirement of a market or of the brief fails.
    """
    from zincite.workbench.formulas import check as judge
    from zincite.workbench.formulas import predict
    from zincite.workbench.learning import open_laboratory

    laboratory = None if model is None else open_laboratory(model)
    made = predict(opened_formula(formula, cards, notebook), laboratory=laboratory)
    found = judge(made.formula, tuple(dict.fromkeys(markets)), prediction=made)
    word = overall((*(market.verdict for market in found), made.verdict))
    from zincite.interfaces.cli.terminal import Screen, print_json

    if as_json:
        head = made.formula
        print_json(
            {
                "formula": {"code": head.code, "name": head.name, "note": head.note},
                "verdict": word,
                "markets": [market.to_dict() for market in found],
                "brief": [line.to_dict() for line in made.brief],
                "warnings": list(made.warnings),
            }
        )
    else:
        from zincite.interfaces.cli.check_view import show_check

        screen = Screen()
        show_check(screen, made, found)
        screen.write()
    ctx.exit(1 if word == "fails" else 0)
