"""The dispersion state that a formula's process leaves its pigments in, as draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from zincite.data.device_defaults import POWDER_AS_SUPPLIED, device_default
from zincite.evaluation.dispersion_state import stated_state
from zincite.evaluation.extinction import fit_optical_size
from zincite.evaluation.making.stress.energy import StepEnergy, step_energies
from zincite.evaluation.making.stress.kinetics import (
    DeviceKinetics,
    assumed_kinetics,
    normal_numbers,
    normal_of,
)
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.particles import grade_sizes
from zincite.formula.formula import Formula
from zincite.formula.material import Grade
from zincite.formula.substances import leaves_of
from zincite.physics.deagglomeration import approached, end_size_nm, fines_limit

__all__ = [
    "MOST_SHARE",
    "PigmentStream",
    "StateDraws",
    "pigment_streams",
    "process_states",
    "smallest_log_nm",
]

Array = NDArray[np.float64]
Kinetics = Mapping[str, DeviceKinetics]

MOST_SHARE = 1 - 1e-4
_FEW_DIAMETERS = 2.0
"""Smallest cluster in diameters of a primary particle, as the optics take it."""


@dataclass(frozen=True, slots=True)
class PigmentStream:
    """Pigment that comes into the process in one way.

    Attributes
    ----------
    material : str
        Id of the pigment's card.
    grade : Grade
    percent : float
        Of the formula. [%]
    ready : bool
        Whether it comes in a bought dispersion (a blend's card), so not as a powder.
    first : int or None
        Place of the first step that works on it, from 0; None where none does.
    """

    material: str
    grade: Grade
    percent: float
    ready: bool
    first: int | None


@dataclass(frozen=True, slots=True)
class StateDraws:
    """A grade's dispersion state after the process.

    Attributes
    ----------
    share, log_nm : ndarray, shape (n,)
        Mass share in aggregates; logarithm of their median in nm.
    only_ready : bool
        Whether it came in dispersions alone.
    """

    share: Array
    log_nm: Array
    only_ready: bool

    @property
    def logit(self) -> Array:
        """Logit of the share, kept finite. [-]"""
        return np.asarray(logit(np.clip(self.share, 1 - MOST_SHARE, MOST_SHARE)))


def smallest_log_nm(grade: Grade) -> float:
    """Return ln of the smallest aggregate: a cluster is a few primary particles. [ln nm]"""
    return float(np.log(_FEW_DIAMETERS * grade_sizes(grade).sauter_diameter_nm))


def pigment_streams(
    formula: Formula, energies: tuple[StepEnergy, ...]
) -> tuple[PigmentStream, ...]:
    """Return how each pigment comes into the process."""
    first = {
        phase.name: place
        for place, energy in reversed(list(enumerate(energies)))
        for phase in energy.contents.phases
        if energy.how != "none"
    }
    return tuple(
        PigmentStream(
            leaf.id,
            leaf.grade,
            item.percent * fraction,
            bool(formula.materials[item.material].composition),
            first.get(phase.name),
        )
        for phase in formula.phases
        for item in phase.ingredients
        for leaf, fraction in leaves_of(formula.materials[item.material], formula.materials)
        if leaf.grade is not None and item.percent * fraction > 0
    )


def process_states(
    formula: Formula,
    draws: ModelDraws,
    *,
    kinetics: Kinetics | None = None,
    energies: tuple[StepEnergy, ...] | None = None,
) -> dict[str, StateDraws]:
    """Return the state of each pigment that a step works on, what its card says left aside.

    Parameters
    ----------
    formula : Formula
        With process steps.
    draws : ModelDraws
        For what bought dispersions and untouched powders start from.
    kinetics : mapping of str to DeviceKinetics, optional
        Fitted devices, in place of the assumed ones.
    energies : tuple of StepEnergy, optional
        Of the formula, if at hand.

    Returns
    -------
    dict of str to StateDraws
        By material id.

    Notes
    -----
    Powders start as supplied: the card's supplied state, else an assumed one. Each step moves
    share and ln size towards the device's end (trade relations R31, R32), by numbers that belong
    to the device, so that two processes compared draw by draw share them. A grade that comes in
    by several ways has their mean, by mass. Anchors add nothing (R32); soft grades and too little
    dispersant are not modelled.
    """
    steps = step_energies(formula) if energies is None else energies
    rules = {**assumed_kinetics(), **(kinetics or {})}
    streams: dict[str, list[PigmentStream]] = {}
    for stream in pigment_streams(formula, steps):
        streams.setdefault(stream.material, []).append(stream)
    found: dict[str, StateDraws] = {}
    for material, parts in streams.items():
        if all(part.first is None for part in parts):
            continue
        ends = [_after(part, steps, rules, draws) for part in parts]
        mass = np.array([part.percent for part in parts])[:, None]
        lumped = mass * np.stack([share for share, _ in ends])
        share = lumped.sum(axis=0) / mass.sum()
        sizes = np.stack([size for _, size in ends])
        log_nm = (lumped * sizes).sum(axis=0) / np.maximum(lumped.sum(axis=0), 1e-12)
        found[material] = StateDraws(share, log_nm, all(part.ready for part in parts))
    return found


def _after(
    stream: PigmentStream, steps: tuple[StepEnergy, ...], rules: Kinetics, draws: ModelDraws
) -> tuple[Array, Array]:
    """Return share and ln size of one stream after all steps."""
    powder = not stream.ready and stream.first is not None
    share, size = _supplied(stream, draws.size) if powder else _dispersed(stream, draws)
    if stream.first is None:
        return share, size
    floor = smallest_log_nm(stream.grade)
    size = np.maximum(size, floor)
    for step in steps[stream.first :]:
        if step.device in rules:
            share, size = _stressed(share, size, step, rules[step.device], floor)
    return share, size


def _stressed(
    share: Array, size: Array, step: StepEnergy, rule: DeviceKinetics, floor: float
) -> tuple[Array, Array]:
    """Return share and ln size after a step."""
    key, count = step.device, share.size
    numbers = np.stack([normal_numbers(f"{key} {i}", count) for i in range(3)])
    rate, limit, end = rule.rows(numbers)
    exponents = [
        middle + spread * normal_numbers(f"{key} {name}", count)
        for name in ("limit_exponent", "size_exponent")
        for middle, spread in (normal_of(device_default(key, name), "plain"),)
    ]
    energy = step.energy_J_mL * np.exp(step.log_sd * normal_numbers(f"{key} energy", count))
    most = fines_limit(limit, step.intensity, np.maximum(exponents[0], 0))
    finest = np.log(end_size_nm(np.exp(end), step.intensity, np.maximum(exponents[1], 0)))
    return (
        approached(share, 1 - most, rate, energy),
        approached(size, np.maximum(finest, floor), rate, energy),
    )


def _supplied(stream: PigmentStream, count: int) -> tuple[Array, Array]:
    """Return share and ln size of the powder as supplied."""
    grade = stream.grade
    own_share, own_size = grade.supplied_aggregate_fraction, grade.supplied_aggregate_median_nm
    size = own_size or device_default(POWDER_AS_SUPPLIED, "aggregate_median")
    middle, spread = normal_of(size, "log")
    log_nm = middle + spread * normal_numbers(f"{stream.material} supplied size", count)
    if own_share is not None:  # may be 0 or 1, where a logit ends
        return np.full(count, own_share.value), log_nm
    middle, spread = normal_of(device_default(POWDER_AS_SUPPLIED, "aggregate_fraction"), "logit")
    numbers = normal_numbers(f"{stream.material} supplied share", count)
    return np.asarray(expit(middle + spread * numbers)), log_nm


def _dispersed(stream: PigmentStream, draws: ModelDraws) -> tuple[Array, Array]:
    """Return share and ln size of a bought dispersion: its card's state, else the model's."""
    grade = stream.grade
    measured = fit_optical_size(grade)[0] if grade.extinction_nm else grade
    found, log_nm = stated_state(measured, draws)
    return np.asarray(expit(found)), log_nm
