"""Rows that the report's tables show: headline numbers, formula with evidence, versions."""

from __future__ import annotations

import platform
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.prediction import Prediction
from zincite.formula.defaults import density_g_ml_of, refractive_index_of
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.interfaces.documents.figures.appearance import cast_word, worst_class
from zincite.interfaces.documents.numbers import (
    NOT_KNOWN,
    found_text,
    interval_text,
    number_text,
    value_text,
    with_unit,
)
from zincite.sources import Evidence, Sourced

__all__ = [
    "Headline",
    "IngredientRow",
    "formula_rows",
    "headline_numbers",
    "is_assumed",
    "result_rows",
    "versions",
]

_FITTED = "calculated with the fitted film model"


@dataclass(frozen=True, slots=True)
class Headline:
    """One headline number.

    Attributes
    ----------
    name, value, interval, evidence : str
        As printed; interval "" where exact.
    assumed : bool
        Whether it must look like an assumption.
    note : str
        What a reader needs beside it.
    """

    name: str
    value: str
    interval: str
    evidence: str
    assumed: bool = False
    note: str = ""


def is_assumed(found: Estimate | Exact) -> bool:
    """Return whether an assumed value dominates a result."""
    return isinstance(found, Estimate) and found.assumed


def _headline(
    name: str, found: Estimate | Exact, evidence: str, *, note: str = "", assumed: bool = False
) -> Headline:
    value = value_text(found)
    missing = found.missing if isinstance(found, Exact) else ()
    if value == NOT_KNOWN:
        why = f"missing: {', '.join(missing)}" if missing else "no value"
        return Headline(name, value, "", why, False, note)
    return Headline(name, value, interval_text(found), evidence, assumed or is_assumed(found), note)


def headline_numbers(prediction: Prediction) -> tuple[Headline, ...]:
    """Return the numbers that a chemist asks for first, in the order of the work."""
    p = prediction
    return (
        _headline("SPF", p.spf, _FITTED),
        _headline("UVA-PF", p.uva_pf, _FITTED),
        _headline("UVA-PF ÷ SPF", p.uva_pf_to_spf, _FITTED),
        _headline("critical wavelength", p.critical_wavelength_nm, _FITTED),
        _white_cast(p),
        _headline(
            "natural origin (ISO 16128)",
            p.naturality.natural_origin_percent,
            "calculated from the cards' indexes",
            assumed=p.naturality.assumed_percent > 50,
            note=_natural_note(p),
        ),
        _headline(
            "raw-material cost",
            p.cost.per_kg,
            "sum of prices",
            note=""
            if not p.cost.missing
            else "known part "
            + with_unit(number_text(p.cost.known_part_per_kg), f"{p.cost.currency}/kg"),
        ),
        _headline("density", p.density_g_ml, "calculated from the cards"),
        _headline("viscosity, low shear", p.viscosity_mPas, "rough calculation"),
        _dry_film(p),
    )


def _white_cast(prediction: Prediction) -> Headline:
    name = worst_class(prediction)
    if not name:
        return Headline("white cast", NOT_KNOWN, "", "no skin class", False)
    cast = prediction.white_cast[name]
    return _headline(
        f"{cast_word(cast)} dE00, worst: {name} skin",
        cast.delta_e00,
        _FITTED,
        note=f"dL* {found_text(cast.delta_l, signed=True)}",
    )


def _natural_note(prediction: Prediction) -> str:
    n = prediction.naturality
    parts = [f"without water {value_text(n.natural_origin_percent_without_water)}"]
    if n.assumed_percent > 0:
        parts.append(f"index assumed for {number_text(n.assumed_percent, digits=2)} % of the mass")
    if n.unknown_percent > 0:
        parts.append(f"no index for {number_text(n.unknown_percent, digits=2)} %, counted 0")
    return "; ".join(parts)


def _dry_film(prediction: Prediction) -> Headline:
    dose = prediction.dose
    dry = Exact(dose.get("dry_thickness_um"), "µm")
    mass, volume = dose.get("dose_mg_cm2"), dose.get("dose_uL_cm2")
    note = (
        f"from {with_unit(number_text(mass), 'mg/cm²')} = "
        f"{with_unit(number_text(volume), 'µL/cm²')} applied"
    )
    return _headline("dry film, mean", dry, "calculated from dose and volatiles", note=note)


@dataclass(frozen=True, slots=True)
class IngredientRow:
    """One weighed material of the formula table.

    Attributes
    ----------
    material, inci, percent : str
    rest : bool
    evidence : tuple of tuple of str
        Pairs of how known and of what, such as ("assumed", "density, price").
    """

    material: str
    inci: str
    percent: str
    rest: bool
    evidence: tuple[tuple[str, str], ...]


def formula_rows(
    formula: Formula, prices: dict[str, str]
) -> tuple[tuple[str, str, tuple[IngredientRow, ...]], ...]:
    """Return the formula phase by phase: heading, share and rows.

    Parameters
    ----------
    formula : Formula
    prices : dict of str to str
        Evidence of each material's price.
    """
    blocks = []
    for phase in formula.phases:
        heat = "" if phase.temperature_C is None else f", {phase.temperature_C:g} °C"
        rows = tuple(
            IngredientRow(
                item.material,
                formula.materials[item.material].inci,
                number_text(item.percent, decimals=_places(item.percent)),
                item.is_rest,
                _evidence(formula.materials[item.material], formula, prices),
            )
            for item in phase.ingredients
        )
        heading = f"Phase {phase.name}: {phase.kind}{heat}"
        blocks.append((heading, number_text(phase.percent, decimals=2), rows))
    return tuple(blocks)


def _places(percent: float) -> int:
    """Return two decimals, or as many as a small share needs."""
    return 2 if percent >= 0.1 or percent == 0 else 4


def _evidence(
    material: Material, formula: Formula, prices: dict[str, str]
) -> tuple[tuple[str, str], ...]:
    """Return what the card's numbers rest on, the weakest last."""
    known: dict[str, list[str]] = {}

    def add(evidence: str, what: str) -> None:
        if evidence:
            known.setdefault(evidence, []).append(what)

    if material.grade is not None:
        add(material.grade.evidence.value, "sizes")
        if material.grade.extinction_nm:
            add(Evidence.MEASURED.value, "extinction")
    elif not material.volatile and material.phase == "oil":
        add(refractive_index_of(material, formula.materials).evidence.value, "index")
    if material.composition:
        add(material.composition_evidence.value, "composition")
    add(density_g_ml_of(material, formula.materials).evidence.value, "density")
    origin: Sourced | None = material.properties.get("natural_origin_index")
    add("" if origin is None else origin.evidence.value, "natural origin")
    add(prices.get(material.id, ""), "price")
    order = [e.value for e in Evidence]
    return tuple((word, ", ".join(known[word])) for word in order if word in known)


def result_rows(prediction: Prediction) -> tuple[tuple[str, str, bool], ...]:
    """Return the results that a comparison shows: name, value with interval, assumed.

    Parameters
    ----------
    prediction : Prediction
    """
    p = prediction
    name = worst_class(p)
    rows: list[tuple[str, Estimate | Exact]] = [
        ("SPF", p.spf),
        ("UVA-PF", p.uva_pf),
        ("UVA-PF ÷ SPF", p.uva_pf_to_spf),
        ("critical wavelength", p.critical_wavelength_nm),
        ("UVA ÷ UVB absorbance", p.uva_to_uvb),
        ("natural origin", p.naturality.natural_origin_percent),
        ("raw-material cost", p.cost.per_kg),
        ("density", p.density_g_ml),
        ("viscosity, low shear", p.viscosity_mPas),
    ]
    shown = [(word, found_text(found), is_assumed(found)) for word, found in rows]
    cast = f"{found_text(p.white_cast[name].delta_e00)} on {name} skin" if name else NOT_KNOWN
    shown.insert(5, ("white cast or tint dE00, worst class", cast, False))
    return tuple(shown)


def versions() -> tuple[tuple[str, str], ...]:
    """Return the versions that made a report, for those who want to run it again."""
    found = []
    for name in ("zincite", "numpy", "scipy", "jinja2"):
        try:
            found.append((name, version(name)))
        except PackageNotFoundError:  # run from a folder without installation
            found.append((name, "not installed as a package"))
    return (*found, ("Python", platform.python_version()))
