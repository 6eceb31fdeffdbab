"""`zincite tint`: iron-oxide levels that leave chosen skins least changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from zincite.interfaces.cli.options import as_json, cards, formula_file, write_text

if TYPE_CHECKING:
    from zincite.evaluation.tint import TintProposal
    from zincite.formula.formula import Formula

__all__ = ["tint"]


@click.command()
@formula_file
@click.option(
    "--skin",
    "skins",
    multiple=True,
    metavar="CLASS",
    help='Skin class such as tan or "very light", may be repeated (those of the brief, else all).',
)
@click.option(
    "--limit",
    "limit_percent",
    type=float,
    default=3.0,
    metavar="PERCENT",
    help="Largest sum of iron oxides, above 0 to 20 % of the formula (3).",
)
@as_json
@click.option("--write", "target", metavar="FILE", help="Write the tinted formula as a file.")
@click.option("--force", is_flag=True, help="Let --write replace a file that is there.")
@cards
def tint(
    formula: str,
    skins: tuple[str, ...],
    limit_percent: float,
    as_json: bool,
    target: str | None,
    force: bool,
    cards: str | None,
) -> None:
    """Propose iron-oxide levels with the least white cast."""
    from zincite.workbench.formulas import open_formula
    from zincite.workbench.formulas import tint as solve

    start = open_formula(formula, cards=cards)
    found = solve(start, tuple(dict.fromkeys(skins)), limit_percent=limit_percent)
    if target is not None:
        from zincite.formula.writing import formula_text

        write_text(target, formula_text(found.formula), what="the formula", replace=force)
    from zincite.interfaces.cli.terminal import print_json

    if as_json:
        print_json({**found.to_dict(), "written_to": target})
        return
    _show(start, found, limit_percent, target)


def _show(start: Formula, found: TintProposal, limit: float, target: str | None) -> None:
    from zincite.interfaces.cli.prediction_view import show_formula_title
    from zincite.interfaces.cli.terminal import Screen
    from zincite.interfaces.documents.numbers import number_text

    screen = Screen()
    show_formula_title(screen, start)
    total = sum(found.percent.values())
    worst = max(found.delta_e00_after, key=lambda name: found.delta_e00_after[name])
    screen.line(
        f"{number_text(total)} % iron oxides leave dE00 {number_text(found.delta_e00_after[worst])}"
        f" on {worst} skin, the most changed of those asked."
    )
    screen.heading("Proposal", f"mass % of the formula, at most {limit:g} % in all")
    held = start.percent_by_material()
    screen.table(
        (("iron oxide", "left"), ("now, %", "right"), ("proposed, %", "right")),
        [[name, f"{held.get(name, 0.0):.3f}", f"{share:.3f}"] for name, share in
         found.percent.items()],
    )  # fmt: skip
    screen.heading("White cast", "dE00 against bare skin, D65, 10 deg, at the model's centre")
    screen.table(
        (("skin class", "left"), ("now", "right"), ("proposed", "right")),
        [
            [name, number_text(found.delta_e00_before[name]), number_text(after)]
            for name, after in found.delta_e00_after.items()
        ],
    )
    screen.heading("Before you rely on this")
    screen.items(
        [
            "Yellow iron oxide has no measured index here and its absorption is assumed: try the "
            "shade on a card and on skin.",
            "The levels are those of the model's centre; predict the tinted formula for intervals.",
        ]
    )
    if target is None:
        screen.line("Say --write FILE to get the tinted formula as a file.", style="dim")
    else:
        screen.line(f"Written: {target}")
    screen.write()
