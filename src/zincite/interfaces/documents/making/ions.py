"""Sheet and pictures of the ions in a water phase."""

from __future__ import annotations

from zincite.evaluation.making.water.ions_result import IonsResult
from zincite.interfaces.documents.figures.making_ions import (
    dissolved_against_ph,
    shares_against_ph,
)
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, joined, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_LEAST_STRENGTH = 0.001  # mol/L, below which activities hardly differ from 1
_TABLE_PH = (5.0, 6.0, 7.0, 7.5, 8.0, 8.5, 9.0, 10.0, 11.0, 12.0)


def sheet(report: MakingReport[IonsResult]) -> Sheet:
    """Return the sheet of the ions in a water phase."""
    r = report.result
    verdict, headline, sentence = _decision(r)
    tables = [*_advice(r), *_species(r), *_water(r), *_chelators(r), *_acids(r)]
    tables += [*_preservatives(r), *_against_ph(r)]
    return Sheet(
        "Ions in the water phase",
        "equilibrium at 25 °C; constants of the trade's table",
        verdict,
        headline,
        sentence,
        (),
        _numbers(r),
        tuple(tables),
        (),
    )


def _decision(r: IonsResult) -> tuple[str, str, str]:
    act, watch = r.advice_of("act"), r.advice_of("watch")
    if r.ph is None or r.zinc_mg_l is None:
        found = "No water phase: no ions, no pH."
        if act or watch:
            return "fails" if act else "short", "No water phase", f"{found} See the advice."
        return "passes", "No water phase", found
    zinc = f"pH {number_text(r.ph, decimals=2)}"
    if r.has_zinc:
        zinc = f"{_mg(r.zinc_mg_l)} dissolved zinc at {zinc}"
    if r.water is None:
        return _plain_decision(r, zinc)
    if act:
        topics = joined(tuple(dict.fromkeys(a.topic for a in act)), ", ")
        return "fails", f"To change: {topics}", f"{zinc}; the advice says what and why."
    if watch:
        topics = joined(tuple(dict.fromkeys(a.topic for a in watch)), ", ")
        return "short", f"To look at: {topics}", f"{zinc}; the advice says what and why."
    return "passes", "Nothing against this water phase", f"{zinc}."


def _plain_decision(r: IonsResult, zinc: str) -> tuple[str, str, str]:
    low, high = r.window or (0.0, 14.0)
    where = f"window {low:.1f} to {high:.1f}"
    if r.ph is not None and r.ph < low:
        return (
            "fails",
            "Too acid for zinc oxide",
            f"{zinc} over zinc oxide in plain water; {where}.",
        )
    if r.ph is not None and r.ph > high:
        return "short", "Above the window", f"{zinc} over zinc oxide in plain water; {where}."
    return "passes", "Inside the window", f"{zinc} over zinc oxide in plain water; {where}."


def _mg(amount: float | None) -> str:
    return value(amount, "mg/L")


def _numbers(r: IonsResult) -> tuple[Number, ...]:
    if r.ph is None:
        return ()
    found = [Number("pH", number_text(r.ph, decimals=2), r.ph_origin)]
    if r.ph_at_equilibrium is not None and r.ph_origin != "calculated":
        zinc = r.water is not None and r.water.zinc_oxide_percent > 0
        told = "without acid or alkali added" + (", over zinc oxide" if zinc else "")
        end = number_text(r.ph_at_equilibrium, decimals=2)
        found.append(Number("pH it tends to", end, told))
    if r.window is not None:
        low, high = (number_text(end, decimals=1) for end in r.window)
        found.append(Number("pH window", f"{low} to {high}", "assumed limits"))
    if r.has_zinc:
        found.append(Number("dissolved zinc", _mg(r.zinc_mg_l), _beside_zinc(r)))
    if r.aluminium_mg_l is not None:
        upper = (
            f"over gibbsite; at most {_mg(r.aluminium_amorphous_mg_l)} over a fresh layer; assumed"
        )
        found.append(Number("dissolved aluminium", _mg(r.aluminium_mg_l), upper))
    if r.acid_to_hold_mmol_kg is not None and r.water is not None:
        kind = "acid" if r.acid_to_hold_mmol_kg > 0 else "alkali"
        shown = value(abs(r.acid_to_hold_mmol_kg), "mmol/kg")
        found.append(Number(f"{kind} to hold this pH", shown, "per kg of water"))
    weak = r.ionic_strength_mol_l is not None and r.ionic_strength_mol_l < _LEAST_STRENGTH
    strength = f"< {_LEAST_STRENGTH:g} mol/L" if weak else value(r.ionic_strength_mol_l, "mol/L")
    used = "activities of Davies" if r.activity == "Davies" else "not used: ideal, I = 0"
    found.append(Number("ionic strength", strength, used))
    if r.salt_to_coagulation is not None:
        told = "times what flocculates coated oxide in water"
        found.append(Number("salt", number_text(r.salt_to_coagulation, digits=2), told))
    return tuple(found)


def _beside_zinc(r: IonsResult) -> str:
    if r.water is None:
        return ""
    return joined(
        (
            f"{_mg(r.labile_zinc_mg_l)} of it outside chelates",
            f"plain water {_mg(r.plain_zinc_mg_l)}" if r.water.zinc_oxide_percent > 0 else "",
            _assumed_forms(r),
        )
    )


def _assumed_forms(r: IonsResult) -> str:
    """Name the forms whose constant is assumed and that hold a share worth a digit."""
    assumed = () if r.state is None else r.state.chemistry.assumed
    shares = r.species.get("zinc", {})
    named = [name for name in shares if name in assumed and shares[name] >= 0.01]
    return f"assumed constants: {', '.join(named)}" if named else ""


def _advice(r: IonsResult) -> list[SheetTable]:
    if not r.advice:
        return []
    rows = tuple((a.level, a.topic, a.sentence, a.trigger) for a in r.sorted_advice())
    columns = (
        ("", "left"),
        ("about", "left"),
        ("advice and reason", "left"),
        ("raised by", "left"),
    )
    return [SheetTable("Advice", columns, rows, "act, watch, note", (5, 12, 51, 26))]


def _species(r: IonsResult) -> list[SheetTable]:
    rows = [
        (metal, name, f"{100 * share:.1f}")
        for metal, shares in r.species.items()
        for name, share in shares.items()
    ]
    if not rows:
        return []
    columns = (("metal", "left"), ("dissolved as", "left"), ("share, %", "right"))
    return [SheetTable("Forms", columns, tuple(rows), "from 0.05 % of the metal")]


def _water(r: IonsResult) -> list[SheetTable]:
    if r.water is None or not r.water.dissolved:
        return []
    rows = tuple(
        (p.inci, number_text(p.percent), number_text(1000 * p.mol_per_kg_water))
        for p in r.water.dissolved
    )
    columns = (("dissolved", "left"), ("% of formula", "right"), ("mmol/kg water", "right"))
    about = f"{number_text(r.water.water_percent)} % water"
    return [SheetTable("Water phase", columns, rows, about)]


def _chelators(r: IonsResult) -> list[SheetTable]:
    if not r.chelators:
        return []
    metals = list(dict.fromkeys(m for c in r.chelators for m in c.share_by_metal))
    rows = tuple(
        (
            c.ligand,
            number_text(c.total_mmol_kg),
            *(f"{100 * c.share_by_metal[m]:.1f}" if m in c.share_by_metal else "" for m in metals),
            number_text(c.zinc_log10_k, decimals=1),
            number_text(c.zinc_log10_k_beside_magnesium, decimals=1),
            "assumed" if c.is_assumed else "",
        )
        for c in r.chelators
    )
    columns = (
        ("", "left"),
        ("mmol/kg water", "right"),
        *((f"{m}, %", "right") for m in metals),
        ("log K' of Zn", "right"),
        ("beside Mg", "right"),
        ("", "left"),
    )
    return [
        SheetTable(
            "Chelators",
            columns,
            rows,
            "which metal has them; log K' at the constants' own ionic strength",
        )
    ]


def _acids(r: IonsResult) -> list[SheetTable]:
    if not r.acids:
        return []
    rows = tuple(
        (
            a.inci,
            number_text(a.percent),
            f"{a.zinc_oxide_g_g:.3f}",
            number_text(a.zinc_oxide_percent, digits=2),
            joined(
                (
                    "coating, has reacted" if a.is_coating else "soap" if a.is_fatty else "salt",
                    "assumed" if a.is_assumed else "",
                ),
                ", ",
            ),
        )
        for a in r.acids
    )
    columns = (
        ("acid", "left"),
        ("%", "right"),
        ("g ZnO per g", "right"),
        ("ZnO taken, % of formula", "right"),
        ("becomes", "left"),
    )
    return [SheetTable("Acids that zinc oxide takes", columns, rows)]


def _preservatives(r: IonsResult) -> list[SheetTable]:
    if not r.preservatives:
        return []
    rows = tuple((p.inci, number_text(p.percent), p.verdict, p.reason) for p in r.preservatives)
    columns = (("", "left"), ("%", "right"), ("here", "left"), ("why", "left"))
    return [SheetTable("Preservatives", columns, rows, "assumed ranges", (26, 6, 6, 56))]


def _has_zinc_oxide(r: IonsResult) -> bool:
    return r.water is None or (r.water.zinc_oxide_percent > 0 and r.ph is not None)


def _against_ph(r: IonsResult) -> list[SheetTable]:
    curve = r.curve
    columns = [("Zn, this formula", curve.zinc_mg_l)] if curve.zinc_mg_l is not None else []
    if _has_zinc_oxide(r):
        columns.append(("Zn, plain water", curve.zinc_plain_mg_l))
    if r.aluminium_mg_l is not None:
        columns.append(("Al, gibbsite", curve.aluminium_mg_l))
        columns.append(("Al, fresh layer", curve.aluminium_amorphous_mg_l))
    if not columns:
        return []
    rows = []
    for ph in _TABLE_PH:
        index = int(abs(curve.ph - ph).argmin())
        row = (number_text(float(found[index])) for _, found in columns)
        rows.append((number_text(ph, decimals=1), *row))
    about = "mg/L; at the acid end all zinc oxide is gone" if curve.oxide_used_up else "mg/L"
    if r.aluminium_mg_l is not None:
        about += "; aluminium in plain water"
    heads = (("pH", "right"), *((name, "right") for name, _ in columns))
    return [SheetTable("Against pH", heads, tuple(rows), about)]


def pictures(report: MakingReport[IonsResult]) -> tuple[Picture, ...]:
    """Return dissolved metal against pH, and the species of zinc."""
    r = report.result
    own = r.curve.zinc_mg_l is not None
    told = "Logarithmic. Plain water is ideal, without carbon dioxide."
    if own:
        told += " This formula: its salts, acids and chelators, at its ionic strength."
    zinc, aluminium = _has_zinc_oxide(r), r.aluminium_mg_l is not None
    found = []
    if zinc or aluminium:
        drawn = dissolved_against_ph(r.curve, r.ph, r.window, zinc=zinc, aluminium=aluminium)
        found.append(Picture("Dissolved metal against pH", drawn, told))
    if zinc:
        where = "this formula's water phase" if own else "plain water over zinc oxide"
        drawn = shares_against_ph(r.curve.ph, r.curve.zinc_species, r.ph)
        told = f"Shares of the zinc in solution, in {where}."
        found.append(Picture("Forms of dissolved zinc", drawn, told))
    return tuple(found)
