"""Results of the dispersion bench."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.dispersion.powders import Powder
from zincite.evaluation.making.dispersion.slurry import Slurry

__all__ = ["DispersionBench", "FilmFilling", "Held", "MillBaseState", "PowderSurface"]


@dataclass(frozen=True, slots=True)
class PowderSurface:
    """A powder's surface and what covers it.

    Attributes
    ----------
    powder : Powder
    milled : bool
        Whether it goes through the disperser.
    bet_to_geometric : float or None
        Measured over geometric surface; below 1 the particles have grown together. [-]
    demand_percent_of_powder : Estimate or None
        Dispersant for a full layer, None where the surface is not known. [%]
    """

    powder: Powder
    milled: bool
    bet_to_geometric: float | None
    demand_percent_of_powder: Estimate | None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        p, demand = self.powder, self.demand_percent_of_powder
        oil = p.oil_absorption_g_100g
        return {
            "material": p.material.id,
            "percent": p.percent,
            "milled": self.milled,
            "density_g_ml": p.density_g_ml,
            "sauter_diameter_nm": None if p.sizes is None else p.sizes.sauter_diameter_nm,
            "geometric_surface_m2_g": p.geometric_m2_g,
            "bet_surface_m2_g": p.measured_m2_g,
            "bet_to_geometric": self.bet_to_geometric,
            "demand_percent_of_powder": None if demand is None else demand.to_dict(),
            "organic_coating": p.has_organic_coating,
            "oil_absorption_g_100g": {
                "value": oil.value,
                "low": oil.low,
                "high": oil.high,
                "evidence": str(oil.evidence),
            },
        }


@dataclass(frozen=True, slots=True)
class Held:
    """A dispersant of the formula.

    Attributes
    ----------
    material : str
    percent : float
        Of the formula. [%]
    milled : bool
        Whether it is there when the powder is dispersed.
    emulsifier : bool
        Whether the card names it as an emulsifier too.
    """

    material: str
    percent: float
    milled: bool
    emulsifier: bool


@dataclass(frozen=True, slots=True)
class MillBaseState:
    """The mill base as the formula has it.

    Attributes
    ----------
    where : str
    solids_percent, solids_volume_percent : float
        Powder by mass and by volume. [%]
    cpvc_percent : Estimate
        Critical pigment volume concentration. [%]
    to_cpvc : Estimate
        Powder's volume share over the critical one. [-]
    oil_mPas : float
        [mPa s]
    dispersed, flocculated : Estimate
        Relative viscosity in the two states; inf where it does not flow. [-]
    in_device_mPas : Estimate
        What the device meets. [mPa s]
    slurry : Slurry
        What these were worked out with.
    """

    where: str
    solids_percent: float
    solids_volume_percent: float
    cpvc_percent: Estimate
    to_cpvc: Estimate
    oil_mPas: float
    dispersed: Estimate
    flocculated: Estimate
    in_device_mPas: Estimate
    slurry: Slurry

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "where": self.where,
            "solids_percent": self.solids_percent,
            "solids_volume_percent": self.solids_volume_percent,
            "cpvc_percent": self.cpvc_percent.to_dict(),
            "pvc_to_cpvc": self.to_cpvc.to_dict(),
            "oil_viscosity_mPas": self.oil_mPas,
            "relative_viscosity_dispersed": self.dispersed.to_dict(),
            "relative_viscosity_flocculated": self.flocculated.to_dict(),
            "viscosity_in_device_mPas": self.in_device_mPas.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class FilmFilling:
    """How full of powder the dried film is.

    Attributes
    ----------
    product_volume_percent : float
        Powder by volume of the product. [%]
    pvc_percent : float
        Powder by volume of the dried film. [%]
    cpvc_percent : Estimate
        [%]
    to_cpvc : Estimate
        [-]
    """

    product_volume_percent: float
    pvc_percent: float
    cpvc_percent: Estimate
    to_cpvc: Estimate

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "product_volume_percent": self.product_volume_percent,
            "pvc_percent": self.pvc_percent,
            "cpvc_percent": self.cpvc_percent.to_dict(),
            "pvc_to_cpvc": self.to_cpvc.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class DispersionBench:
    """What the bench has to know before the powder is weighed.

    Attributes
    ----------
    powders : tuple of PowderSurface
    adsorbed : Estimate
        Dispersant on the surface. [mg/m2]
    demand_percent_of_formula, demand_percent_of_pigment : Estimate
        For a full layer on what is milled. [%]
    held : tuple of Held
    coverage : str
        "none", "short", "within" or "surplus": what is milled in against the demand.
    mill : MillBaseState or None
        None where the pigment's phase holds no liquid.
    film : FilmFilling
    basis : Basis
    """

    powders: tuple[PowderSurface, ...]
    adsorbed: Estimate
    demand_percent_of_formula: Estimate
    demand_percent_of_pigment: Estimate
    held: tuple[Held, ...]
    coverage: str
    mill: MillBaseState | None
    film: FilmFilling
    basis: Basis

    @property
    def milled_dispersant_percent(self) -> float:
        """Dispersant that is there when the powder is dispersed, of the formula. [%]"""
        return math.fsum(item.percent for item in self.held if item.milled)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "powders": [item.to_dict() for item in self.powders],
            "adsorbed_mg_m2": self.adsorbed.to_dict(),
            "demand_percent_of_formula": self.demand_percent_of_formula.to_dict(),
            "demand_percent_of_pigment": self.demand_percent_of_pigment.to_dict(),
            "dispersants": [
                {
                    "material": item.material,
                    "percent": item.percent,
                    "milled": item.milled,
                    "also_emulsifier": item.emulsifier,
                }
                for item in self.held
            ],
            "milled_dispersant_percent": self.milled_dispersant_percent,
            "coverage": self.coverage,
            "mill_base": None if self.mill is None else self.mill.to_dict(),
            "dried_film": self.film.to_dict(),
        }
