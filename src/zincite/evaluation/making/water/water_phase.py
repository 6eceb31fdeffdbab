"""What is dissolved in a formula's water phase, in mol per kg of water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from zincite.data.chemistry import dissolving, molar_mass_g_mol
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves

__all__ = ["Dissolved", "WaterPhase", "water_phase_of"]

_ALUMINA = ("alumina", "aluminum hydroxide")
_IONIC = {"electrolyte", "acid", "buffer", "chelator"}


@dataclass(frozen=True, slots=True)
class Dissolved:
    """A material of the water phase that gives ions.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    mol_per_kg_water : float
        Formula units.
    gives : mapping of str to int
        Components by count.
    """

    inci: str
    percent: float
    mol_per_kg_water: float
    gives: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class WaterPhase:
    """Water, what is dissolved in it, and the oxides that it may touch.

    Attributes
    ----------
    water_percent : float
        Of the formula, crystal water included. [%]
    dissolved : tuple of Dissolved
    zinc_oxide_percent : float
        Of the formula, coatings taken off. [%]
    zinc_oxide_coated : bool
        Whether every zinc oxide has a coating.
    has_alumina : bool
        Whether a coating or powder of alumina is in the formula.
    not_counted : tuple of str
        INCI names of ionic materials whose ions are not known here.
    solvents_percent : float
        Of the formula: liquids other than water that dilute the water phase. [%]
    """

    water_percent: float
    dissolved: tuple[Dissolved, ...]
    zinc_oxide_percent: float
    zinc_oxide_coated: bool
    has_alumina: bool
    not_counted: tuple[str, ...]
    solvents_percent: float

    @property
    def zinc_oxide_mol_per_kg_water(self) -> float:
        """Zinc oxide there is for each kg of water; 0 without water. [mol/kg]"""
        if self.water_percent <= 0:
            return 0.0
        return 1000 * self.zinc_oxide_percent / molar_mass_g_mol("ZnO") / self.water_percent

    def totals_mol_l(self) -> dict[str, float]:
        """Return dissolved totals by component, 1 kg of water taken as 1 L. [mol/L]"""
        found: dict[str, float] = {}
        for part in self.dissolved:
            for name, count in part.gives.items():
                found[name] = found.get(name, 0.0) + count * part.mol_per_kg_water
        return found


def water_phase_of(formula: Formula) -> WaterPhase:
    """Return a formula's water phase.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    WaterPhase
        Blends taken apart; a card's own molar mass goes before that of the table, so that
        another hydrate is counted right.
    """
    parts = [(card, percent) for card, percent in leaves(formula) if percent > 0]
    water = solvents = zinc = 0.0
    coated, alumina = True, False
    ionic: list[tuple[Material, float]] = []
    unknown: list[str] = []
    for card, percent in parts:
        name = card.inci.lower()
        if name in ("aqua", "water"):
            water += percent
        elif name in dissolving() and card.phase != "oil":
            ionic.append((card, percent))
            water += _crystal_water_percent(card, percent)
        elif card.phase != "oil" and _IONIC & set(card.functions):
            unknown.append(card.inci)
        elif card.phase == "water" and "humectant" in card.functions:
            solvents += percent
        oxide = _zinc_oxide_share(card)
        zinc += percent * oxide
        coated &= oxide == 0 or (card.grade is not None and bool(card.grade.coatings))
        alumina |= _holds_alumina(card)
    return WaterPhase(
        water,
        tuple(_dissolved(card, percent, water) for card, percent in ionic) if water else (),
        zinc,
        zinc > 0 and coated,
        alumina,
        tuple(dict.fromkeys(unknown)),
        solvents,
    )


def _molar_mass(card: Material) -> float:
    own = card.property_value("molar_mass_g_mol")
    return own or dissolving()[card.inci.lower()].molar_mass_g_mol


def _crystal_water_percent(card: Material, percent: float) -> float:
    """Return the water that a hydrate brings; a card of another molar mass is another hydrate."""
    row = dissolving()[card.inci.lower()]
    dry = row.molar_mass_g_mol - row.water * molar_mass_g_mol("H2O")
    own = _molar_mass(card)
    return max(percent * (own - dry) / own, 0.0) if row.water and own > dry else 0.0


def _dissolved(card: Material, percent: float, water_percent: float) -> Dissolved:
    amount = 1000 * percent / _molar_mass(card) / water_percent
    return Dissolved(card.inci, percent, amount, dissolving()[card.inci.lower()].gives)


def _zinc_oxide_share(card: Material) -> float:
    if card.grade is None:
        return 1.0 if card.inci.lower() in ("zinc oxide", "ci 77947") else 0.0
    return card.grade.core_mass_fraction if card.grade.core == "zinc-oxide" else 0.0


def _holds_alumina(card: Material) -> bool:
    names = [] if card.grade is None else [layer.inci.lower() for layer in card.grade.coatings]
    return card.inci.lower() in _ALUMINA or any(name in _ALUMINA for name in names)
