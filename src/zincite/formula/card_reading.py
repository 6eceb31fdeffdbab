"""The one reader of material cards: shipped library, a user's files and a formula's own cards.

A card is a `[[material]]` table. A property is a plain number (the user's data sheet) or
`{ value, low, high, evidence, source }`. The format is documented in the user guide.
"""

from __future__ import annotations

from typing import Any, NoReturn

from zincite.errors import InputError, OutOfRangeError
from zincite.formula.documents import Document, Place
from zincite.formula.formula import PHASE_KINDS
from zincite.formula.grade_reading import read_grade
from zincite.formula.material import DISPERSION_SHAPES, Constituent, Material
from zincite.formula.values import (
    OWN_FILE,
    check_keys,
    evidence_of,
    number,
    optional_text,
    sourced,
    tables,
    text,
    texts,
    truth,
)
from zincite.sources import Sourced

__all__ = ["CARD_KEYS", "PROPERTIES", "read_materials"]

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
            grade=read_grade(entry["grade"], place) if "grade" in entry else None,
            notes=optional_text(entry, "notes", place),
            dispersion_shape=_choice(
                entry.get("dispersion_shape", "ester"), "dispersion_shape", DISPERSION_SHAPES, place
            ),
            composition_evidence=evidence_of(entry, place, "composition_evidence"),
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
