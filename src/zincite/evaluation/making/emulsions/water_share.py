"""What the share of water means for each type of emulsion, in words."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.making.emulsions.emulsion_viscosity import DEFORM_FRACTION

__all__ = ["WaterShare", "water_share"]

_TYPICAL = (30.0, 60.0)  # water of mineral W/O sunscreens, % by mass (trade relation R21)
_LITTLE = 5.0  # % by mass, assumed: too few drops to matter
_MOST = 0.85  # volume fraction, assumed: beyond high-internal-phase emulsifiers


@dataclass(frozen=True, slots=True)
class WaterShare:
    """What the phase volumes allow.

    Attributes
    ----------
    fine : bool
        Whether nothing stands against it.
    impossible : bool
        Whether no such emulsion can be expected.
    statement : str
        One or two sentences.
    """

    fine: bool
    impossible: bool
    statement: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


def water_share(phases: EmulsionPhases) -> WaterShare:
    """Return what a formula's share of drops means (trade relation R21).

    Parameters
    ----------
    phases : EmulsionPhases
    """
    if phases.emulsion == "anhydrous":
        return _anhydrous(phases)
    if not phases.has_both:
        missing = "liquid oil" if phases.water_mL > 0 else "water phase"
        return WaterShare(
            False, True, f"A formula that says {phases.emulsion} holds no {missing}: no emulsion."
        )
    drops = 100 * phases.drop_fraction
    if phases.emulsion == "oil-in-water":
        return _oil_in_water(drops)
    if phases.drop_fraction >= DEFORM_FRACTION:
        return _crowded(phases, drops)
    water = phases.water_percent
    low, high = _TYPICAL
    by_volume = f"{water:.0f} % water phase by mass is {drops:.0f} % drops by volume"
    if water < _LITTLE:
        return WaterShare(
            False, False, f"{by_volume}: too little to build an emulsion; leave the water out or "
            f"use {low:.0f} to {high:.0f} %.",
        )  # fmt: skip
    if water < low:
        return WaterShare(
            True, False, f"{by_volume}: below the {low:.0f} to {high:.0f} % of mineral W/O; oil, "
            "pigment and gellant carry the viscosity, not the drops.",
        )  # fmt: skip
    if water <= high:
        return WaterShare(
            True, False, f"{by_volume}, within the {low:.0f} to {high:.0f} % by mass that mineral "
            "W/O usually have.",
        )  # fmt: skip
    return WaterShare(
        True, False, f"{by_volume}: above the {low:.0f} to {high:.0f} % by mass of mineral W/O, "
        "though 60 to 80 % is common in W/O without pigment; watch viscosity and cold.",
    )  # fmt: skip


def _crowded(phases: EmulsionPhases, drops: float) -> WaterShare:
    start = (
        f"{phases.water_percent:.0f} % water phase by mass is {drops:.0f} % drops by volume. "
        f"Above {100 * DEFORM_FRACTION:.0f} % drops are no longer round"
    )
    if phases.drop_fraction >= _MOST:
        return WaterShare(
            False, True, f"{start}; at this share even emulsifiers for a high internal phase fail, "
            "more so with pigment in the thin films, and the emulsion turns over or breaks. No "
            "number can be given: take out water.",
        )  # fmt: skip
    return WaterShare(
        False, False, f"{start}: a stiff high-internal-phase emulsion that only special "
        "emulsifiers hold; viscosity models for round drops say nothing.",
    )  # fmt: skip


def _oil_in_water(drops: float) -> WaterShare:
    if drops >= 100 * DEFORM_FRACTION:
        return WaterShare(
            False, drops >= 100 * _MOST, f"{drops:.0f} % oil drops by volume: above "
            f"{100 * DEFORM_FRACTION:.0f} % they are squeezed, and a pigmented O/W turns over.",
        )  # fmt: skip
    return WaterShare(
        True, False, f"Oil with its pigment fills {drops:.0f} % of the volume as drops in water.",
    )  # fmt: skip


def _anhydrous(phases: EmulsionPhases) -> WaterShare:
    if phases.liquid_mL <= 0:
        return WaterShare(False, True, "No liquid oil: nothing carries the powder.")
    if phases.water_mL <= 0:
        return WaterShare(
            True, False, "No water phase: pigment in oil, so only the settling of lumps and what "
            "holds them is judged.",
        )  # fmt: skip
    return WaterShare(
        False, False, f"Called anhydrous, yet {phases.water_percent:.2g} % are of the water "
        "phase: either an emulsion or a material in the wrong phase.",
    )  # fmt: skip
