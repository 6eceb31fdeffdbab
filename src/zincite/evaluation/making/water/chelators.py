"""Chelators: what they can hold, how strongly at a pH, and which metal takes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from zincite.data.chemistry import components, dissolving, molar_mass_g_mol
from zincite.errors import OutOfRangeError
from zincite.evaluation.making.water.aqueous import Chemistry, chemistry_of
from zincite.physics.speciation import Equilibrium, equilibrium

__all__ = [
    "LIGANDS",
    "METALS",
    "ChelatorShare",
    "chelator_shares",
    "conditional_log10_k",
    "zinc_capacity_g_g",
]

LIGANDS = ("EDTA", "GLDA", "EDDS", "IDS", "MGDA", "NTA", "citrate", "gluconate", "tartrate")
"""Components counted as chelators."""
METALS = ("Zn", "Mg", "Ca", "Al")
_TRACE = 1e-12  # mol/L at which a metal does not change the ligand's own protonation


@dataclass(frozen=True, slots=True)
class ChelatorShare:
    """A chelator of the formula at equilibrium.

    Attributes
    ----------
    ligand : str
        Component.
    total_mmol_kg : float
        Per kg of water.
    share_by_metal : mapping of str to float
        Share of the ligand bound by each metal, and "free" with its protonated forms. [-]
    zinc_held_mg_kg : float
        Zinc in its complexes per kg of water.
    zinc_log10_k, zinc_log10_k_beside_magnesium : float
        Conditional constant of its 1:1 zinc complex at this pH, without and with the magnesium
        of the formula competing. [-]
    is_assumed : bool
        Whether a constant of one of its species is from memory.
    """

    ligand: str
    total_mmol_kg: float
    share_by_metal: Mapping[str, float]
    zinc_held_mg_kg: float
    zinc_log10_k: float
    zinc_log10_k_beside_magnesium: float
    is_assumed: bool

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "ligand": self.ligand,
            "total_mmol_kg": self.total_mmol_kg,
            "share_by_metal": dict(self.share_by_metal),
            "zinc_held_mg_kg": self.zinc_held_mg_kg,
            "zinc_log10_k": self.zinc_log10_k,
            "zinc_log10_k_beside_magnesium": self.zinc_log10_k_beside_magnesium,
            "assumed": self.is_assumed,
        }


def zinc_capacity_g_g(inci: str) -> float:
    """Return how much zinc one gram of a chelator binds 1:1 (trade relation R38).

    Parameters
    ----------
    inci : str
        INCI name as in data/chemistry/dissolving.csv.

    Raises
    ------
    OutOfRangeError
        If it holds no chelator.

    Examples
    --------
    >>> round(zinc_capacity_g_g("Disodium EDTA"), 3)
    0.176
    """
    row = dissolving().get(inci.lower())
    count = 0 if row is None else sum(row.gives.get(name, 0) for name in LIGANDS)
    if row is None or count <= 0:
        raise OutOfRangeError(f"{inci!r} is no chelator known here, expected such as Disodium EDTA")
    return count * molar_mass_g_mol("Zn") / row.molar_mass_g_mol


def conditional_log10_k(
    metal: str, ligand: str, ph: float, *, magnesium_mol_l: float = 0.0
) -> float:
    """Return the conditional constant of a 1:1 complex: the ligand's protons counted as rivals.

    Parameters
    ----------
    metal, ligand : str
        Components.
    ph : float
    magnesium_mol_l : float
        Free magnesium that competes. [mol/L]

    Returns
    -------
    float
        log10 of [ML] / ([M free] [L not bound to M]) at the constants' own ionic strength. [-]

    Raises
    ------
    OutOfRangeError
        If no constant of the pair is known.

    References
    ----------
    Trade relation R39.

    Examples
    --------
    >>> round(conditional_log10_k("Zn", "EDTA", 7.5), 1)
    14.5
    """
    names = {metal, ligand, "Mg"} if magnesium_mol_l > 0 else {metal, ligand}
    chemistry = chemistry_of(names)
    pair = [
        number
        for number, row in enumerate(chemistry.system.stoichiometry)
        if _is_pair(dict(zip(chemistry.components, row, strict=True)), metal, ligand)
    ]
    if not pair:
        raise OutOfRangeError(f"no constant of {metal} with {ligand} is known, expected another")
    held = chemistry.fixed_ph(ph)
    if magnesium_mol_l > 0 and metal != "Mg":
        held[:, chemistry.components.index("Mg")] = np.log10(magnesium_mol_l)
    found = equilibrium(
        chemistry.system,
        chemistry.totals({metal: _TRACE, ligand: _TRACE * 1e-9}),
        log10_fixed=held,
    )
    bound = found.concentration_mol_l[0, pair[0]]
    free = 10.0 ** found.log10_activity[0, chemistry.components.index(metal)]
    rest = found.concentration_mol_l[0] @ (
        chemistry.count(ligand) * ~chemistry.holding([metal, ligand])
    )
    return float(np.log10(bound / free / rest))


def _is_pair(parts: Mapping[str, float], metal: str, ligand: str) -> bool:
    return {name: count for name, count in parts.items() if count} == {metal: 1.0, ligand: 1.0}


def chelator_shares(
    chemistry: Chemistry, found: Equilibrium, ph: float
) -> tuple[ChelatorShare, ...]:
    """Return what became of each chelator of a solved water phase (first point)."""
    amounts = found.concentration_mol_l[0]
    magnesium = 0.0
    if "Mg" in chemistry.components:
        magnesium = float(amounts[chemistry.components.index("Mg")])
    shares = []
    for ligand in (name for name in LIGANDS if name in chemistry.components):
        count = chemistry.count(ligand)
        total = float(amounts @ count)
        if total <= 0:
            continue
        bound = {
            components()[metal].shown: float(
                amounts @ (count * chemistry.holding([ligand, metal])) / total
            )
            for metal in METALS
            if metal in chemistry.components
        }
        zinc = amounts @ (chemistry.count("Zn") * chemistry.holding([ligand, "Zn"]))
        shares.append(ChelatorShare(
            ligand, 1000 * total, {**bound, "free": max(1 - sum(bound.values()), 0.0)},
            1000 * molar_mass_g_mol("Zn") * float(zinc),
            conditional_log10_k("Zn", ligand, ph),
            conditional_log10_k("Zn", ligand, ph, magnesium_mol_l=magnesium),
            any(
                count[number] > 0 and name in chemistry.assumed
                for number, name in enumerate(chemistry.species)
            ),
        ))  # fmt: skip
    return tuple(shares)
