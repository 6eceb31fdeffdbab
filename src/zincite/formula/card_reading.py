"""The one reader of material cards: shipped library, a user's files and a formula's own cards.

A card is a `[[material]]` table. A property is a plain number (the user's data sheet) or
`{ value, low, high, evidence, source }`. The format is documented in the user guide.
"""

from __future__ import annotations

from typing import Any, NoReturn

from zincite.errors import InputError, OutOfRangeError
from zincite.formula.documents import Document, Place
from zincite.formula.formula import PHASE_KINDS
from zincite.formula.material import (
    DISPERSION_SHAPES,
    Coating,
    Constituent,
    Grade,
    IndexModel,
    Material,
)
from zincite.formula.values import (
    OWN_FILE,
    check_keys,
    evidence,
    number,
    numbers,
    optional_number,
    optional_text,
    sourced,
    tables,
    text,
    texts,
    truth,
)
from zincite.sources import Evidence, Sourced

__all__ = ["CARD_KEYS", "PROPERTIES", "read_materials"]

_INFINITE = float("inf")

PROPERTIES: dict[str, tuple[str, float, float]] = {
    "density_g_ml": ("g/mL", 0.1, 12.0),
    "refractive_index": ("", 1.0, 4.0),
    "viscosity_mPas": ("mPa s", 0.0, 1e9),
    "spreading_mm2_10min": ("mm2/10 min", 0.0, 1e5),
    "interfacial_tension_mN_m": ("mN/m", 0.0, 100.0),
    "hlb": ("", 0.0, 50.0),
    "required_hlb": ("", 0.0, 50.0),
    "natural_index": ("", 0.0, 1.0),
    "natural_origin_index": ("", 0.0, 1.0),
    "organic_index": ("", 0.0, 1.0),
    "organic_origin_index": ("", 0.0, 1.0),
    "oil_absorption_g_100g": ("g/100 g", 0.0, 2000.0),
    "melting_point_C": ("degC", -200.0, 400.0),
    "use_low_percent": ("%", 0.0, 100.0),
    "use_high_percent": ("%", 0.0, 100.0),
    "price_per_kg": ("EUR/kg", 0.0, 1e6),
    "molar_mass_g_mol": ("g/mol", 1.0, 1e7),
    "ions_per_formula_unit": ("", 1.0, 20.0),
    "pka": ("", -10.0, 20.0),
    "zinc_oxide_consumed_g_g": ("g/g", 0.0, 10.0),
    "zinc_bound_g_g": ("g/g", 0.0, 10.0),
    "adsorbed_mg_m2": ("mg/m2", 0.0, 100.0),
}
"""Properties a card may hold: name -> unit, smallest and largest possible value."""

CARD_KEYS = (
    "id",
    "inci",
    "functions",
    "phase",
    "volatile",
    "uv_absorbing",
    "natural_basis",
    "composition",
    "composition_evidence",
    "composition_source",
    "grade",
    "notes",
    "dispersion_shape",
    *PROPERTIES,
)
_GRADE_KEYS = (
    "core",
    "primary_median_nm",
    "primary_gsd",
    "weighting",
    "aggregate_fraction",
    "aggregate_median_nm",
    "histogram",
    "extinction",
    "index",
    "coating",
    "evidence",
    "source",
)
_COATING_KEYS = (
    "inci",
    "mass_percent",
    "density_g_ml",
    "refractive_index",
    "evidence",
    "source",
)
_INDEX_RANGES = {
    "gap_eV": (2.5, 4.5),
    "binding_meV": (1.0, 200.0),
    "urbach_meV": (1.0, 500.0),
}


def read_materials(document: Document) -> tuple[Material, ...]:
    """Return the cards of a document.

    Parameters
    ----------
    document : Document
        A TOML file that may hold `[[material]]` tables.

    Returns
    -------
    tuple of Material
        In order of the file; empty where it has none.

    Raises
    ------
    InputError
        If a key is unknown, a value impossible or an id doubled; file, id and key are named.
    """
    top = document.top()
    entries = tables(document.data.get("material", []), "material", top)
    found: dict[str, Material] = {}
    for index, entry in enumerate(entries):
        material = _read_material(entry, top, index)
        if material.id in found:
            place = top.inside(f"material {material.id!r}").at("material", index)
            place.fail("stands twice in this file, expected each id once", key="id")
        found[material.id] = material
    return tuple(found.values())


def _read_material(entry: dict[str, Any], top: Place, index: int) -> Material:
    label = entry["id"] if isinstance(entry.get("id"), str) else f"number {index + 1}"
    place = top.inside(f"material {label!r}" if "id" in entry else f"material {label}")
    place = place.at("material", index)
    check_keys(entry, CARD_KEYS, place)
    for key in ("id", "inci"):
        if key not in entry:
            place.fail(f"has no {key}, expected {key} = a text in quotes")
    composed = "composition" in entry
    try:
        return Material(
            id=_identifier(entry["id"], place),
            inci=text(entry["inci"], "inci", place),
            functions=texts(entry.get("functions", []), "functions", place),
            phase=_choice(entry.get("phase", "oil"), "phase", PHASE_KINDS, place),
            properties=_properties(entry, place),
            volatile=truth(entry.get("volatile", False), "volatile", place),
            uv_absorbing=truth(entry.get("uv_absorbing", False), "uv_absorbing", place),
            natural_basis=optional_text(entry, "natural_basis", place),
            composition=_composition(entry["composition"], place) if composed else (),
            grade=_grade(entry["grade"], place) if "grade" in entry else None,
            notes=optional_text(entry, "notes", place),
            dispersion_shape=_choice(
                entry.get("dispersion_shape", "ester"), "dispersion_shape", DISPERSION_SHAPES, place
            ),
            composition_evidence=_evidence(entry, place, "composition_evidence"),
            composition_source=optional_text(
                entry, "composition_source", place, OWN_FILE if composed else ""
            ),
        )
    except OutOfRangeError as error:
        _name_the_place(error, place)


def _name_the_place(error: InputError, place: Place) -> NoReturn:
    """Pass an error of a domain object on, with the place in front unless it has one already."""
    message = str(error)
    if message.startswith(place.document.name):
        raise error
    place.fail(message, kind=type(error))


def _identifier(value: object, place: Place) -> str:
    found = text(value, "id", place)
    if any(character.isspace() or character in "\"'[]{}=#," for character in found):
        place.fail(
            f"id is {found!r}, expected lower-case letters, digits and hyphens without blanks",
            key="id",
        )
    return found


def _choice(value: object, key: str, choices: tuple[str, ...], place: Place) -> str:
    found = text(value, key, place)
    if found not in choices:
        place.fail(f"{key} is {found!r}, expected one of {', '.join(choices)}", key=key)
    return found


def _evidence(table: dict[str, Any], place: Place, key: str = "evidence") -> Evidence:
    return evidence(table.get(key, Evidence.DATA_SHEET.value), place)


def _properties(entry: dict[str, Any], place: Place) -> dict[str, Sourced]:
    found = {
        name: sourced(entry[name], name, place, unit, low, high)
        for name, (unit, low, high) in PROPERTIES.items()
        if name in entry
    }
    lowest, highest = found.get("use_low_percent"), found.get("use_high_percent")
    if lowest and highest and lowest.value > highest.value:
        place.fail(
            f"use_low_percent = {lowest.value:g} is above use_high_percent = {highest.value:g}, "
            "expected low <= high",
            key="use_low_percent",
        )
    return found


def _composition(value: object, place: Place) -> tuple[Constituent, ...]:
    parts = []
    entries = tables(value, "composition", place)
    if not entries:
        place.fail("composition is empty, expected parts that sum to 100 %", key="composition")
    for entry in entries:
        inner = place.inside("composition")
        check_keys(entry, ("material", "percent"), inner)
        if "material" not in entry or "percent" not in entry:
            inner.fail("has a part without material or percent, expected both")
        name = text(entry["material"], "material", inner)
        share = number(entry["percent"], "percent", inner, 0.0, 100.0)
        parts.append(Constituent(name, share))
    return tuple(parts)


def _grade(value: object, outer: Place) -> Grade:
    place = outer.inside("grade")
    if not isinstance(value, dict):
        outer.fail("grade is no table, expected [material.grade]", key="grade")
    check_keys(value, _GRADE_KEYS, place)
    if "core" not in value:
        place.fail('has no core, expected such as core = "zinc-oxide"')
    histogram = _pair(value, "histogram", "diameter_nm", "share", place)
    if "primary_median_nm" not in value and not histogram[0]:
        place.fail("has no primary_median_nm, expected it or a histogram")
    extinction = _pair(value, "extinction", "wavelength_nm", "L_per_g_cm", place)
    given = {
        key: number(value[key], key, place)
        for key in ("primary_median_nm", "primary_gsd")
        if key in value
    }
    if histogram[0]:
        given.setdefault("primary_median_nm", _histogram_median(*histogram))
    return Grade(
        core=text(value["core"], "core", place),
        weighting=optional_text(value, "weighting", place, "volume"),
        histogram_nm=histogram[0],
        histogram_share=histogram[1],
        coatings=_coatings(value.get("coating", []), place),
        aggregate_fraction=_optional_sourced(value, "aggregate_fraction", place, "", 0.0, 1.0),
        aggregate_median_nm=_optional_sourced(
            value, "aggregate_median_nm", place, "nm", 20.0, 50_000.0
        ),
        extinction_nm=extinction[0],
        extinction_L_g_cm=extinction[1],
        index_model=_index_model(value.get("index", {}), place),
        evidence=_evidence(value, place),
        source=optional_text(value, "source", place, OWN_FILE),
        **given,
    )


def _histogram_median(diameters_nm: tuple[float, ...], shares: tuple[float, ...]) -> float:
    """Return the diameter at which half of a histogram is reached, class middles taken as steps."""
    half, reached = sum(shares) / 2, 0.0
    for diameter, share in sorted(zip(diameters_nm, shares, strict=False)):
        reached += share
        if reached >= half:
            return diameter
    return 0.0  # all shares zero or missing: refused by Grade


def _optional_sourced(
    table: dict[str, Any], key: str, place: Place, unit: str, low: float, high: float
) -> Sourced | None:
    return sourced(table[key], key, place, unit, low, high) if key in table else None


def _pair(
    table: dict[str, Any], key: str, first: str, second: str, place: Place
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    if key not in table:
        return (), ()
    entry = table[key]
    if not isinstance(entry, dict):
        place.fail(f"{key} is no table, expected {{ {first} = [..], {second} = [..] }}", key=key)
    inner = place.inside(key)
    check_keys(entry, (first, second), inner)
    if first not in entry or second not in entry:
        inner.fail(f"misses {first} or {second}, expected both as lists of numbers")
    return (
        numbers(entry[first], first, inner, 0.0),
        numbers(entry[second], second, inner, 0.0),
    )


def _coatings(value: object, place: Place) -> tuple[Coating, ...]:
    layers = []
    for entry in tables(value, "material.grade.coating", place):
        name = entry.get("inci")
        inner = place.inside(f"coating {name!r}" if isinstance(name, str) else "coating")
        check_keys(entry, _COATING_KEYS, inner)
        if "inci" not in entry or "mass_percent" not in entry:
            inner.fail("misses inci or mass_percent, expected both")
        layers.append(
            Coating(
                inci=text(entry["inci"], "inci", inner),
                mass_percent=number(entry["mass_percent"], "mass_percent", inner),
                density_g_ml=optional_number(entry, "density_g_ml", inner, 0.1, 12.0),
                refractive_index=optional_number(entry, "refractive_index", inner, 1.0, 4.0),
                evidence=_evidence(entry, inner),
                source=optional_text(entry, "source", inner, OWN_FILE),
            )
        )
    return tuple(layers)


def _index_model(value: object, place: Place) -> IndexModel:
    if not isinstance(value, dict):
        place.fail("index is no table, expected { gap_eV = .. }", key="index")
    inner = place.inside("index")
    check_keys(value, tuple(_INDEX_RANGES), inner)
    return IndexModel(
        **{
            key: optional_number(value, key, inner, *limits)
            for key, limits in _INDEX_RANGES.items()
        }
    )
