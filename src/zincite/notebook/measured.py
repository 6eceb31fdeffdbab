"""The figures of an evaluated test, or of a plain reading, under the names predictions use."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from zincite.errors import InputError
from zincite.notebook.quantities import MeasuredValue, unit_of

__all__ = ["ASSAYS", "PLAIN", "measured_values", "plain_value"]

Evaluation = Mapping[str, Any]

PLAIN: dict[str, tuple[str, str, dict[str, float]]] = {
    "viscosity": (
        "viscosity_mPas",
        "mPa s",
        {"mpas": 1.0, "mpa.s": 1.0, "cp": 1.0, "cps": 1.0, "pas": 1000.0, "pa.s": 1000.0},
    ),
    "density": ("density_g_ml", "g/mL", {"g/ml": 1.0, "g/cm3": 1.0, "kg/l": 1.0, "kg/m3": 0.001}),
    "ph": ("ph", "", {"": 1.0, "-": 1.0, "ph": 1.0}),
    "droplet size": ("droplet_um", "um", {"um": 1.0, "\u00b5m": 1.0, "\u03bcm": 1.0, "nm": 0.001}),
    "grind": ("grind_um", "um", {"um": 1.0, "\u00b5m": 1.0, "\u03bcm": 1.0}),
    "spf": ("spf", "", {"": 1.0, "-": 1.0}),
    "uva-pf": ("uva_pf", "", {"": 1.0, "-": 1.0}),
    "critical wavelength": ("critical_wavelength_nm", "nm", {"nm": 1.0}),
}
"""Plain readings: the key, the unit it is kept in, and factors from the units it may come in."""


def plain_value(quantity: str, value: float, unit: str = "") -> MeasuredValue:
    """Return a plain reading in the unit in which it is kept.

    Parameters
    ----------
    quantity : str
        One of `PLAIN`, whose units are converted, or any other name.
    value : float
    unit : str

    Raises
    ------
    InputError
        If one of `PLAIN` comes in another unit than it has.

    Examples
    --------
    >>> plain_value("viscosity", 12, "Pa s")
    MeasuredValue(quantity='viscosity_mPas', value=12000.0, low=None, high=None, unit='mPa s')
    """
    name = " ".join(quantity.split())
    known = PLAIN.get(name.lower().replace("_", " "))
    if known is None:
        return MeasuredValue(name, float(value), unit=unit.strip())
    key, kept, factors = known
    factor = factors.get("".join(unit.split()).lower().replace("*", "."))
    if factor is None:
        units = ", ".join(name for name in factors if name) or "no unit"
        raise InputError(
            f"{name} has the unit {unit[:20]!r}, expected {kept or 'none'} (known: {units})"
        )
    return MeasuredValue(key, float(value) * factor, unit=kept)


def measured_values(kind: str, evaluation: Evaluation) -> tuple[MeasuredValue, ...]:
    """Return the figures of an evaluated test.

    Parameters
    ----------
    kind : str
        One of `ASSAYS`.
    evaluation : mapping
        What the report's `to_dict` returns.

    Returns
    -------
    tuple of MeasuredValue
        Figures that exist, in the order of the report.

    Raises
    ------
    InputError
        If the kind is none of `ASSAYS`.
    """
    if kind not in ASSAYS:
        raise InputError(
            f"the kind of result is {kind[:40]!r}, expected one of {', '.join(ASSAYS)}"
        )
    return tuple(value for value in ASSAYS[kind](evaluation) if value.value is not None)


def _value(
    quantity: str, value: Any, low: Any = None, high: Any = None, unit: str | None = None
) -> MeasuredValue:
    kept = unit_of(quantity) if unit is None else unit
    return MeasuredValue(quantity, _number(value), _number(low), _number(high), kept)


def _number(value: Any) -> float | None:
    plain = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    return float(value) if plain else None


def _mean(quantity: str, found: Mapping[str, Any] | None) -> MeasuredValue:
    """Return a mean with its interval, as plates, cards and panels report it."""
    given = found or {}
    return _value(quantity, given.get("mean"), given.get("low"), given.get("high"))


def _panel(key: str) -> Callable[[Evaluation], Iterator[MeasuredValue]]:
    def found(e: Evaluation) -> Iterator[MeasuredValue]:
        yield _value(key, e[f"mean_{key}"], e["ci95_low"], e["ci95_high"])

    return found


def _water(e: Evaluation) -> Iterator[MeasuredValue]:
    yield _value("retention_percent", e["mean_retention_percent"], e["lower_limit_percent"])
    yield _value("spf_static", e["mean_spf_static"])
    yield _value("spf_wet", e["mean_spf_wet"])


def _uva(e: Evaluation) -> Iterator[MeasuredValue]:
    for key in ("spf_in_vitro", "uva_pf0", "uva_pf", "critical_wavelength_nm", "uva_to_uvb"):
        found = e["intervals"].get(key, {})
        yield _value(key, e[key], found.get("low"), found.get("high"))


def _photostability(e: Evaluation) -> Iterator[MeasuredValue]:
    for key, loss in e["loss_percent"].items():
        yield _mean(f"loss_percent {key}", loss)


def _broad_spectrum(e: Evaluation) -> Iterator[MeasuredValue]:
    yield _mean("critical_wavelength_nm", e["interval"])


def _reported(e: Evaluation) -> Iterator[MeasuredValue]:
    for key, found in e["figures"].items():
        yield _mean(key, found)


def _colour(e: Evaluation) -> Iterator[MeasuredValue]:
    for skin in e["classes"]:
        for key in ("delta_l", "delta_e00", "delta_ita_deg"):
            yield _mean(f"{key} {skin['name']}", skin[key])


def _contrast(e: Evaluation) -> Iterator[MeasuredValue]:
    limits = (e["low_percent"], e["high_percent"])
    yield _value("contrast_ratio_percent", e["mean_percent"], *limits)


def _screening(e: Evaluation) -> Iterator[MeasuredValue]:
    for place in e["ranking"]:
        name = f"{e['quantity']} {place['grade']}".strip()
        yield _value(name, place["mean"], place["low"], place["high"], unit=e["unit"])


def _size(e: Evaluation) -> Iterator[MeasuredValue]:
    for weighting, found in e["percentiles_nm"].items():
        for key, diameter in found.items():
            yield _value(f"{key} {weighting}", diameter)
    yield _value("specific_surface_m2_g", e["specific_surface_m2_g"])
    yield _value("aggregate_fraction", (e["aggregates"] or {}).get("aggregate_fraction"))


def _flow(e: Evaluation) -> Iterator[MeasuredValue]:
    measured = {rate: v for rate, v in e["viscosity_mPas"].items() if v is not None}
    # the first rate asked for is the figure that a prediction is held against
    yield _value("viscosity_mPas", next(iter(measured.values()), None))
    for rate, viscosity in measured.items():
        yield _value(f"viscosity_mPas at {rate} per s", viscosity)
    fit = e["herschel_bulkley"] if e["chosen"] == "Herschel-Bulkley" else e["power_law"]
    for key in ("yield_stress_Pa", "exponent"):
        found = (fit or {}).get(key) or {}
        yield _value(key, found.get("value"), found.get("low"), found.get("high"))


ASSAYS: dict[str, Callable[[Evaluation], Iterator[MeasuredValue]]] = {
    "uva": _uva,
    "spf": _panel("spf"),
    "uva-pf": _panel("uva_pf"),
    "water": _water,
    "photostability": _photostability,
    "double-plate": _reported,
    "hybrid": _reported,
    "broad-spectrum": _broad_spectrum,
    "colour": _colour,
    "contrast": _contrast,
    "screening": _screening,
    "size": _size,
    "flow": _flow,
}
"""Kinds of `zincite assay` and how their figures are read off."""
