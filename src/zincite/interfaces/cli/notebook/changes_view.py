"""How a terminal shows what changed between two versions or trials."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from zincite.interfaces.cli.notebook.figure_text import setting_words, short_figure
from zincite.interfaces.cli.terminal import Screen
from zincite.interfaces.documents.numbers import signed_text, with_unit
from zincite.interfaces.documents.quantity_words import quantity_words
from zincite.notebook.questions.changes import Changes, LotChange, Side
from zincite.notebook.questions.differences import Difference
from zincite.notebook.questions.figures import Figure, FigureChange
from zincite.notebook.questions.readings import KEY_QUANTITIES

__all__ = ["show_changes"]

_PREDICTED = (
    "spf", "uva_pf", "uva_pf_to_spf", "critical_wavelength_nm", "natural_origin_percent",
    "cost_per_kg", "density_g_ml", "viscosity_mPas",
)  # fmt: skip
"""Predicted figures that are shown, white cast beside them; --json has all."""
_IN_UNITS = ("delta_l", "delta_ita_deg", "critical_wavelength_nm")
"""Figures around 0, or far from it, whose change in percent says nothing."""


def show_changes(screen: Screen, found: Changes) -> None:
    """Print what differs, the shares first, then what it did."""
    names = (found.first.name, found.second.name)
    screen.title(f"{names[0]} to {names[1]}", found.second.title)
    screen.pairs((side.name, _side(side)) for side in (found.first, found.second))
    _shares(screen, found, names)
    _differences(screen, "Grades and cards", found.cards, names)
    _differences(screen, "Formula", found.formula, names)
    _differences(screen, "Process", found.process, names)
    _lots(screen, found.lots, names)
    _figures(screen, "Predicted", found.predicted, names)
    _figures(screen, "Measured", found.measured, names)
    made = (found.shares, found.cards, found.formula, found.process, found.lots)
    if not any(made):
        screen.line()
        screen.line("Formula and process are the same.")
    if found.notes:
        screen.heading("Notes")
        screen.items(found.notes)


def _side(side: Side) -> str:
    done = "made" if side.noun == "trial" else "entered"
    told = [f"{done} {side.on} by {side.who}"]
    if side.noun == "trial":
        told.append(f"of {side.formula}")
    elif side.reason:
        told.append(side.reason)
    if side.withdrawn:
        told.append(f"WITHDRAWN: {side.withdrawn}")
    return "; ".join(told)


def _shares(screen: Screen, found: Changes, names: Sequence[str]) -> None:
    if not found.shares:
        return
    screen.heading("Shares", "% of the formula")
    rows = [
        [
            share.material,
            "" if share.how == "in" else _percent(share.first),
            "" if share.how == "out" else _percent(share.second),
            share.how if share.how in ("in", "out") else _signed(share.second - share.first),
        ]
        for share in found.shares
    ]
    screen.table((("material", "left"), *_right(names), ("change", "right")), rows)


def _right(names: Iterable[str]) -> list[tuple[str, str]]:
    return [(name, "right") for name in names]


def _percent(value: float) -> str:
    return f"{value:.2f}"


def _signed(value: float) -> str:
    return f"{value:+.2f}"


def _differences(
    screen: Screen, title: str, rows: Sequence[Difference], names: Sequence[str]
) -> None:
    if not rows:
        return
    screen.heading(title)
    columns = (("where", "left"), ("what", "left"), *((name, "left") for name in names))
    screen.table(
        columns,
        (
            [row.where, setting_words(row.what), _value(row.first), _value(row.second)]
            for row in rows
        ),
    )


def _value(value: float | str | None) -> str:
    if value is None:
        return "-"
    return value if isinstance(value, str) else f"{value:g}"


def _lots(screen: Screen, lots: Sequence[LotChange], names: Sequence[str]) -> None:
    if not lots:
        return
    screen.heading("Lots and weights", "actual weight as % of the trial")
    screen.table(
        (
            ("material", "left"),
            (f"lot in {names[0]}", "left"), ("%", "right"),
            (f"lot in {names[1]}", "left"), ("%", "right"),
        ),
        (
            [
                lot.material, ", ".join(lot.first) or "-", _share(lot.first_percent),
                ", ".join(lot.second) or "-", _share(lot.second_percent),
            ]
            for lot in lots
        ),
    )  # fmt: skip


def _share(value: float | None) -> str:
    return "-" if value is None else _percent(value)


def _figures(
    screen: Screen, title: str, changes: Sequence[FigureChange], names: Sequence[str]
) -> None:
    both = [change for change in changes if change.difference not in (None, 0)]
    shown = [change for change in both if change.kind or _is_known(change.quantity)]
    if not any(change.difference != 0 for change in changes):
        return
    shown.sort(key=_order)
    screen.heading(title, "clear: the intervals do not meet")
    with_kind = any(change.kind for change in shown)
    columns = [("figure", "left"), *_right(names), ("change", "right"), ("", "left")]
    if with_kind:
        columns.insert(1, ("test", "left"))
    rows = []
    for change in shown:
        row = [
            quantity_words(change.quantity),
            _figure(change.first, change.unit),
            _figure(change.second, change.unit),
            _change(change),
            {True: "clear", False: "not clear", None: ""}[change.clear],
        ]
        if with_kind:
            row.insert(1, change.kind)
        rows.append(row)
    if rows:
        screen.table(columns, rows)
    for side, name in enumerate(names):
        _only(screen, changes, side, name)
    if len(shown) < len(both):
        screen.line(f"{len(both) - len(shown)} more figures in --json.", style="dim")


def _is_known(quantity: str) -> bool:
    return quantity in _PREDICTED or quantity.startswith("delta_e00 ")


def _order(change: FigureChange) -> int:
    known = change.quantity in KEY_QUANTITIES
    return KEY_QUANTITIES.index(change.quantity) if known else len(KEY_QUANTITIES)


def _only(screen: Screen, changes: Sequence[FigureChange], side: int, name: str) -> None:
    """Say in one line which figures only one side has."""
    told = []
    for change in changes:
        own, other = (change.first, change.second)[:: 1 - 2 * side]
        if own is not None and other is None:
            kind = f" ({change.kind})" if change.kind else ""
            told.append(f"{quantity_words(change.quantity)}{kind}")
    if told:
        screen.line(f"only of {name}: {', '.join(told)}", style="dim")


def _figure(figure: Figure | None, unit: str) -> str:
    return "-" if figure is None else short_figure(figure.value, figure.low, figure.high, unit)


def _change(change: FigureChange) -> str:
    """Return a change in percent, of some figures as the difference."""
    if change.difference is None:
        return ""
    if change.percent is None or change.quantity.split(" ")[0] in _IN_UNITS:
        return with_unit(signed_text(change.difference), change.unit)
    return "0 %" if abs(change.percent) < 0.05 else f"{signed_text(change.percent)} %"
