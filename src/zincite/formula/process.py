"""Process steps as the formula file states them: devices, what goes in, settings with units."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DEVICES", "SETTINGS", "ProcessStep", "device_key"]

DEVICES = (
    "anchor",
    "dissolver",
    "rotor-stator",
    "rotor-stator-in-line",
    "three-roll-mill",
    "bead-mill",
    "high-pressure",
)
"""Devices that the making models know; a step may name another one, which then works no change."""

SETTINGS: dict[str, tuple[float, float, str]] = {
    "minutes": (0, 1e4, "time the device runs"),
    "temperature_C": (-20, 150, "of the contents at the end of the step"),
    "tip_speed_m_s": (0, 100, "of the rotor, disc or fastest roll"),
    "speed_rpm": (0, 1e5, "of the shaft"),
    "diameter_m": (1e-3, 5, "of the rotor, disc or roll"),
    "gap_um": (1, 1e5, "between rotor and stator or between the last rolls"),
    "speed_ratio": (1, 10, "of neighbouring rolls"),
    "passes": (0, 1000, "through an in-line device or a mill"),
    "flow_kg_h": (1e-3, 1e6, "through an in-line device"),
    "power_W": (0, 1e7, "drawn by the load, idle power taken off"),
    "power_number": (1e-3, 100, "of the rotor in turbulent flow"),
    "pressure_bar": (0, 5000, "of a high-pressure homogeniser"),
    "bead_um": (10, 1e4, "diameter of the beads"),
    "energy_J_mL": (0, 1e6, "brought into the contents, measured"),
    "viscosity_mPas": (0.1, 1e7, "of the contents under shear"),
    "solids_percent": (0, 95, "pigment by mass of the contents, where it is not all of its phases"),
}
"""Settings of a step: lowest and highest value read, and what it is."""


@dataclass(frozen=True, slots=True)
class ProcessStep:
    """One step on a device.

    Attributes
    ----------
    device : str
        One of `DEVICES`, or another name, whose work is then not modelled.
    settings : dict of str to float
        Numbers by name with unit, keys of `SETTINGS`.
    phases : tuple of str
        Names of the phases that are added at the beginning of this step, in this order.
    note : str
        What the operator has to know.
    """

    device: str
    settings: dict[str, float]
    phases: tuple[str, ...] = ()
    note: str = ""


def device_key(name: str) -> str:
    """Return a device's name as `DEVICES` writes it: "Three-roll mill" is "three-roll-mill"."""
    key = "-".join(name.lower().replace("_", " ").replace("-", " ").split())
    return {"rotor-stator-batch": "rotor-stator", "rotor-stator-inline": "rotor-stator-in-line",
            "inline-rotor-stator": "rotor-stator-in-line", "roll-mill": "three-roll-mill",
            "high-pressure-homogeniser": "high-pressure"}.get(key, key)  # fmt: skip
