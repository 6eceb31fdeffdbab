"""The table's constants as a system that the equilibrium solver takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.data.chemistry import complexes, components, minerals
from zincite.physics.activity import davies_log10_gamma
from zincite.physics.speciation import AqueousSystem

__all__ = ["Chemistry", "chemistry_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Chemistry:
    """A system with its names.

    Attributes
    ----------
    components, species, solids : tuple of str
        In the order of the system's arrays.
    system : AqueousSystem
    assumed : tuple of str
        Species whose constant is from memory.
    """

    components: tuple[str, ...]
    species: tuple[str, ...]
    solids: tuple[str, ...]
    system: AqueousSystem
    assumed: tuple[str, ...]

    def totals(self, mol_l: dict[str, float]) -> Array:
        """Return totals in the order of the components; left out is 0. [mol/L]"""
        return np.array([mol_l.get(name, 0.0) for name in self.components])

    def fixed_ph(self, ph: Array | float) -> Array:
        """Return what holds H+ at pH values, shape (n, n_components), NaN elsewhere."""
        values = np.atleast_1d(np.asarray(ph, dtype=float))
        held = np.full((values.size, len(self.components)), np.nan)
        held[:, self.components.index("H")] = -values
        return held

    def count(self, component: str) -> Array:
        """Return how often a component is in each species, 0 where it is none."""
        if component not in self.components:
            return np.zeros(len(self.species))
        return self.system.stoichiometry[:, self.components.index(component)]

    def holding(self, wanted: Sequence[str], without: Iterable[str] = ()) -> NDArray[np.bool_]:
        """Return which species hold all the wanted components and none of the others."""
        found = np.all([self.count(name) > 0 for name in wanted], axis=0)
        for name in without:
            found &= self.count(name) <= 0
        mask: NDArray[np.bool_] = found
        return mask


def chemistry_of(
    names: Iterable[str], solids: Iterable[str] = (), *, to_zero_strength: bool = False
) -> Chemistry:
    """Return the system of components, every complex that they form among it.

    Parameters
    ----------
    names : iterable of str
        Components; H is always among them.
    solids : iterable of str
        Names of minerals that may be present.
    to_zero_strength : bool
        Whether constants of another ionic strength are brought to 0 by Davies, as a calculation
        with activity coefficients needs; else they are taken as printed.
    """
    wanted = {"H", *names}
    kept = tuple(name for name in components() if name in wanted)
    charges = np.array([float(components()[name].charge) for name in kept])
    found = [c for c in complexes() if set(c.parts) <= wanted]
    rows = [*np.eye(len(kept)), *(_row(c.parts, kept) for c in found)]
    beta = [0.0] * len(kept)
    for one, row in zip(found, rows[len(kept) :], strict=True):
        gamma = davies_log10_gamma(charges, one.ionic_strength_mol_l)
        own = davies_log10_gamma(row @ charges, one.ionic_strength_mol_l)
        shift = float(own - row @ gamma) if to_zero_strength else 0.0
        beta.append(one.log10_beta + shift)
    chosen = [minerals()[name] for name in solids if set(minerals()[name].parts) <= wanted]
    system = AqueousSystem(
        charges,
        np.array(rows),
        np.array(beta),
        np.array([_row(m.parts, kept) for m in chosen]).reshape(len(chosen), len(kept)),
        np.array([m.log10_k for m in chosen]),
        proton=kept.index("H"),
    )
    return Chemistry(
        kept,
        (*(components()[name].free_form for name in kept), *(c.name for c in found)),
        tuple(m.name for m in chosen),
        system,
        tuple(c.name for c in found if c.is_assumed),
    )


def _row(parts: Mapping[str, int], kept: tuple[str, ...]) -> Array:

    return np.array([float(parts.get(name, 0)) for name in kept])
