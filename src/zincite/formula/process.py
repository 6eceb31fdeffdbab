"""Process steps as the formula file states them."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["ProcessStep"]


@dataclass(frozen=True, slots=True)
class ProcessStep:
    """One step on a device.

    Attributes
    ----------
    device : str
        Such as "rotor-stator", "three-roll mill", "bead mill".
    settings : dict of str to float
        Numbers by name with unit, such as `tip_speed_m_s`, `minutes`, `temperature_C`.
    """

    device: str
    settings: dict[str, float]
