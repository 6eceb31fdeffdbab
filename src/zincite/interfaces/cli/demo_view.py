"""How a terminal shows the demo: which formula to make, and why not the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

from zincite.evaluation.prediction import CAUTIONS
from zincite.interfaces.cli.brief_view import decision, estimate_cell, show_brief
from zincite.interfaces.cli.demo_files import BRIEF_FILE, CHOSEN_FILE, INVENTED
from zincite.interfaces.cli.demo_run import DemoFormula, DemoRun
from zincite.interfaces.cli.prediction_view import show_cautions
from zincite.interfaces.cli.terminal import Cell, Screen, verdict

if TYPE_CHECKING:
    from zincite.workbench.demo.notebook_file import DemoNotebook

__all__ = ["NOTEBOOK_COMMANDS", "show_demo"]

NOTEBOOK_COMMANDS = (
    "notebook best OF",
    "notebook where-used ZF-603",
    "trial show OF-T32",
)
"""What a reader may ask the notebook first."""

_WIDTHS = (24, 17, 17, 17, 17)


def show_demo(screen: Screen, run: DemoRun) -> None:
    """Print the demo's comparison, the decision first."""
    chosen, *others = run.formulas
    brief = chosen.made.formula.brief
    screen.title(brief.name if brief is not None else "Demo")
    screen.line(f"{INVENTED}: no such product, trial, data sheet or offer exists.", style="italic")
    head = chosen.made.formula
    screen.line("")
    screen.line(f"{head.code}  {head.name}", style="bold")
    screen.line(decision(chosen.made))
    _show_side_by_side(screen, run.formulas)
    for other in others:
        _show_rejected(screen, other)
    if brief is not None:
        show_brief(screen, chosen.made.brief, f"{head.code}, {brief.name}")
    show_cautions(screen, CAUTIONS)
    screen.heading("Files")
    screen.pairs(
        [
            ("report", str(run.report)),
            ("brief", str(run.folder / BRIEF_FILE)),
            *((f.made.formula.code, str(run.folder / f.file)) for f in run.formulas),
        ]
    )
    screen.line(
        f"Open {run.report} in a browser. Change a formula or the brief and say: "
        f"zincite predict {run.folder / CHOSEN_FILE}"
    )
    if run.notebook is not None:
        _show_notebook(screen, run.notebook)


def _show_notebook(screen: Screen, made: DemoNotebook) -> None:
    screen.heading("The notebook", "six months of work in the invented laboratory")
    screen.pairs(
        [
            ("file", str(made.path)),
            (
                "holds",
                f"{made.versions} versions of formulas, {made.lots} lots, {made.trials} trials, "
                f"{made.results} results; {made.events} events",
            ),
            ("head hash", made.head),
        ]
    )
    screen.line("Ask it:")
    for command in NOTEBOOK_COMMANDS:
        screen.line(f"zincite {command} --notebook {made.path}", indent=2)


def _show_side_by_side(screen: Screen, formulas: tuple[DemoFormula, ...]) -> None:
    screen.heading("Four formulas for this brief", "best value (90 % interval)")
    columns = [("", "left"), *((f.made.formula.code, "left") for f in formulas)]
    rows: list[list[Cell]] = [
        ["what it is", *(_short(f) for f in formulas)],
        ["the brief", *(verdict(f.made.verdict) for f in formulas)],
    ]
    for place, market in enumerate(formulas[0].markets):
        rows.append([f"law, {market.name}", *(verdict(f.markets[place].verdict) for f in formulas)])
    rows += [
        ["SPF", *(estimate_cell(f.made.spf) for f in formulas)],
        ["UVA-PF", *(estimate_cell(f.made.uva_pf) for f in formulas)],
    ]
    asked = formulas[0].made.formula.brief
    for name in asked.skin_classes if asked else ():
        cells = [estimate_cell(f.made.white_cast[name].delta_e00) for f in formulas]
        rows.append([f"white cast dE00, {name}", *cells])
    rows += [
        [
            "natural origin",
            *(estimate_cell(f.made.naturality.natural_origin_percent) for f in formulas),
        ],
        ["raw materials", *(estimate_cell(f.made.cost.per_kg) for f in formulas)],
    ]
    screen.table(columns, rows, widths=_WIDTHS)


def _short(formula: DemoFormula) -> str:
    return formula.made.formula.name.removesuffix("(invented demo)").strip()


def _show_rejected(screen: Screen, other: DemoFormula) -> None:
    head = other.made.formula
    screen.heading(f"Why not {head.code}, {_short(other)}")
    screen.items(other.reasons)
