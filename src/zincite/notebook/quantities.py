"""Numbers as the notebook keeps them: a quantity by its JSON key, value, interval and unit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["MeasuredValue", "PredictedValue", "predicted_values", "unit_of"]


@dataclass(frozen=True, slots=True)
class PredictedValue:
    """A predicted figure.

    Attributes
    ----------
    quantity : str
        Key such as "spf" or "delta_e00 dark".
    median, low, high : float or None
        `low` and `high` are the 90 % interval, None where the figure is exact.
    unit : str
    """

    quantity: str
    median: float | None
    low: float | None
    high: float | None
    unit: str


@dataclass(frozen=True, slots=True)
class MeasuredValue:
    """A measured figure.

    Attributes
    ----------
    quantity : str
        Key, the same as the prediction's where it is the same figure.
    value, low, high : float or None
        `low` and `high` are the confidence interval, None where there is none.
    unit : str
    """

    quantity: str
    value: float | None
    low: float | None = None
    high: float | None = None
    unit: str = ""


_UNITS = {
    "_nm": "nm",
    "_um": "um",
    "_percent": "%",
    "_percent_without_water": "%",
    "_g_ml": "g/mL",
    "_m2_g": "m2/g",
    "_mPas": "mPa s",
    "_deg": "deg",
    "_Pa": "Pa",
    "_C": "degC",
}
"""Endings of keys and their units."""


def unit_of(key: str, currency: str = "") -> str:
    """Return the unit that a key ends in, "" where it names none.

    Examples
    --------
    >>> unit_of("critical_wavelength_nm")
    'nm'
    """
    first = key.split(" ")[0]
    if first == "cost_per_kg":
        return f"{currency}/kg"
    endings = sorted(_UNITS, key=len, reverse=True)
    return next((_UNITS[ending] for ending in endings if first.endswith(ending)), "")


def predicted_values(prediction: Mapping[str, Any]) -> tuple[PredictedValue, ...]:
    """Return the figures of a prediction.

    Parameters
    ----------
    prediction : mapping
        What `Prediction.to_dict` returns.

    Returns
    -------
    tuple of PredictedValue
        White cast as "delta_e00 dark" and the like.
    """
    currency = str(prediction.get("currency", ""))
    found = []
    for key, shown in _figures(prediction):
        median = _number(shown.get("median", shown.get("value")))
        if median is None:
            continue
        low, high = (_number(shown.get(side)) for side in ("low", "high"))
        found.append(PredictedValue(key, median, low, high, unit_of(key, currency)))
    return tuple(found)


def _figures(prediction: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for key, shown in prediction.items():
        if not isinstance(shown, Mapping):
            continue
        if key == "white_cast":
            for skin, changes in shown.items():
                for name, change in changes.items():
                    yield f"{name} {skin}", change
        elif "median" in shown or "value" in shown:
            yield key, shown


def _number(value: Any) -> float | None:
    plain = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    return float(value) if plain else None
