"""Phases of an emulsion by volume: what the drops are, what flows around them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.evaluation.making.stress.process_state import aggregates_as_made
from zincite.evaluation.viscosity import FlowVolumes, flow_volumes, structureless_mPas
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves
from zincite.physics.rheology import log_mixed_viscosity

__all__ = ["EmulsionPhases", "emulsion_phases"]


@dataclass(frozen=True, slots=True)
class EmulsionPhases:
    """Phases in 100 g of product; pigment belongs to the oil.

    Attributes
    ----------
    emulsion : str
        Type as the formula states it.
    water_percent : float
        Water phase by mass. [%]
    water_mL, pigment_mL, structurant_mL, liquid_mL : float
        Volumes of the water phase, the powders, waxes and gellants, and the liquid oil. [mL]
    water_density_g_ml, liquid_density_g_ml, oil_phase_density_g_ml : float or None
        Of the water phase, the liquid oil, and the oil phase with its pigment. [g/mL]
    liquid_mPas, oil_phase_mPas, water_mPas : float or None
        Viscosities of the liquid oil, the oil with its pigment, and the water phase, all without
        structure; None where there is none. [mPa s]
    """

    emulsion: str
    water_percent: float
    water_mL: float
    pigment_mL: float
    structurant_mL: float
    liquid_mL: float
    water_density_g_ml: float | None
    liquid_density_g_ml: float | None
    oil_phase_density_g_ml: float | None
    liquid_mPas: float | None
    oil_phase_mPas: float | None
    water_mPas: float | None

    @property
    def volume_mL(self) -> float:  # noqa: N802
        """Volume of 100 g. [mL]"""
        return self.water_mL + self.oil_phase_mL

    @property
    def oil_phase_mL(self) -> float:  # noqa: N802
        """Volume of the oil phase, pigment and structurants included. [mL]"""
        return self.pigment_mL + self.structurant_mL + self.liquid_mL

    @property
    def drop_fraction(self) -> float:
        """Volume share of the drops in the product, 0 where there is no emulsion. [-]"""
        if self.emulsion == "anhydrous":
            return 0.0
        drops = self.water_mL if self.emulsion == "water-in-oil" else self.oil_phase_mL
        return drops / self.volume_mL

    @property
    def has_both(self) -> bool:
        """Whether there are drops and something that flows around them."""
        continuous = self.liquid_mL if self.emulsion == "water-in-oil" else self.water_mL
        return 0 < self.drop_fraction < 1 and continuous > 0

    @property
    def continuous_mPas(self) -> float | None:  # noqa: N802
        """Viscosity of what surrounds the drops, without structure or thickener. [mPa s]"""
        return self.water_mPas if self.emulsion == "oil-in-water" else self.oil_phase_mPas

    @property
    def viscosity_ratio(self) -> float | None:
        """Viscosity of the drops over that around them, K. [-]"""
        inside = self.oil_phase_mPas if self.emulsion == "oil-in-water" else self.water_mPas
        around = self.continuous_mPas
        return None if inside is None or around is None else inside / around

    def drop_fraction_at(self, drop_percent: float) -> float:
        """Return the drops' volume share at another share by mass of the same two phases. [-]"""
        water, oil = self.water_density_g_ml, self.oil_phase_density_g_ml
        if water is None or oil is None:
            return math.nan
        drop, around = (oil, water) if self.emulsion == "oil-in-water" else (water, oil)
        volume = drop_percent / drop
        return volume / (volume + (100 - drop_percent) / around)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = {name: getattr(self, name) for name in self.__slots__}
        return {
            **shown,
            "drop_volume_fraction": self.drop_fraction,
            "viscosity_ratio": self.viscosity_ratio,
        }


def emulsion_phases(formula: Formula) -> EmulsionPhases:
    """Return the phases of a formula by volume.

    Parameters
    ----------
    formula : Formula

    Notes
    -----
    Materials are sorted as `evaluation.viscosity` does; what it leaves out of the liquid blend
    (waxes, gellants) keeps its volume here, in the oil phase.
    """
    volume = dict.fromkeys(("water", "pigment", "structurant", "liquid"), 0.0)
    mass = dict(volume)
    pigments: list[tuple[float, float]] = []
    water: list[tuple[float, float]] = []
    made = aggregates_as_made(formula)
    for material, percent in leaves(formula):
        taken = percent / density_g_ml_of(material, formula.materials).value
        part = flow_volumes([(material, percent)], formula.materials)
        kind = "water" if part.water else "pigment" if part.pigment else "structurant"
        kind = "liquid" if part.oil else kind
        volume[kind] += taken
        mass[kind] += percent
        if kind == "pigment":
            pigments.append((taken, made[material.id][0] if material.id in made else 0.0))
        own = material.property_value("viscosity_mPas")
        if kind == "water" and own is not None:
            water.append((own, taken))
    flow = flow_volumes(leaves(formula), formula.materials)
    oil_mass = mass["pigment"] + mass["structurant"] + mass["liquid"]
    return EmulsionPhases(
        formula.emulsion,
        mass["water"],
        volume["water"],
        volume["pigment"],
        volume["structurant"],
        volume["liquid"],
        _ratio(mass["water"], volume["water"]),
        _ratio(mass["liquid"], volume["liquid"]),
        _ratio(oil_mass, sum(volume.values()) - volume["water"]),
        log_mixed_viscosity(*zip(*flow.oil, strict=True)) if flow.oil else None,
        _oil_phase_mPas(flow, pigments),
        log_mixed_viscosity(*zip(*water, strict=True)) if water else None,
    )


def _ratio(mass: float, volume: float) -> float | None:
    return mass / volume if volume > 0 else None


def _oil_phase_mPas(  # noqa: N802
    flow: FlowVolumes, pigments: list[tuple[float, float]]
) -> float | None:
    """Return the viscosity of the oil with its pigment, without drops. [mPa s]"""
    if not flow.oil:
        return None
    whole = math.fsum(v for v, _ in pigments)
    share = math.fsum(v * s for v, s in pigments) / whole if whole > 0 else 0.0
    return float(structureless_mPas(FlowVolumes(0.0, flow.pigment, flow.oil), share))
