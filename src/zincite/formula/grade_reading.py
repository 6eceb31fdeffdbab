"""Reading of the `[material.grade]` table of a card: sizes, coating, measured optics."""

from __future__ import annotations

from typing import Any

from zincite.formula.documents import Place
from zincite.formula.material import Coating, Grade, IndexModel
from zincite.formula.values import (
    OWN_FILE,
    check_keys,
    evidence_of,
    number,
    numbers,
    optional_number,
    optional_text,
    sourced,
    tables,
    text,
)
from zincite.sources import Sourced

__all__ = ["read_grade"]

_GRADE_KEYS = (
    "core",
    "primary_median_nm",
    "primary_gsd",
    "weighting",
    "aggregate_fraction",
    "aggregate_median_nm",
    "supplied_aggregate_fraction",
    "supplied_aggregate_median_nm",
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


def read_grade(value: object, outer: Place) -> Grade:
    """Return the grade of a card's `[material.grade]` table.

    Parameters
    ----------
    value : object
        What the card's key holds.
    outer : Place
        The card's place, for messages.

    Raises
    ------
    InputError
        If a key is unknown or a value impossible.
    """
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
        supplied_aggregate_fraction=_optional_sourced(
            value, "supplied_aggregate_fraction", place, "", 0.0, 1.0
        ),
        supplied_aggregate_median_nm=_optional_sourced(
            value, "supplied_aggregate_median_nm", place, "nm", 20.0, 50_000.0
        ),
        extinction_nm=extinction[0],
        extinction_L_g_cm=extinction[1],
        index_model=_index_model(value.get("index", {}), place),
        evidence=evidence_of(value, place),
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
    found = (numbers(entry[first], first, inner, 0.0), numbers(entry[second], second, inner, 0.0))
    if not found[0] and not found[1]:
        inner.fail(f"is empty, expected at least one {first} with its {second}")
    return found


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
                evidence=evidence_of(entry, inner),
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
