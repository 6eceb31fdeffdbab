"""Tables of an emulsion: models, drop size, what is dissolved, ripening, settling."""

from __future__ import annotations

from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.emulsions.electrolyte import Electrolyte
from zincite.evaluation.making.emulsions.emulsion import EmulsionOutlook
from zincite.evaluation.making.emulsions.emulsion_viscosity import ModelViscosity
from zincite.evaluation.making.emulsions.settling import SettlingBody
from zincite.interfaces.documents.numbers import interval_text, number_text, value_text
from zincite.interfaces.documents.sheet import SheetTable

__all__ = ["emulsion_tables"]


def emulsion_tables(found: EmulsionOutlook) -> tuple[SheetTable, ...]:
    """Return the tables that there is something to show in."""
    tables = []
    if found.viscosity.models:
        tables.append(_viscosity_table(found))
    if found.drops is not None and found.drops.ways:
        rows = tuple(
            (f"by {name}", key, value_text(way), interval_text(way))
            for name, key, way in found.drops.ways
        )
        columns = (("", "left"), ("relation", "left"), ("d32", "right"), ("range", "left"))
        tables.append(SheetTable("Drop size", columns, rows, "from the process step, assumed"))
    if found.salt is not None and found.salt.solutes:
        tables.append(_solute_table(found.salt))
    if found.ripening:
        tables.append(_ripening_table(found))
    if found.settling.bodies:
        tables.append(_settling_table(found))
    return tuple(tables)


def _viscosity_table(found: EmulsionOutlook) -> SheetTable:
    oil_drops = found.phases.emulsion == "oil-in-water"
    own = found.phases.water_percent
    own = 100 - own if oil_drops else own
    numbers = any(model.viscosity_mPas is not None for model in found.viscosity.models)
    steps = [own - 10, own, own + 10] if numbers else []
    columns = (
        ("model", "left"),
        ("relative", "right"),
        *((f"at {step:.0f} %", "right") for step in steps),
        ("tied by", "left"),
    )
    rows = tuple(_model_row(model, steps, own) for model in found.viscosity.models)
    phase = "oil phase" if oil_drops else "water phase"
    return SheetTable(
        "Viscosity by model", columns, rows, f"mPa s against % {phase} by mass",
        widths=(19, 9, *(10 for _ in steps), 37),
    )  # fmt: skip


def _model_row(model: ModelViscosity, steps: list[float], own: float) -> tuple[str, ...]:
    shown = []
    for step in steps:
        found = model.viscosity_mPas if step == own else model.at(step)
        jams = model.jams_at_percent is not None and step >= model.jams_at_percent
        shown.append("jams" if jams else "" if found is None else number_text(found, digits=2))
    relative = "" if model.relative is None else number_text(model.relative)
    return (model.model, relative, *shown, model.tied)


def _solute_table(salt: Electrolyte) -> SheetTable:
    columns = (
        ("dissolved", "left"),
        ("%", "right"),
        ("mol/kg water", "right"),
        ("ideal, kPa", "right"),
        ("real, kPa", "right"),
        ("", "left"),
    )
    rows = tuple(
        (
            s.inci,
            number_text(s.percent),
            number_text(s.molality_mol_kg),
            number_text(s.ideal_kPa),
            number_text(s.osmotic_kPa),
            "salt" if s.is_salt else "no salt; some dissolves in polar oil",
        )
        for s in salt.solutes
    )
    return SheetTable("In the water", columns, rows, "real: osmotic coefficients, assumed")


def _ripening_table(found: EmulsionOutlook) -> SheetTable:
    columns = (
        ("oil", "left"),
        ("%", "right"),
        ("mN/m", "right"),
        ("class", "left"),
        ("days", "right"),
        ("range", "left"),
    )
    rows = tuple(
        (
            r.inci,
            number_text(r.percent),
            number_text(r.tension_mN_m) if r.tension_mN_m is not None else "",
            r.polarity or "not on the card",
            "" if r.days_to_double is None else number_text(r.days_to_double.median, digits=2),
            _days_range(r.days_to_double),
        )
        for r in found.ripening
    )
    about = "days until a mean drop's volume doubles in that oil alone, assumed"
    return SheetTable("Ripening without salt", columns, rows, about)


def _days_range(days: Estimate | None) -> str:
    if days is None:
        return ""
    return f"{number_text(days.low, digits=2)} to {number_text(days.high, digits=2)}"


def _settling_table(found: EmulsionOutlook) -> SheetTable:
    given = found.settling.yield_stress_Pa
    columns = (
        ("", "left"),
        ("um", "right"),
        ("density, kg/m3", "right"),
        ("alone, mm/d", "right"),
        ("here, mm/d", "right"),
        ("yield stress, Pa", "right"),
        *(((f"at {given:g} Pa", "left"),) if given is not None else ()),
    )
    rows = tuple(
        (*_body_row(body), *((body.held(given),) if given is not None else ()))
        for body in found.settling.bodies
    )
    return SheetTable("Settling", columns, rows, "minus rises; yield stress that holds it")


def _body_row(body: SettlingBody) -> tuple[str, ...]:
    return (
        body.name,
        number_text(body.diameter_um, digits=2),
        number_text(body.density_difference_kg_m3, digits=2),
        number_text(body.lone_mm_day, digits=2),
        number_text(body.hindered_mm_day, digits=2),
        f"{number_text(body.needs_low_Pa, digits=2)} to "
        f"{number_text(body.needs_high_Pa, digits=2)}",
    )
