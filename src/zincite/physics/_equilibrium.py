"""The convex problem behind `zincite.physics.speciation`: damped Newton steps and active solids."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import OutOfRangeError

__all__ = ["LN10", "Problem", "Solution", "solve_problem"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LN10 = math.log(10.0)
_ABSENT = -1.0e4  # natural log of an activity that underflows to none
_TOLERANCE = 5e-13
_SATURATED = 1e-10  # of a present solid, in natural log
_SMALL_CHANGE = 1e-3  # below which a Newton step is taken whole
_TINY = 1e-300
_SUPERSATURATED = 1e-9  # in natural log; rounding of a solid that is just saturated stays below
_STEPS, _CHANGES = 500, 60
_LOWEST_START = 1e-12


@dataclass(frozen=True, slots=True)
class Problem:
    """Arrays of n points; natural logarithms. NaN in `ln_fixed` means that the total holds."""

    stoichiometry: Array
    ln_beta: Array
    solids: Array
    ln_k: Array
    totals: Array
    ln_fixed: Array
    excess: Mask

    @property
    def fixed(self) -> Mask:
        """Components of fixed activity, shape (n, n_components)."""
        found: Mask = np.isfinite(self.ln_fixed)
        return found

    @property
    def absent(self) -> Mask:
        """Components of which there is none, shape (n, n_components)."""
        releases = np.any(self.stoichiometry < 0, axis=0)
        supplied = np.any(self.solids[self.excess] > 0, axis=0)
        found: Mask = (self.totals == 0) & ~self.fixed & ~releases & ~supplied
        return found


@dataclass(frozen=True, slots=True)
class Solution:
    """What was found; `present` marks solids that are there."""

    ln_activity: Array
    concentration: Array
    solid: Array
    present: Mask
    absent: Mask
    residual: Array


def solve_problem(problem: Problem, start: Array | None = None) -> Solution:
    """Return the equilibrium: Newton for a set of solids, then one solid in or out, and again."""
    frozen = problem.fixed | problem.absent
    held = np.where(problem.absent, _ABSENT, np.where(problem.fixed, problem.ln_fixed, 0.0))
    guess = np.log(np.clip(np.abs(problem.totals), _LOWEST_START, None)) - LN10
    guess = np.where(np.any(problem.stoichiometry < 0, axis=0), -7 * LN10, guess)
    ln_activity = np.where(frozen, held, guess if start is None else start)
    present = np.broadcast_to(problem.excess, (len(guess), problem.ln_k.size)).copy()
    for _ in range(_CHANGES):
        _check_phase_rule(problem, present, frozen)
        ln_activity, solid, residual = _newton(problem, ln_activity, present, frozen)
        changed = _change_solids(problem, ln_activity, solid, present)
        if not changed:
            concentration = _concentration(ln_activity, problem.stoichiometry, problem.ln_beta)
            return Solution(ln_activity, concentration, solid, present, problem.absent, residual)
    raise OutOfRangeError("the solids at equilibrium do not settle, expected a simpler mixture")


def _concentration(ln_activity: Array, stoichiometry: Array, ln_beta: Array) -> Array:
    exponent = ln_activity @ stoichiometry.T + ln_beta
    found: Array = np.exp(np.clip(exponent, -745.0, 600.0))
    found[exponent < -745.0] = 0.0
    return found


def _check_phase_rule(problem: Problem, present: Mask, frozen: Mask) -> None:
    for row in np.unique(np.hstack([present, frozen]), axis=0):
        solids = row[: problem.ln_k.size]
        free = ~row[problem.ln_k.size :]
        bound = problem.solids[solids][:, free]
        if len(bound) and np.linalg.matrix_rank(bound) < len(bound):
            raise OutOfRangeError(
                "more solids than the free components can hold at equilibrium (phase rule), "
                "expected a component less at fixed activity or a solid less"
            )


def _change_solids(problem: Problem, ln_activity: Array, solid: Array, present: Mask) -> bool:
    """Drop the most exhausted solid of each point, else add the most supersaturated one."""
    if not problem.ln_k.size:
        return False
    points = np.arange(len(solid))
    spent = np.where(present & ~problem.excess, solid, 0.0)
    worst = np.argmin(spent, axis=1)
    drop = spent[points, worst] < 0
    index = np.where(present, -np.inf, ln_activity @ problem.solids.T - problem.ln_k)
    most = np.argmax(index, axis=1)
    add = (index[points, most] > _SUPERSATURATED) & ~drop
    present[points[drop], worst[drop]] = False
    present[points[add], most[add]] = True
    return bool(np.any(drop | add))


def _newton(
    problem: Problem, ln_activity: Array, present: Mask, frozen: Mask
) -> tuple[Array, Array, Array]:
    """Return log activities, amounts of solids and relative residuals.

    A step is shortened to ln(1 + d)/d of the Newton step, d the largest change of a species'
    log: for sums of exponentials that never raises the convex function (Sun and Tran-Dinh 2019,
    Math. Program. 178, 145, generalised self-concordance of order 2; from memory).
    """
    x = np.array(ln_activity)
    solid, residual = np.zeros(present.shape), np.zeros(len(x))
    rows = np.where(present[:, :, None], problem.solids, 0.0) * ~frozen[:, None, :]
    target = np.where(present, problem.ln_k - (ln_activity * frozen) @ problem.solids.T, 0.0)
    x = _on_solubility(x, rows, target, present, np.ones(x.shape))
    left = np.arange(len(x))
    before = np.zeros(len(x), dtype=bool)
    for _ in range(_STEPS):
        at = _Points(problem, left, rows[left], target[left], present[left], frozen[left])
        moved, more, residual[left], settled = _step(at, x[left], solid[left])
        on = ~(settled & before[left])  # one step more brings traces beside a solid to rest too
        before[left] = settled
        x[left[on]] = moved[on]
        solid[left[on]] += more[on]
        left = left[on]
        if not left.size:
            return x, solid, residual
    raise OutOfRangeError(
        f"no equilibrium found (mass balance off by {float(residual[left].max()):.1g}), "
        "expected totals of at most some mol/L"
    )


@dataclass(frozen=True, slots=True)
class _Points:
    """The points still on their way: their indices and rows of the arrays."""

    problem: Problem
    index: NDArray[np.intp]
    rows: Array
    target: Array
    present: Mask
    frozen: Mask


def _step(at: _Points, x: Array, solid: Array) -> tuple[Array, Array, Array, Mask]:
    """Return the next log activities, change of the solids, residuals, and which have settled.

    Solids are carried along, not solved anew: a large amount of oxide would leave its rounding
    in each step and hide the traces that are dissolved.
    """
    a, solids = at.problem.stoichiometry, at.problem.solids
    totals = at.problem.totals[at.index]
    c = _concentration(x, a, at.problem.ln_beta[at.index])
    hessian = np.einsum("ps,si,sj->pij", c, a, a)
    gradient = np.where(at.frozen, 0.0, totals - c @ a - solid @ solids)
    missing = at.target - np.einsum("psi,pi->ps", at.rows, x)
    step, more = _kkt(hessian, at.rows, gradient, missing, at.present, at.frozen)
    size = c @ np.abs(a) + np.abs(totals) + np.abs(solid) @ np.abs(solids)
    residual = np.max(np.abs(gradient) / np.maximum(size, _TINY), axis=1, initial=0.0)
    unsaturated = np.max(np.abs(missing), axis=1, initial=0.0)
    settled = (residual <= _TOLERANCE) & (unsaturated < _SATURATED)
    change = np.max(np.abs(step @ a.T) * (c > 0), axis=1, initial=0.0)
    change = np.maximum(change, np.max(np.abs(step), axis=1, initial=0.0))
    shorter = np.where(change > _SMALL_CHANGE, np.log1p(change) / np.maximum(change, _TINY), 1.0)
    moved = x + shorter[:, None] * step
    # what rounding leaves of the bounds goes to the ions that count least in the mass balances
    diagonal = np.einsum("pii->pi", hessian)
    floor = 1e-20 * np.max(diagonal, axis=1, keepdims=True)
    weight = np.maximum(diagonal, floor + _TINY) ** -1.0
    moved = _on_solubility(moved, at.rows, at.target, at.present, weight)
    return moved, more, residual, settled


def _on_solubility(x: Array, rows: Array, target: Array, present: Mask, weight: Array) -> Array:
    """Return log activities moved the least, by weight, so that present solids are saturated."""
    if not present.any():
        return x
    weighted = rows * weight[:, None, :]
    square = weighted @ rows.transpose(0, 2, 1)
    size = np.sqrt(np.maximum(np.einsum("pss->ps", square), _TINY))
    size = np.where(present, size, 1.0)
    square = square / size[:, :, None] / size[:, None, :]
    square += np.eye(present.shape[1]) * ~present[:, None, :]
    missing = (target - np.einsum("psi,pi->ps", rows, x)) / size
    multiplier = np.linalg.solve(square, missing[..., None])[..., 0] / size
    moved: Array = x + np.einsum("psi,ps->pi", weighted, multiplier)
    return moved


def _kkt(
    hessian: Array, rows: Array, gradient: Array, missing: Array, present: Mask, frozen: Mask
) -> tuple[Array, Array]:
    """Solve the Newton equations with the solids as equality constraints, both scaled."""
    n, components = gradient.shape
    solids = missing.shape[1]
    scale = np.sqrt(np.maximum(np.einsum("pii->pi", hessian), _TINY))
    scale = np.where(frozen, 1.0, scale)
    free = ~frozen
    inner = hessian / scale[:, :, None] / scale[:, None, :] * free[:, :, None] * free[:, None, :]
    inner += np.eye(components) * frozen[:, None, :]
    bound = rows / scale[:, None, :]
    length = np.maximum(np.linalg.norm(bound, axis=2), _TINY)
    length = np.where(present, length, 1.0)
    bound = bound / length[:, :, None]
    matrix = np.zeros((n, components + solids, components + solids))
    matrix[:, :components, :components] = inner
    matrix[:, components:, :components] = bound
    matrix[:, :components, components:] = bound.transpose(0, 2, 1)
    matrix[:, components:, components:] = np.eye(solids) * ~present[:, None, :]
    right = np.hstack([gradient / scale, missing / length])
    try:
        found = np.linalg.solve(matrix, right[..., None])[..., 0]
    except np.linalg.LinAlgError:
        found = np.stack(
            [np.linalg.lstsq(m, r, rcond=1e-15)[0] for m, r in zip(matrix, right, strict=True)]
        )
    return found[:, :components] / scale, found[:, components:] / length
