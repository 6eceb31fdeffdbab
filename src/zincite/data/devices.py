"""Dispersing devices: the ranges of tip speed, shear, gap and viscosity in which each works."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import MissingDataError

__all__ = ["Device", "Window", "device", "devices"]

_QUANTITIES = {"tip_speed": "m_s", "shear": "1_s", "gap": "um", "viscosity": "mPas"}
_REMEMBERED = "from memory:"


@dataclass(frozen=True, slots=True)
class Window:
    """A range; an end that is None was not stated.

    Attributes
    ----------
    low, high : float or None
        In the unit of the attribute that holds it.
    """

    low: float | None
    high: float | None

    def holds(self, value: float) -> bool:
        """Return whether a value lies inside."""
        above = self.low is None or value >= self.low
        return above and (self.high is None or value <= self.high)


@dataclass(frozen=True, slots=True)
class Device:
    """One kind of device.

    Attributes
    ----------
    key : str
        As a process step names it (`zincite.formula.process.DEVICES`).
    tip_speed_m_s : Window
        Of rotor, disc or fastest roll. [m/s]
    shear_1_s : Window
        Shear rate where it works. [1/s]
    gap_um : Window
        Between rotor and stator, between rolls, or at the wall. [um]
    viscosity_mPas : Window
        Of the contents, at the shear of the device. [mPa s]
    result : str
        What it typically gives.
    remembered : frozenset of str
        Which of "tip_speed", "shear", "gap", "viscosity" are from memory and so assumed.
    source : str
        Key of a trade source, "" where there is none.
    """

    key: str
    tip_speed_m_s: Window
    shear_1_s: Window
    gap_um: Window
    viscosity_mPas: Window
    result: str
    remembered: frozenset[str]
    source: str

    @property
    def name(self) -> str:
        """Return the key as words: "three-roll mill", "in-line rotor-stator"."""
        return _NAMES.get(self.key, self.key)


_NAMES = {
    "rotor-stator": "batch rotor-stator",
    "rotor-stator-in-line": "in-line rotor-stator",
    "three-roll-mill": "three-roll mill",
    "bead-mill": "bead mill",
    "high-pressure": "high-pressure homogeniser",
}


def _window(row: Mapping[str, str], quantity: str) -> Window:
    unit = _QUANTITIES[quantity]
    low, high = (row[f"{quantity}_{end}_{unit}"] for end in ("low", "high"))
    return Window(float(low) if low else None, float(high) if high else None)


def _device(row: Mapping[str, str]) -> Device:
    return Device(
        key=row["key"],
        tip_speed_m_s=_window(row, "tip_speed"),
        shear_1_s=_window(row, "shear"),
        gap_um=_window(row, "gap"),
        viscosity_mPas=_window(row, "viscosity"),
        result=row["result"],
        remembered=frozenset(row["status"].removeprefix(_REMEMBERED).split()),
        source=row["source"],
    )


@lru_cache(maxsize=1)
def devices() -> Mapping[str, Device]:
    """Return all devices by key, from the gentlest to the finest."""
    return MappingProxyType({row["key"]: _device(row) for row in read_rows("making/devices.csv")})


def device(key: str) -> Device:
    """Return one device.

    Raises
    ------
    MissingDataError
        If there is none of this key.
    """
    if key not in devices():
        raise MissingDataError(f"no device {key!r}, expected one of {', '.join(devices())}")
    return devices()[key]
