"""Start values of dispersing devices, for what neither process step nor own data say."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError
from zincite.sources import Evidence, Sourced

__all__ = ["POWDER_AS_SUPPLIED", "device_default", "device_defaults", "has_default"]

POWDER_AS_SUPPLIED = "supplied"
"""Name under which the state of a powder before any step stands beside the devices."""

Defaults = Mapping[str, Mapping[str, Sourced]]


def _sourced(row: Mapping[str, str]) -> Sourced:
    return Sourced(
        float(row["value"]),
        row["unit"],
        Evidence(row["status"]),
        row["source"],
        float(row["low"]) if row["low"] else None,
        float(row["high"]) if row["high"] else None,
    )


@lru_cache(maxsize=1)
def device_defaults() -> Defaults:
    """Return the values by device and parameter.

    Returns
    -------
    mapping of str to mapping of str to Sourced
        Devices as process steps name them, and `POWDER_AS_SUPPLIED`. Parameters such as
        "tip_speed", "limit" (mass share freed from aggregates after endless stress), "rate",
        "end_size", "reference_intensity" (at which these hold), "damage"; each with its unit.
    """
    found: dict[str, dict[str, Sourced]] = {}
    for row in read_rows("making/device_defaults.csv"):
        found.setdefault(row["device"], {})[row["parameter"]] = _sourced(row)
    return MappingProxyType(found)


def has_default(device: str, parameter: str) -> bool:
    """Return whether a device has a value of a parameter."""
    return parameter in device_defaults().get(device, {})


def device_default(device: str, parameter: str) -> Sourced:
    """Return one value.

    Parameters
    ----------
    device : str
        Key of `device_defaults`.
    parameter : str

    Raises
    ------
    MissingDataError
        If the device or its parameter is not known.

    Examples
    --------
    >>> device_default("rotor-stator", "power_number").value
    1.7
    """
    if not has_default(device, parameter):
        raise MissingDataError(f"device {device!r} has no {parameter}, expected one of its values")
    return device_defaults()[device][parameter]
