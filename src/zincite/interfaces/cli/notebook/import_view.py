"""How a terminal shows what a sheet holds and what an import did."""

from __future__ import annotations

from collections.abc import Sequence

from zincite.interfaces.cli.terminal import Cell, Screen, assumed
from zincite.workbench.notebook.importing import Imported
from zincite.workbench.sheets import FormulaPlan, MaterialPlan
from zincite.workbench.sheets.naming import NameMatch
from zincite.workbench.sheets.plan import PlannedFormula

__all__ = ["show_import"]

_MOST_VERSIONS = 5
"""Versions side by side that a terminal's width holds."""


def show_import(screen: Screen, made: Imported) -> None:
    """Print what was understood, what it means, and what was written."""
    plan = made.plan
    state = "" if made.where else "preview, nothing is written"
    screen.title(f"{plan.file}: {_count(plan)}", state)
    screen.heading("Understood")
    screen.items(plan.understood)
    if isinstance(plan, FormulaPlan):
        for group in _groups(plan.formulas):
            _show_formulas(screen, group)
    else:
        _show_lots(screen, plan)
    _show_names(screen, plan.names)
    if made.entered:
        screen.heading("Written", made.where)
        screen.items(made.entered)
    if made.passed_over:
        screen.heading("There already", "unchanged")
        screen.items(made.passed_over)
    if plan.unnamed:
        screen.heading("Before it can be imported")
        screen.items(_question(match) for match in plan.unnamed)
    if made.head_hash:
        screen.line()
        screen.line(f"head {made.head_hash}", style="dim")


def _count(plan: FormulaPlan | MaterialPlan) -> str:
    if isinstance(plan, FormulaPlan):
        count = len(plan.formulas)
        return f"{count} formula{'s' if count != 1 else ''}"
    names, lots = len(plan.names), len(plan.lots)
    return f"{names} material{'s' if names != 1 else ''}, {lots} lot{'s' if lots != 1 else ''}"


def _groups(formulas: Sequence[PlannedFormula]) -> list[list[PlannedFormula]]:
    """Return formulas that stand side by side in one table, as many as a terminal holds."""
    groups: list[list[PlannedFormula]] = []
    for planned in formulas:
        table = planned.origin.split(", column")[0]
        last = groups[-1] if groups else []
        if last and last[0].origin.startswith(table) and len(last) < _MOST_VERSIONS:
            last.append(planned)
        else:
            groups.append([planned])
    return groups


def _show_formulas(screen: Screen, group: Sequence[PlannedFormula]) -> None:
    first = group[0]
    kind = f", {first.formula.emulsion}" if first.formula else ""
    screen.heading(f"{first.code}{kind}", first.origin.split(", column")[0])
    rows: dict[tuple[str, str], list[str]] = {}
    for index, planned in enumerate(group):
        for phase, name, percent, rest in planned.rows:
            cells = rows.setdefault((phase, name), [""] * len(group))
            cells[index] = f"{percent:.6g}{' rest' if rest else ''}"
    labels = [planned.label or "%" for planned in group]
    columns = [("phase", "left"), ("as written", "left"), *((label, "right") for label in labels)]
    screen.table(columns, [[phase, name, *cells] for (phase, name), cells in rows.items()])


def _show_lots(screen: Screen, plan: MaterialPlan) -> None:
    if plan.cards:
        screen.heading("Cards", "new, or with the list's values")
        screen.items(card.id for card in plan.cards)
    if plan.lots:
        screen.heading("Lots")
        columns = [(name, "left") for name in ("lot", "material", "supplier", "expires")]
        screen.table(
            columns,
            [[lot.code, lot.material or "?", lot.supplier, lot.expires_on] for lot in plan.lots],
        )


def _show_names(screen: Screen, names: Sequence[NameMatch]) -> None:
    screen.heading("Names and cards")
    rows: list[list[Cell]] = []
    for match in names:
        card: Cell = match.material or "?"
        if match.how == "new card":
            card = assumed(f"{match.material} (all assumed)")
        rows.append([match.name, card, match.how])
    columns = (("as written", "left"), ("card", "left"), ("by", "left"))
    screen.table(columns, rows, widths=(38, 40, 18))


def _question(match: NameMatch) -> str:
    near = ", ".join(match.suggestions[:3])
    more = len(match.suggestions) - 3
    perhaps = f" Perhaps {near}{f' or {more} more' if more > 0 else ''}." if near else ""
    new = ", or --new-cards" if match.how == "no card" else ""
    return f'{match.place}: --map "{match.name}=ID"{new} ({match.how}).{perhaps}'
