"""How a terminal shows material cards, and their JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields

from rich.text import Text

from zincite.data.provenance import sources
from zincite.formula.defaults import assumed_price, density_g_ml_of, refractive_index_of
from zincite.formula.ingredient_list import nano_decision
from zincite.formula.material import Grade, Material
from zincite.interfaces.cli.terminal import Cell, Screen, assumed, clean
from zincite.sources import Sourced

__all__ = ["card_dict", "show_card", "show_list"]

_COLUMNS = (
    ("", "left"),
    ("value", "left"),
    ("range", "left"),
    ("evidence", "left"),
    ("source", "left"),
)
_WIDTHS = (27, 19, 16, 11, 19)


def show_list(screen: Screen, cards: Sequence[Material]) -> None:
    """Print cards one a row."""
    screen.title(f"{len(cards)} material card{'' if len(cards) == 1 else 's'}")
    if not cards:
        screen.line("No card matches; leave out an option, or search for a part of the name.")
        return
    rows = [[card.id, ", ".join(card.functions), card.phase] for card in cards]
    columns = (("id", "left"), ("functions", "left"), ("phase", "left"))
    screen.table(columns, rows, widths=(57, 28, 9))
    screen.line("`zincite materials show ID` prints every value of a card.", style="dim")


def show_card(screen: Screen, card: Material) -> None:
    """Print every value of a card with unit, range, evidence and source."""
    screen.title(card.id, f"{card.phase} phase")
    screen.pairs(
        (name, text)
        for name, text in (
            ("INCI", card.inci),
            ("functions", ", ".join(card.functions)),
            ("in the film", "evaporates" if card.volatile else "stays"),
            (
                "absorbs UV itself",
                "yes: not mineral only" if card.uv_absorbing else "",
            ),
            ("natural origin", card.natural_basis),
            ("note", card.notes),
        )
        if text
    )
    keys: list[str] = [value.source for value in card.properties.values()]
    if card.properties:
        screen.heading("Values of the card")
        screen.table(_COLUMNS, (_value_row(*item) for item in card.properties.items()),
                     widths=_WIDTHS)  # fmt: skip
    keys += _show_stand_ins(screen, card)
    keys += _show_composition(screen, card)
    if card.grade is not None:
        keys += _show_grade(screen, card.grade)
    _show_sources(screen, keys)


def _value_row(name: str, value: Sourced) -> list[Cell]:
    unit = f" {value.unit}" if value.unit else ""
    span = "" if value.low is None or value.high is None else f"{value.low:g} to {value.high:g}"
    cells = [
        f"{value.value:.5g}{unit}",
        f"{span}{unit}" if span else "",
        value.evidence.value,
        value.source,
    ]
    look = assumed if value.is_assumed else _plain
    return [name, *(look(cell) for cell in cells)]


def _plain(text: str) -> Text:
    return Text(clean(text))


def _stand_ins(card: Material) -> dict[str, Sourced]:
    """Return what a prediction takes where the card is silent."""
    found: dict[str, Sourced] = {}
    if "density_g_ml" not in card.properties:
        found["density_g_ml"] = density_g_ml_of(card)
    liquid = card.grade is None and card.phase != "pigment"
    if liquid and "refractive_index" not in card.properties:
        found["refractive_index"] = refractive_index_of(card)
    if "price_per_kg" not in card.properties:
        found["price_per_kg"] = assumed_price(card)
    return found


def _show_stand_ins(screen: Screen, card: Material) -> list[str]:
    found = _stand_ins(card)
    if found:
        screen.heading("Taken where the card is silent")
        screen.table(_COLUMNS, (_value_row(*item) for item in found.items()), widths=_WIDTHS)
    return [value.source for value in found.values()]


def _show_composition(screen: Screen, card: Material) -> list[str]:
    if not card.composition:
        return []
    screen.heading("Composition", f"{card.composition_evidence.value}, {card.composition_source}")
    screen.table(
        (("part", "left"), ("mass %", "right")),
        [[part.material, f"{part.percent:g}"] for part in card.composition],
    )
    return [card.composition_source]


def _show_grade(screen: Screen, grade: Grade) -> list[str]:
    screen.heading("Pigment grade", f"{grade.evidence.value}, {grade.source}")
    rows: list[tuple[Cell, Cell]] = [
        ("core", f"{grade.core}, {grade.core_density_g_ml:g} g/mL"),
        ("primary size", f"{grade.primary_median_nm:g} nm, median by {grade.weighting}"),
        ("geometric width", f"{grade.primary_gsd:g}"),
    ]
    for name, value in (
        ("aggregates, mass share", grade.aggregate_fraction),
        ("aggregates, size", grade.aggregate_median_nm),
    ):
        if value is None:
            rows.append((name, assumed("not on the card, the model draws it (assumed)")))
        else:
            cells = [Text(c) if isinstance(c, str) else c for c in _value_row(name, value)[1:]]
            rows.append((name, Text(", ").join(c for c in cells if c.plain)))
    for layer in grade.coatings:
        text = f"{layer.inci}, {layer.mass_percent:g} % of the powder ({layer.evidence.value})"
        rows.append(("coating", assumed(text) if layer.evidence.value == "assumed" else text))
    if grade.extinction_nm:
        pairs = zip(grade.extinction_nm, grade.extinction_L_g_cm, strict=True)
        rows.append(("extinction, L/(g cm)", "; ".join(f"{e:g} at {w:g} nm" for w, e in pairs)))
    decision = nano_decision(grade)
    rows.append(("nano", f"{decision.verdict}: {decision.reason}"))
    screen.pairs(rows)
    return [grade.source, *(layer.source for layer in grade.coatings)]


def _show_sources(screen: Screen, keys: Iterable[str]) -> None:
    known = sources()
    named = [key for key in dict.fromkeys(keys) if key in known]
    if named:
        screen.heading("Sources")
        screen.pairs(
            (key, ", ".join(filter(None, (known[key].authors, known[key].title, known[key].year))))
            for key in named
        )


def card_dict(card: Material) -> dict[str, object]:
    """Return a card as JSON holds it."""
    shown: dict[str, object] = {
        "id": card.id,
        "inci": card.inci,
        "functions": list(card.functions),
        "phase": card.phase,
        "volatile": card.volatile,
        "uv_absorbing": card.uv_absorbing,
        "natural_basis": card.natural_basis,
        "notes": card.notes,
        "properties": {name: _sourced_dict(value) for name, value in card.properties.items()},
        "taken_where_silent": {n: _sourced_dict(v) for n, v in _stand_ins(card).items()},
    }
    if card.composition:
        shown["composition"] = [
            {"material": part.material, "percent": part.percent} for part in card.composition
        ]
    if card.grade is not None:
        shown["grade"] = _grade_dict(card.grade)
    return shown


def _sourced_dict(value: Sourced) -> dict[str, object]:
    return {
        "value": value.value,
        "unit": value.unit,
        "low": value.low,
        "high": value.high,
        "evidence": value.evidence.value,
        "source": value.source,
    }


def _grade_dict(grade: Grade) -> dict[str, object]:
    shown: dict[str, object] = {
        "core": grade.core,
        "primary_median_nm": grade.primary_median_nm,
        "primary_gsd": grade.primary_gsd,
        "weighting": grade.weighting,
        "evidence": grade.evidence.value,
        "source": grade.source,
        "coatings": [
            {f.name: str(v) if f.name == "evidence" else v for f in fields(layer)
             for v in (getattr(layer, f.name),)}
            for layer in grade.coatings
        ],
        "nano": nano_decision(grade).verdict,
    }  # fmt: skip
    for name in (
        "aggregate_fraction",
        "aggregate_median_nm",
        "supplied_aggregate_fraction",
        "supplied_aggregate_median_nm",
    ):
        value: Sourced | None = getattr(grade, name)
        if value is not None:
            shown[name] = _sourced_dict(value)
    if grade.histogram_nm:
        shown["histogram"] = {
            "diameter_nm": list(grade.histogram_nm),
            "share": list(grade.histogram_share),
        }
    if grade.extinction_nm:
        shown["extinction"] = {
            "wavelength_nm": list(grade.extinction_nm),
            "L_per_g_cm": list(grade.extinction_L_g_cm),
        }
    return shown
