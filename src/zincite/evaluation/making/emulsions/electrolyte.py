"""Does what is dissolved in the drops hold them against ripening, and which oils ripen fastest."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.emulsions import emulsion_constant, oil_class, osmotic_coefficient
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.emulsions.spread import with_range
from zincite.evaluation.viscosity import flow_volumes, oil_viscosity_mPas
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.physics.colloids import (
    diffusion_m2_s,
    laplace_pressure_Pa,
    osmotic_pressure_Pa,
    ripening_rate_m3_s,
)

__all__ = ["Electrolyte", "Ripening", "Solute", "electrolyte", "ripening"]

_WATER_KG_M3 = 997.0  # 25 degC, from memory
_WATER_M3_MOL = 18.07e-6  # molar volume at 25 degC, from memory
_DAY_S = 86400.0


@dataclass(frozen=True, slots=True)
class Solute:
    """One dissolved material.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    is_salt : bool
        Whether it gives ions.
    molality_mol_kg : float
        Formula units per mass of water. [mol/kg]
    ideal_kPa, osmotic_kPa : float
        Osmotic pressure of the ideal solution, and with the osmotic coefficient. [kPa]
    """

    inci: str
    percent: float
    is_salt: bool
    molality_mol_kg: float
    ideal_kPa: float
    osmotic_kPa: float


@dataclass(frozen=True, slots=True)
class Electrolyte:
    """Osmotic against Laplace pressure.

    Attributes
    ----------
    solutes : tuple of Solute
        Salts first.
    unknown : tuple of str
        Materials of the water phase without molar mass or number of ions on their card.
    laplace_kPa : Estimate
        In a drop of the mean size. [kPa]
    """

    solutes: tuple[Solute, ...]
    unknown: tuple[str, ...]
    laplace_kPa: Estimate

    @property
    def salt_percent(self) -> float:
        """Salts, of the formula. [%]"""
        return math.fsum(s.percent for s in self.solutes if s.is_salt)

    @property
    def salt_kPa(self) -> float:  # noqa: N802
        """Osmotic pressure of the salts. [kPa]"""
        return math.fsum(s.osmotic_kPa for s in self.solutes if s.is_salt)

    @property
    def other_kPa(self) -> float:  # noqa: N802
        """Osmotic pressure of glycerin, glycols and the like. [kPa]"""
        return math.fsum(s.osmotic_kPa for s in self.solutes if not s.is_salt)

    @property
    def holds(self) -> bool:
        """Whether the salts alone hold against the upper end of the Laplace pressure."""
        return self.salt_kPa > self.laplace_kPa.high

    @property
    def balancing_percent(self) -> float | None:
        """Salt, of the kinds there are, that would equal the Laplace pressure. [%]"""
        if self.salt_kPa <= 0:
            return None
        return self.salt_percent * self.laplace_kPa.median / self.salt_kPa

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        names = ("inci", "percent", "is_salt", "molality_mol_kg", "ideal_kPa", "osmotic_kPa")
        return {
            "solutes": [{name: getattr(s, name) for name in names} for s in self.solutes],
            "without_data": list(self.unknown),
            "laplace_kPa": self.laplace_kPa.to_dict(),
            "salt_kPa": self.salt_kPa,
            "other_kPa": self.other_kPa,
            "salt_holds_drops": self.holds,
            "balancing_salt_percent": self.balancing_percent,
        }


@dataclass(frozen=True, slots=True)
class Ripening:
    """How fast drops would ripen in one oil without salt.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    tension_mN_m : float or None
        Oil against water, without emulsifier. [mN/m]
    polarity : str
        "non-polar", "medium", "polar", or "" where the card has no tension.
    days_to_double : Estimate or None
        Until the mean drop's volume has doubled; None where the polarity is not known. [d]
    """

    inci: str
    percent: float
    tension_mN_m: float | None
    polarity: str
    days_to_double: Estimate | None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        days = self.days_to_double
        return {
            "inci": self.inci,
            "percent": self.percent,
            "tension_mN_m": self.tension_mN_m,
            "polarity": self.polarity or None,
            "days_to_double": None if days is None else days.to_dict(),
        }


def electrolyte(formula: Formula, d32_um: Estimate) -> Electrolyte:
    """Return osmotic and Laplace pressure of the water drops.

    Parameters
    ----------
    formula : Formula
    d32_um : Estimate
        Of the drops. [um]

    Notes
    -----
    Trade relation R18. The solvent is the card with INCI "Aqua"; crystal water is not added to it.
    """
    parts = [(m, share) for m, share in leaves(formula) if m.phase == "water"]
    water = math.fsum(share for m, share in parts if _is_water(m))
    solutes, unknown = [], []
    for material, percent in parts:
        if _is_water(material) or percent <= 0:
            continue
        molar = material.property_value("molar_mass_g_mol")
        ions = material.property_value("ions_per_formula_unit")
        if molar is None or ions is None or water <= 0:
            unknown.append(material.inci)
            continue
        solutes.append(_solute(material, percent, 1e3 * percent / molar / water, ions))
    tension = emulsion_constant("interfacial_tension")
    pressure = float(laplace_pressure_Pa(tension.value * 1e-3, d32_um.median / 2 * 1e-6)) / 1e3
    return Electrolyte(
        tuple(sorted(solutes, key=lambda s: not s.is_salt)),
        tuple(unknown),
        with_range(pressure, "kPa", (tension, 1.0), (d32_um, -1.0)),
    )


def _is_water(material: Material) -> bool:
    return material.inci.strip().lower() in ("aqua", "water")


def _solute(material: Material, percent: float, molality: float, ions: float) -> Solute:
    salt = ions > 1
    ideal = float(osmotic_pressure_Pa(molality * _WATER_KG_M3 * ions)) / 1e3
    coefficient = osmotic_coefficient(material.id, salt=salt).value
    return Solute(material.inci, percent, salt, molality, ideal, ideal * coefficient)


def ripening(formula: Formula, d32_um: Estimate) -> tuple[Ripening, ...]:
    """Return the oils by how fast water drops would ripen in each, the fastest first.

    Parameters
    ----------
    formula : Formula
    d32_um : Estimate
        Of the drops. [um]

    Notes
    -----
    Trade relation R19 in each oil alone, with the water that its class of polarity dissolves and
    the diffusion of a molecule-sized sphere: orders of magnitude, to rank oils by.
    """
    oils = [
        (m, share)
        for m, share in leaves(formula)
        if {"emollient", "plant oil"} & set(m.functions)
        and flow_volumes([(m, share)], formula.materials).oil
    ]
    found = [_ripening(m, share, d32_um) for m, share in oils if share > 0]
    return tuple(
        sorted(found, key=lambda r: math.inf if r.days_to_double is None
               else r.days_to_double.median)
    )  # fmt: skip


def _ripening(material: Material, percent: float, d32_um: Estimate) -> Ripening:
    tension = material.property_value("interfacial_tension_mN_m")
    if tension is None:
        return Ripening(material.inci, percent, None, "", None)
    polarity, water = oil_class(tension)
    covered = emulsion_constant("interfacial_tension")
    molecule = emulsion_constant("water_molecule")
    viscosity = oil_viscosity_mPas(material).value * 1e-3
    rate = float(
        ripening_rate_m3_s(
            covered.value * 1e-3,
            water.value,
            diffusion_m2_s(molecule.value * 1e-9, viscosity),
            _WATER_M3_MOL,
        )
    )
    days = (d32_um.median / 2 * 1e-6) ** 3 / rate / _DAY_S
    spread = with_range(days, "d", (covered, -1.0), (water, -1.0), (molecule, 1.0), (d32_um, 3.0))
    return Ripening(material.inci, percent, tension, polarity, spread)
