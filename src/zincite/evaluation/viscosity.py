"""A rough viscosity of the product: blend, pigment and drops, times what structure adds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit

from zincite.evaluation.dispersion_state import stated_state
from zincite.evaluation.estimate import Estimate, Exact, estimate_from_draws
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.particles import AGGREGATE_SOLID_FRACTION
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.physics.rheology import krieger_dougherty, log_mixed_viscosity
from zincite.sources import Sourced

__all__ = [
    "SOLID_FUNCTIONS",
    "STRUCTURE_FACTOR",
    "STRUCTURE_LOG_SIGMA",
    "FlowVolumes",
    "flow_volumes",
    "oil_viscosity_mPas",
    "structureless_mPas",
    "viscosity_mPas",
]

STRUCTURE_FACTOR = 18.0
"""What waxes, emulsifier and the slow shear of a spindle add to drops and pigment in plain oil.

The geometric mean of measured over structureless viscosity of the two published W/O formulas
with a viscosity (trade sources S02: 9,540 and S03: 24,300 mPa s); `tests/validation` holds them.
"""
STRUCTURE_LOG_SIGMA = 1.0
"""Standard deviation of its logarithm, assumed: two formulas do not fix a spread. [-]"""

_DROP_PACKING = 0.79  # between 0.74 and 0.84 of trade relation R14
_PIGMENT_PACKING = 0.58  # dispersed particles, trade relation R07, from memory
_OIL_MPAS, _EMULSIFIER_MPAS = 15.0, 1000.0  # where a card has none, assumed
SOLID_FUNCTIONS = {"wax", "structurant", "oil-phase gellant", "oil gellant"}
"""Functions of cards that thicken by crystals or a network: no part of the liquid blend."""


def oil_viscosity_mPas(material: Material) -> Sourced:  # noqa: N802
    """Return the viscosity of a liquid: the card's, else an assumed one of its kind. [mPa s]"""
    own = material.properties.get("viscosity_mPas")
    if own is not None:
        return own
    thick = any("emulsifier" in f or "dispers" in f for f in material.functions)
    return Sourced(_EMULSIFIER_MPAS if thick else _OIL_MPAS, "mPa s", source="no card value")


def viscosity_mPas(formula: Formula, draws: ModelDraws) -> Estimate | Exact:  # noqa: N802
    """Return the low-shear viscosity at room temperature.

    Parameters
    ----------
    formula : Formula
    draws : ModelDraws
        The aggregates' shares, those of single grades first, and the viscosity's normal number
        are used.

    Returns
    -------
    Estimate or Exact
        Estimate for water-in-oil, wide and `assumed`; an Exact without value for other types,
        whose thickener decides and is not modelled. [mPa s]

    Notes
    -----
    eta = eta_oil KD(pigment) KD(drops) times `STRUCTURE_FACTOR`; aggregates hold oil still, so
    their volume counts whole. One measured batch is worth more than this.
    """
    if formula.emulsion != "water-in-oil":
        return Exact(None, "mPa s", (f"no viscosity model for {formula.emulsion}",))
    volumes = flow_volumes(leaves(formula), formula.materials)
    if not volumes.oil:
        return Exact(None, "mPa s", ("oil phase",))
    plain = structureless_mPas(volumes, _aggregate_share(formula, draws))
    structured = plain * STRUCTURE_FACTOR * np.exp(STRUCTURE_LOG_SIGMA * draws.viscosity)
    return estimate_from_draws(structured, unit="mPa s", assumed=True)


def _aggregate_share(formula: Formula, draws: ModelDraws) -> NDArray[np.float64]:
    """Return the share of all powder in aggregates by volume, shape (n_draws,). [-]"""
    total, lumped = 0.0, np.zeros(draws.size)
    for material, percent in leaves(formula):
        volume = flow_volumes([(material, percent)], formula.materials).pigment
        if volume:
            logit = draws.grade_logit.get(material.id, stated_state(material.grade, draws)[0])
            total += volume
            lumped = lumped + volume * expit(logit)
    return lumped / total if total else lumped


@dataclass(frozen=True, slots=True)
class FlowVolumes:
    """What flows, by volume in any one scale.

    Attributes
    ----------
    water, pigment : float
        Of the water phase and of the powders.
    oil : tuple of (float, float)
        Viscosity [mPa s] and volume of each liquid of the oil phase, waxes and gellants left out.
    """

    water: float
    pigment: float
    oil: tuple[tuple[float, float], ...]


def flow_volumes(
    parts: Iterable[tuple[Material, float]], materials: Mapping[str, Material]
) -> FlowVolumes:
    """Return the volumes of leaf materials and their masses, per mass of 100."""
    oil: list[tuple[float, float]] = []
    water = pigment = 0.0
    for material, percent in parts:
        volume = percent / density_g_ml_of(material, materials).value
        if material.phase == "water":
            water += volume
        elif material.grade is not None or "oil_absorption_g_100g" in material.properties:
            pigment += volume
        elif not SOLID_FUNCTIONS & set(material.functions):
            oil.append((oil_viscosity_mPas(material).value, volume))
    return FlowVolumes(water, pigment, tuple(oil))


def structureless_mPas(  # noqa: N802
    volumes: FlowVolumes, aggregate_share: ArrayLike
) -> NDArray[np.float64]:
    """Return the viscosity of pigment and drops in plain oil, under shear that undoes structure.

    Parameters
    ----------
    volumes : FlowVolumes
        With some oil.
    aggregate_share : array_like
        Mass share of the pigment in aggregates, which hold oil still. [-]

    Returns
    -------
    ndarray
        eta_oil KD(pigment) KD(drops), the fractions kept below their packing. [mPa s]
    """
    liquid = math.fsum(v for _, v in volumes.oil)
    blend = log_mixed_viscosity([eta for eta, _ in volumes.oil], [v for _, v in volumes.oil])
    water, pigment = volumes.water, volumes.pigment
    swollen = pigment * (1 + np.asarray(aggregate_share) * (1 / AGGREGATE_SOLID_FRACTION - 1))
    in_oil = np.minimum(swollen / (pigment + liquid), _PIGMENT_PACKING * 0.98)
    drops = min(water / (water + pigment + liquid), _DROP_PACKING * 0.98)
    return np.asarray(
        blend
        * krieger_dougherty(in_oil, _PIGMENT_PACKING)
        * krieger_dougherty(drops, _DROP_PACKING)
    )
