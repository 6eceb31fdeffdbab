"""Water over zinc oxide and alumina, with whatever a formula dissolves in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from zincite.data.chemistry import components, molar_mass_g_mol
from zincite.evaluation.making.water.aqueous import Chemistry, chemistry_of
from zincite.evaluation.making.water.chelators import LIGANDS
from zincite.physics.speciation import Equilibrium, equilibrium

__all__ = ["AMORPHOUS", "GIBBSITE", "ZINCITE", "Water", "WaterState", "solve_water"]

Array = NDArray[np.float64]

ZINCITE = "ZnO (zincite)"
GIBBSITE = "Al(OH)3 (gibbsite)"
AMORPHOUS = "Al(OH)3 (amorphous)"
_MAY_FALL_OUT = ("ZnCO3", "Zn3(PO4)2.4H2O (hopeite)", "Mg(OH)2")


@dataclass(frozen=True, slots=True)
class Water:
    """What is in the water and what stands in it.

    Attributes
    ----------
    dissolved_mol_l : mapping of str to float
        Totals by component; H counts what acids bring, negative for alkali. [mol/L]
    zinc_oxide_mol_l : float
        Exposed oxide for each litre, inf for any amount, 0 for none. [mol/L]
    alumina : str
        Name of the solid that an alumina layer counts as, "" for none; there is always enough.
    strength_mol_l : float, "auto" or None
        As `ionic_strength` of `zincite.physics.speciation.equilibrium`.
    """

    dissolved_mol_l: Mapping[str, float]
    zinc_oxide_mol_l: float = np.inf
    alumina: str = ""
    strength_mol_l: float | str | None = None


@dataclass(frozen=True, slots=True)
class WaterState:
    """Solved water; arrays over the points of a sweep.

    Attributes
    ----------
    chemistry, equilibrium : Chemistry, Equilibrium
    ph : ndarray, shape (n,)
    oxide_used_up : bool
        Whether all zinc oxide dissolves at some point.
    """

    chemistry: Chemistry
    equilibrium: Equilibrium
    ph: Array
    oxide_used_up: bool

    def dissolved_mg_l(self, metal: str) -> Array:
        """Return a metal in all its dissolved species, shape (n,). [mg/L]"""
        amount = self.equilibrium.concentration_mol_l @ self.chemistry.count(metal)
        found: Array = 1000 * molar_mass_g_mol(metal) * amount
        return found

    def labile_mg_l(self, metal: str) -> Array:
        """Return a metal outside its chelates, shape (n,). [mg/L]"""
        if metal not in self.chemistry.components:
            return np.zeros(self.ph.size)
        chosen = self.chemistry.count(metal) * self.chemistry.holding([metal], _ligands(self))
        found: Array = (
            1000 * molar_mass_g_mol(metal) * (self.equilibrium.concentration_mol_l @ chosen)
        )
        return found

    def shares(self, metal: str) -> dict[str, Array]:
        """Return the share of each dissolved species that holds a metal, by name, shape (n,)."""
        count = self.chemistry.count(metal)
        amounts = self.equilibrium.concentration_mol_l * count
        total = amounts.sum(axis=1, keepdims=True)
        part = np.divide(amounts, total, out=np.zeros_like(amounts), where=total > 0)
        return {
            name: part[:, number]
            for number, name in enumerate(self.chemistry.species)
            if count[number] > 0
        }

    def solids_mol_l(self) -> dict[str, float]:
        """Return the solids that fell out at the first point. [mol/L]"""
        amounts = zip(self.chemistry.solids, self.equilibrium.solid_mol_l[0], strict=True)
        return {name: float(a) for name, a in amounts if a > 0 and name in _MAY_FALL_OUT}


def _ligands(state: WaterState) -> tuple[str, ...]:
    return tuple(name for name in LIGANDS if name in state.chemistry.components)


def solve_water(water: Water, ph: Array | float | None = None) -> WaterState:
    """Return water at equilibrium.

    Parameters
    ----------
    water : Water
    ph : array_like, shape (n,), optional
        pH held; left out, electroneutrality gives it (one point).

    Returns
    -------
    WaterState

    Raises
    ------
    OutOfRangeError
        As `zincite.physics.speciation.equilibrium`.
    """
    oxide = water.zinc_oxide_mol_l > 0
    names = {name for name, amount in water.dissolved_mol_l.items() if amount and name != "H"}
    names |= ({"Zn"} if oxide else set()) | ({"Al"} if water.alumina else set())
    solids = (*((ZINCITE,) if "Zn" in names else ()),
              *((water.alumina,) if water.alumina else ()), *_MAY_FALL_OUT)  # fmt: skip
    chemistry = chemistry_of(names, solids, to_zero_strength=water.strength_mol_l is not None)
    found = _solved(chemistry, water, ph, with_excess=oxide)
    used_up = False
    if oxide:
        taken = -found.solid_mol_l[:, chemistry.solids.index(ZINCITE)]
        used_up = bool(np.any(taken > water.zinc_oxide_mol_l))
    if used_up:
        amounts = dict(water.dissolved_mol_l)
        amounts["Zn"] = amounts.get("Zn", 0.0) + water.zinc_oxide_mol_l
        amounts["H"] = amounts.get("H", 0.0) - 2 * water.zinc_oxide_mol_l
        finite = replace(water, dissolved_mol_l=amounts)
        found = _solved(chemistry, finite, ph, with_excess=False)
    at = -found.log10_activity[:, chemistry.components.index("H")]
    return WaterState(chemistry, found, at, used_up)


def _solved(
    chemistry: Chemistry, water: Water, ph: Array | float | None, *, with_excess: bool
) -> Equilibrium:
    kept = [ZINCITE] if with_excess else []
    kept += [water.alumina] if water.alumina else []
    amounts = {name: a for name, a in water.dissolved_mol_l.items() if name in components()}
    return equilibrium(
        chemistry.system,
        chemistry.totals(amounts),
        log10_fixed=None if ph is None else chemistry.fixed_ph(ph),
        excess=[chemistry.solids.index(name) for name in kept],
        electroneutral=ph is None,
        ionic_strength=water.strength_mol_l,
    )
