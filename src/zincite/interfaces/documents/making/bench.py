"""Sheet and picture of a dispersion bench."""

from __future__ import annotations

from zincite.evaluation.making.dispersion.bench_result import (
    DispersionBench,
    MillBaseState,
    PowderSurface,
)
from zincite.evaluation.making.dispersion.bench_words import filling_words
from zincite.interfaces.documents.figures.making_dispersion import mill_base_curve
from zincite.interfaces.documents.making._dispersion_words import (
    GRIND,
    in_brackets,
    range_text,
    thick_text,
)
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, joined, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_NEXT = (
    "Next: a ladder of dispersant at fixed solids decides how much (`zincite making ladder`); "
    "`zincite making mill-base` finds the solids that your device takes."
)


def sheet(report: MakingReport[DispersionBench]) -> Sheet:
    """Return the sheet of a dispersion bench."""
    r = report.result
    verdict, headline = _decision(r)
    return Sheet(
        "Dispersion bench",
        "geometric surface, adsorbed layer, oil absorption, Krieger-Dougherty",
        verdict,
        headline,
        _sentence(r),
        _reasons(r),
        _numbers(r),
        (_powders(r.powders), *_dispersants(r)),
        (GRIND, _NEXT),
    )


def _coated(r: DispersionBench) -> bool:
    return all(item.powder.has_organic_coating for item in r.powders if item.milled)


def _decision(r: DispersionBench) -> tuple[str, str]:
    if r.mill is not None and r.mill.to_cpvc.median >= 1:
        return "fails", "Too little oil to disperse in"
    if r.coverage == "none":
        return "short", "No dispersant in the mill base"
    if r.coverage == "short":
        may_do = _coated(r)
        return (
            ("unknown", "Dispersant may be short") if may_do else ("short", "Short of dispersant")
        )
    if r.coverage == "surplus":
        return "unknown", "More dispersant than the surface holds"
    return "passes", "Dispersant covers the surface"


def _sentence(r: DispersionBench) -> str:
    need = r.demand_percent_of_formula
    full = f"a full layer on the powder takes {number_text(need.median, digits=2)} %"
    full += in_brackets(range_text(need, digits=2))
    held = r.milled_dispersant_percent
    if held <= 0:
        return f"The formula mills without dispersant, {full} of the formula."
    return f"{number_text(held, digits=2)} % of the formula is milled in; {full}."


def _reasons(r: DispersionBench) -> tuple[str, ...]:
    said = []
    later = [item.material for item in r.held if not item.milled]
    if r.coverage in ("none", "short") and later:
        said.append(
            f"{', '.join(later)} would disperse too, but comes after milling: move it, or add a "
            "dispersant."
        )
    if r.coverage == "surplus":
        said.append(
            "What is left over stays in the oil, can thicken it by depletion and competes with "
            "the emulsifier."
        )
    if r.mill is not None and r.mill.to_cpvc.median >= 1:
        said.append(
            f"{r.mill.where[:1].upper()}{r.mill.where[1:]} has "
            f"{number_text(r.mill.solids_volume_percent)} vol% powder, above the critical "
            f"{number_text(r.mill.cpvc_percent.median)} vol%: it stays a dry crumb."
        )
    return tuple(said)


def _numbers(r: DispersionBench) -> tuple[Number, ...]:
    pigment = r.demand_percent_of_pigment
    who = [item.material for item in r.held if item.milled]
    found = [
        Number(
            "dispersant for a full layer",
            value(r.demand_percent_of_formula.median, "%", decimals=2),
            joined(
                [
                    "of the formula",
                    range_text(r.demand_percent_of_formula, digits=2),
                    f"on the pigment {number_text(pigment.median, digits=2)} %",
                ]
            ),
        ),
        Number("dispersant milled in", value(r.milled_dispersant_percent, "%"), joined(who, ", ")),
    ]
    if r.mill is not None:
        found += _mill(r.mill)
    return (*found, *_film(r))


def _film(r: DispersionBench) -> tuple[Number, ...]:
    film = r.film
    percent = sum(item.powder.percent for item in r.powders if item.powder.is_pigment)
    cpvc = f"CPVC {number_text(film.cpvc_percent.median)} vol%"
    words = filling_words(film.to_cpvc.median)
    return (
        Number(
            "pigment in the product",
            value(film.product_volume_percent, "vol%"),
            f"{number_text(percent)} % by mass",
        ),
        Number(
            "PVC of the dried film",
            value(film.pvc_percent, "vol%"),
            joined([cpvc, range_text(film.cpvc_percent, "vol%")]),
        ),
        Number(
            "PVC/CPVC of the dried film",
            value(film.to_cpvc.median),
            f"{words}{in_brackets(range_text(film.to_cpvc))}",
        ),
    )


def _mill(m: MillBaseState) -> list[Number]:
    return [
        Number(
            "powder in the mill base",
            value(m.solids_percent, "%"),
            f"{number_text(m.solids_volume_percent)} vol%, {m.where}",
        ),
        Number(
            "PVC/CPVC of the mill base",
            value(m.to_cpvc.median),
            joined([range_text(m.to_cpvc), f"CPVC {number_text(m.cpvc_percent.median)} vol%"]),
        ),
        Number("viscosity of its oil", value(m.oil_mPas, "mPa s"), "without the dispersant"),
        Number(
            "mill base as wetted",
            thick_text(m.in_device_mPas.median, "mPa s"),
            range_text(m.in_device_mPas, "mPa s"),
        ),
        Number(
            "dispersed, against its oil",
            thick_text(m.dispersed.median, "times"),
            range_text(m.dispersed),
        ),
        Number(
            "flocculated, against its oil",
            thick_text(m.flocculated.median, "times"),
            range_text(m.flocculated),
        ),
    ]


def _powders(powders: tuple[PowderSurface, ...]) -> SheetTable:
    columns = (
        ("powder", "left"),
        ("%", "right"),
        ("d32, nm", "right"),
        ("m2/g", "right"),
        ("BET, m2/g", "right"),
        ("needs, %", "right"),
        ("oil, g/100 g", "right"),
        ("coat", "left"),
    )
    rows = tuple(_row(item) for item in powders)
    about = "d32: mean for the surface; m2/g as smooth spheres; needs: a full layer, of the powder"
    return SheetTable("Powders", columns, rows, about, widths=(38, 4, 5, 5, 5, 12, 10, 7))


def _row(item: PowderSurface) -> tuple[str, ...]:
    p, need = item.powder, item.demand_percent_of_powder
    oil = p.oil_absorption_g_100g
    ends = ("", "") if need is None else [number_text(e, digits=2) for e in (need.low, need.high)]
    needs = ends[0] if ends[0] == ends[1] else " to ".join(ends)
    coated = p.material.grade is not None and bool(p.material.grade.coatings)
    return (
        p.material.id,
        number_text(p.percent),
        "" if p.sizes is None else number_text(p.sizes.sauter_diameter_nm),
        "" if p.geometric_m2_g is None else number_text(p.geometric_m2_g),
        "" if p.measured_m2_g is None else number_text(p.measured_m2_g),
        "not milled" if not item.milled else "not known" if need is None else needs,
        f"{number_text(oil.value)}{' assumed' if oil.is_assumed else ''}",
        "organic" if p.has_organic_coating else "mineral" if coated else "none",
    )


def _dispersants(r: DispersionBench) -> tuple[SheetTable, ...]:
    if not r.held:
        return ()
    powder = sum(item.powder.percent for item in r.powders if item.milled)
    rows = tuple(
        (
            item.material,
            number_text(item.percent),
            number_text(100 * item.percent / powder),
            ("in the mill base" if item.milled else "added after milling")
            + (", also an emulsifier" if item.emulsifier else ""),
        )
        for item in r.held
    )
    columns = (
        ("material", "left"),
        ("% of formula", "right"),
        ("% of what is milled", "right"),
        ("", "left"),
    )
    return (SheetTable("Dispersants of the formula", columns, rows),)


def pictures(report: MakingReport[DispersionBench]) -> tuple[Picture, ...]:
    """Return the thickness of the mill base over its solids."""
    m = report.result.mill
    if m is None:
        return ()
    return (
        Picture(
            "How thick the mill base gets",
            mill_base_curve(m.slurry, m.solids_percent, name="as in the formula"),
            "Viscosity as wetted and once dispersed; the band is the range of the assumed values.",
        ),
    )
