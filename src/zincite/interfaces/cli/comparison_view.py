"""How a terminal shows two predictions side by side."""

from __future__ import annotations

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.prediction import CAUTIONS, Prediction
from zincite.formula.brief import SKIN_CLASSES
from zincite.interfaces.cli.brief_view import decision, estimate_cell
from zincite.interfaces.cli.prediction_view import show_cautions
from zincite.interfaces.cli.terminal import Cell, Screen, verdict
from zincite.interfaces.documents.numbers import (
    best_value,
    number_text,
    signed_text,
    with_unit,
)
from zincite.workbench.formulas import Comparison

__all__ = ["show_comparison"]

_WIDTHS = (30, 26, 26, 12)


def show_comparison(screen: Screen, pair: Comparison) -> None:
    """Print two predictions side by side, the decision first."""
    first, second = pair.first, pair.second
    for letter, made in (("A", first), ("B", second)):
        screen.title(f"{letter}  {made.formula.code}  {made.formula.name}", made.formula.emulsion)
        if made.formula.note:
            screen.line(made.formula.note, indent=3, style="italic")
        screen.line(decision(made), indent=3)
    _show_brief_lines(screen, first, second)
    _show_numbers(screen, first, second)
    _show_changes(screen, pair)
    _show_warnings(screen, first, second)
    show_cautions(screen, CAUTIONS)


def _show_brief_lines(screen: Screen, first: Prediction, second: Prediction) -> None:
    if not first.brief and not second.brief:
        return
    asked = [
        {(line.topic, line.sense, line.limit): line for line in made.brief}
        for made in (first, second)
    ]
    rows: list[list[Cell]] = []
    for key in dict.fromkeys([*asked[0], *asked[1]]):
        topic, sense, limit = key
        lines = [side.get(key) for side in asked]
        unit = next((line.unit for line in lines if line), "")
        wanted = f"{sense} {with_unit(number_text(limit, digits=4), unit)}"
        words = [verdict(line.verdict) if line else "not asked" for line in lines]
        rows.append([topic, wanted, *words])
    screen.heading("What the brief asks")
    screen.table((("requirement", "left"), ("asked", "left"), ("A", "left"), ("B", "left")), rows)


def _show_numbers(screen: Screen, first: Prediction, second: Prediction) -> None:
    screen.heading("Numbers", "best value (90 % interval); B - A of the best values")
    rows: list[list[Cell]] = []
    names = ("SPF", "UVA-PF", "UVA-PF / SPF", "critical wavelength", "UVA / UVB absorbance")
    keys = ("spf", "uva_pf", "uva_pf_to_spf", "critical_wavelength_nm", "uva_to_uvb")
    for name, key in zip(names, keys, strict=True):
        rows.append(_row(name, getattr(first, key), getattr(second, key)))
    for skin in SKIN_CLASSES:
        pair = (first.white_cast[skin].delta_e00, second.white_cast[skin].delta_e00)
        rows.append(_row(f"white cast dE00, {skin}", *pair))
    rows += [
        _row("natural origin", *(m.naturality.natural_origin_percent for m in (first, second))),
        _row("raw materials", first.cost.per_kg, second.cost.per_kg),
        _row("density", first.density_g_ml, second.density_g_ml),
        _row("viscosity, low shear", first.viscosity_mPas, second.viscosity_mPas),
    ]
    columns = [("", "left"), ("A", "left"), ("B", "left"), ("B - A", "right")]
    screen.table(columns, rows, widths=_WIDTHS)
    screen.line(
        "Both are worked out with the same draws of the model, so their order is surer than "
        "overlapping intervals look.",
        style="dim",
    )


def _row(name: str, first: Estimate | Exact, second: Estimate | Exact) -> list[Cell]:
    before, after = best_value(first), best_value(second)
    same_unit = first.unit == second.unit and before is not None and after is not None
    change = ""
    if same_unit:
        change = with_unit(signed_text((after or 0.0) - (before or 0.0)), first.unit)
    return [name, estimate_cell(first), estimate_cell(second), change]


def _show_changes(screen: Screen, pair: Comparison) -> None:
    before, after = (made.formula.percent_by_material() for made in (pair.first, pair.second))
    rows: list[list[Cell]] = []
    for name in dict.fromkeys([*before, *after]):
        old, new = before.get(name, 0.0), after.get(name, 0.0)
        if abs(old - new) > 1e-9:
            rows.append([name, f"{old:.4g} %", f"{new:.4g} %", f"{new - old:+.3g} %"])
    if not rows:
        screen.heading("Amounts")
        screen.line("The same materials in the same amounts.")
        return
    screen.heading("Changed amounts", "mass % of the formula")
    columns = [("material", "left"), ("A", "right"), ("B", "right"), ("B - A", "right")]
    screen.table(columns, rows)


def _show_warnings(screen: Screen, first: Prediction, second: Prediction) -> None:
    marks: dict[str, list[str]] = {}
    for letter, made in (("A", first), ("B", second)):
        for text in made.warnings:
            marks.setdefault(text, []).append(letter)
    if marks:
        screen.heading("What limits these predictions")
        screen.pairs((" and ".join(letters), text) for text, letters in marks.items())
