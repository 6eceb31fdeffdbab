"""Equilibrium of ions, complexes and solids in water.

Equilibrium is the minimum of a convex function of the components' log activities: its gradient
is the mass balance, a solid bounds it by its solubility product, and the amount of a solid is the
multiplier of that bound. So there is one answer, and damped Newton steps find it from anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.physics._equilibrium import LN10, Problem, solve_problem
from zincite.physics.activity import DAVIES_LIMIT_MOL_L, davies_log10_gamma, ionic_strength_mol_l

__all__ = ["AqueousSystem", "Equilibrium", "equilibrium"]

Array = NDArray[np.float64]
_STRENGTH_ROUNDS = 200
_STRENGTH_TOLERANCE = 1e-12


@dataclass(frozen=True, slots=True)
class AqueousSystem:
    """Components, the species they form and the solids that may fall out.

    Attributes
    ----------
    component_charges : ndarray, shape (n_components,)
        Charge numbers. [-]
    stoichiometry : ndarray, shape (n_species, n_components)
        Components in each species; negative H+ counts OH-. Each component is itself a species.
    log10_beta : ndarray, shape (n_species,)
        Formation from the components at zero ionic strength. [-]
    solid_stoichiometry : ndarray, shape (n_solids, n_components)
        What one formula unit gives on dissolving; negative H+ is consumed.
    solid_log10_k : ndarray, shape (n_solids,)
        Constant of that dissolution. [-]
    proton : int or None
        Index of H+ among the components, which electroneutrality may fix.
    """

    component_charges: Array
    stoichiometry: Array
    log10_beta: Array
    solid_stoichiometry: Array
    solid_log10_k: Array
    proton: int | None = None

    def __post_init__(self) -> None:
        count = self.component_charges.size
        if self.stoichiometry.shape != (self.log10_beta.size, count):
            raise OutOfRangeError(
                f"stoichiometry has shape {self.stoichiometry.shape}, "
                f"expected ({self.log10_beta.size}, {count})"
            )
        if self.solid_stoichiometry.shape != (self.solid_log10_k.size, count):
            raise OutOfRangeError(
                f"stoichiometry of solids has shape {self.solid_stoichiometry.shape}, "
                f"expected ({self.solid_log10_k.size}, {count})"
            )

    @property
    def species_charges(self) -> Array:
        """Charge numbers of the species, shape (n_species,)."""
        return self.stoichiometry @ self.component_charges


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """Water at equilibrium; first axis the points of the sweep.

    Attributes
    ----------
    log10_activity : ndarray, shape (n, n_components)
        Of the free components; -inf for an absent one.
    concentration_mol_l : ndarray, shape (n, n_species)
    solid_mol_l : ndarray, shape (n, n_solids)
        Amount present; for a solid in excess the amount formed, negative what dissolved.
    saturation_index : ndarray, shape (n, n_solids)
        log10 of ion product over constant; 0 where the solid is present, -inf without its ions.
    total_mol_l : ndarray, shape (n, n_components)
        Dissolved and solid together; equals the totals given, and for a component of fixed
        activity what it took.
    charge_mol_l : ndarray, shape (n,)
        Net charge of the solution.
    ionic_strength_mol_l : ndarray, shape (n,)
        Of the solution found.
    residual : ndarray, shape (n,)
        Worst mass balance, relative to the sum of its terms.
    activity : str
        "ideal" or "Davies".
    activity_strength_mol_l : ndarray, shape (n,)
        Ionic strength that the activity coefficients were taken at.
    """

    log10_activity: Array
    concentration_mol_l: Array
    solid_mol_l: Array
    saturation_index: Array
    total_mol_l: Array
    charge_mol_l: Array
    ionic_strength_mol_l: Array
    residual: Array
    activity: str
    activity_strength_mol_l: Array


def equilibrium(
    system: AqueousSystem,
    total_mol_l: ArrayLike,
    *,
    log10_fixed: ArrayLike | None = None,
    excess: Sequence[int] = (),
    electroneutral: bool = False,
    ionic_strength: ArrayLike | str | None = None,
) -> Equilibrium:
    """Return the equilibrium of each point.

    Parameters
    ----------
    system : AqueousSystem
    total_mol_l : array_like, shape (n, n_components) or (n_components,)
        Dissolved and solid together, >= 0 except for H+, whose total counts OH- negative.
        [mol/L]
    log10_fixed : array_like, same shapes, optional
        log10 activity of components held fixed (-pH for H+); NaN where the total holds.
    excess : sequence of int
        Solids of which there is always enough; totals leave them out.
    electroneutral : bool
        Whether the total of H+ follows from electroneutrality instead of `total_mol_l`.
    ionic_strength : float, array_like of shape (n,), "auto" or None
        None counts activities as concentrations. A number sets the ionic strength of the Davies
        equation; "auto" takes the solution's own, at most `DAVIES_LIMIT_MOL_L`.

    Returns
    -------
    Equilibrium

    Raises
    ------
    OutOfRangeError
        If a total is negative or not finite, solids bind the same components twice (phase rule),
        or no equilibrium is found.

    Notes
    -----
    Electroneutrality makes sum(z T) = 0 over all totals, which gives that of H+; a solid is
    uncharged, so it does not enter. Constants of Davies: `zincite.physics.activity`.

    Examples
    --------
    Water alone, H2O = H+ + OH- with log K -14:

    >>> water = AqueousSystem(np.array([1.0]), np.array([[1.0], [-1.0]]), np.array([0.0, -14.0]),
    ...                       np.empty((0, 1)), np.empty(0), proton=0)
    >>> (-equilibrium(water, [0.0]).log10_activity).round(6).tolist()
    [[7.0]]
    """
    totals, fixed = _points(system, total_mol_l, log10_fixed)
    if electroneutral:
        totals = _neutral(system, totals)
    kept_in_excess = np.zeros(system.solid_log10_k.size, dtype=bool)
    kept_in_excess[list(excess)] = True
    problem = Problem(
        system.stoichiometry,
        np.broadcast_to(LN10 * system.log10_beta, (len(totals), system.log10_beta.size)),
        system.solid_stoichiometry,
        LN10 * system.solid_log10_k,
        totals,
        LN10 * fixed,
        kept_in_excess,
    )
    if ionic_strength is None:
        return _result(system, problem, "ideal", np.zeros(len(totals)))
    if isinstance(ionic_strength, str):
        return _self_consistent(system, problem)
    strength = np.broadcast_to(np.asarray(ionic_strength, dtype=float), (len(totals),))
    return _result(system, _corrected(system, problem, strength), "Davies", strength)


def _points(
    system: AqueousSystem, total: ArrayLike, fixed: ArrayLike | None
) -> tuple[Array, Array]:
    totals = np.atleast_2d(np.asarray(total, dtype=float))
    held = np.full(totals.shape, np.nan) if fixed is None else np.atleast_2d(np.asarray(fixed))
    totals, held = (np.array(a, dtype=float) for a in np.broadcast_arrays(totals, held))
    if totals.shape[1] != system.component_charges.size:
        raise OutOfRangeError(
            f"{totals.shape[1]} totals found, expected {system.component_charges.size}"
        )
    releases = np.any(system.stoichiometry < 0, axis=0)
    wrong = ~np.isfinite(totals) | ((totals < 0) & ~releases)
    if np.any(wrong):
        raise OutOfRangeError(
            f"a total is {totals[wrong][0]:g} mol/L, expected a finite number of 0 or more"
        )
    return totals, held


def _neutral(system: AqueousSystem, totals: Array) -> Array:
    if system.proton is None:
        raise OutOfRangeError("electroneutrality needs H+ among the components")
    found = totals.copy()
    found[:, system.proton] = 0.0
    found[:, system.proton] = -found @ system.component_charges
    return found


def _corrected(system: AqueousSystem, problem: Problem, strength: Array) -> Problem:
    gamma = davies_log10_gamma(system.species_charges[None, :], strength[:, None])
    return replace(problem, ln_beta=LN10 * (system.log10_beta[None, :] - gamma))


def _self_consistent(system: AqueousSystem, problem: Problem) -> Equilibrium:
    strength = np.zeros(len(problem.totals))
    start: Array | None = None
    for turn in range(_STRENGTH_ROUNDS):
        found = solve_problem(_corrected(system, problem, strength), start)
        start = found.ln_activity
        own = ionic_strength_mol_l(found.concentration, system.species_charges)
        new = np.minimum(own, DAVIES_LIMIT_MOL_L)
        if np.all(np.abs(new - strength) <= _STRENGTH_TOLERANCE * np.maximum(new, 1e-6)):
            return _result(system, _corrected(system, problem, new), "Davies", new, start)
        # halving the step keeps the round trip from swinging where complexes carry the charge
        strength = 0.5 * (strength + new) if turn else new
    raise OutOfRangeError("ionic strength does not settle, expected less salt or a given value")


def _result(
    system: AqueousSystem,
    problem: Problem,
    activity: str,
    strength: Array,
    start: Array | None = None,
) -> Equilibrium:
    found = solve_problem(problem, start)
    concentration, solid = found.concentration, found.solid
    charges = system.species_charges
    log_activity = found.ln_activity / LN10
    index = found.ln_activity @ system.solid_stoichiometry.T / LN10 - system.solid_log10_k
    index = np.where(found.present, 0.0, index)
    absent = found.absent
    missing = absent.astype(float) @ np.abs(system.solid_stoichiometry).T > 0
    return Equilibrium(
        np.where(absent, -np.inf, log_activity),
        concentration,
        solid,
        np.where(missing, -np.inf, index),
        concentration @ system.stoichiometry + solid @ system.solid_stoichiometry,
        concentration @ charges,
        ionic_strength_mol_l(concentration, charges),
        found.residual,
        activity,
        strength,
    )
