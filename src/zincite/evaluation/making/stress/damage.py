"""What the stress of a process does to the coating: pigment surface without it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.data.device_defaults import device_default, has_default
from zincite.evaluation.estimate import Estimate, estimate_from_draws
from zincite.evaluation.making.stress.deagglomeration import pigment_streams
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.evaluation.making.stress.kinetics import normal_numbers, normal_of
from zincite.evaluation.particles import coating_volume_ratio, grade_sizes
from zincite.formula.formula import Formula
from zincite.formula.material import Grade
from zincite.physics.deagglomeration import exposed_share
from zincite.physics.suspension import uniform_shell_nm

__all__ = ["DAMAGE_ASSUMED", "ExposedSurface", "coating_nm", "exposed_surfaces"]

Array = NDArray[np.float64]

DAMAGE_ASSUMED = (
    "Coating damage: each J/mL strips a device's share of what is still covered, thinner layers in "
    "proportion faster; model and susceptibilities assumed, no published ones were found."
)

_REFERENCE_NM = 2.0
"""Layer for which the susceptibilities stand, assumed. [nm]"""
_THINNEST_NM = 0.2
_DRAWS = 400


@dataclass(frozen=True, slots=True)
class ExposedSurface:
    """Surface of one pigment that its coating no longer covers.

    Attributes
    ----------
    material : str
    percent : float
        In the formula. [%]
    coating_nm : float
        Thickness as an even layer; 0 is uncoated.
    share : Estimate
        Of the pigment's surface. [%]
    area_m2_kg : Estimate
        Per kg of product. [m2/kg]
    untouched : bool
        Whether no step works on it.
    """

    material: str
    percent: float
    coating_nm: float
    share: Estimate
    area_m2_kg: Estimate
    untouched: bool

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "material": self.material,
            "percent": self.percent,
            "coating_nm": self.coating_nm,
            "exposed_share_percent": self.share.to_dict(),
            "exposed_m2_per_kg_product": self.area_m2_kg.to_dict(),
        }


def coating_nm(grade: Grade) -> float:
    """Return the thickness of a grade's coating as an even layer, 0 for none. [nm]"""
    if not grade.coatings:
        return 0.0
    return float(uniform_shell_nm(grade_sizes(grade), coating_volume_ratio(grade)[0]))


def exposed_surfaces(
    formula: Formula, energies: tuple[StepEnergy, ...]
) -> tuple[ExposedSurface, ...]:
    """Return the exposed surface of each pigment after the process.

    Parameters
    ----------
    formula : Formula
    energies : tuple of StepEnergy
        Of its steps.

    Returns
    -------
    tuple of ExposedSurface
        One a grade, in order of the formula; ways it comes in are averaged by mass.

    Notes
    -----
    Share = 1 - product over the steps of exp(-s Ev 2 nm/thickness), 1 for uncoated grades. The
    surface is geometric, 6/(rho d32) (trade relation R03), of the cores. What a bought dispersion
    went through before is not known and left out.
    """
    shares: dict[str, list[tuple[float, Array]]] = {}
    grades: dict[str, Grade] = {}
    touched: set[str] = set()
    for stream in pigment_streams(formula, energies):
        grades[stream.material] = stream.grade
        steps: tuple[StepEnergy, ...] = ()
        if stream.first is not None:
            steps = energies[stream.first :]
            touched.add(stream.material)
        share = _exposed(stream.grade, steps)
        shares.setdefault(stream.material, []).append((stream.percent, share))
    found = []
    for material, parts in shares.items():
        grade, percent = grades[material], math.fsum(p for p, _ in parts)
        share = np.sum([p * s for p, s in parts], axis=0) / percent
        core_m2_g = 6e3 / (grade.core_density_g_ml * grade_sizes(grade).sauter_diameter_nm)
        area = core_m2_g * percent * 10 * grade.core_mass_fraction
        found.append(
            ExposedSurface(
                material,
                percent,
                coating_nm(grade),
                estimate_from_draws(100 * share, unit="%", assumed=True),
                estimate_from_draws(area * share, unit="m2/kg", assumed=True),
                material not in touched,
            )
        )
    return tuple(found)


def _exposed(grade: Grade, steps: Iterable[StepEnergy]) -> Array:
    """Return draws of the exposed share."""
    if not grade.coatings:
        return np.ones(_DRAWS)
    factor = _REFERENCE_NM / max(coating_nm(grade), _THINNEST_NM)
    stress = np.zeros(_DRAWS)
    for step in steps:
        key = step.device
        if not has_default(key, "damage") or device_default(key, "damage").value == 0:
            continue
        middle, spread = normal_of(device_default(key, "damage"), "log")
        rate = np.exp(middle + spread * normal_numbers(f"{key} damage", _DRAWS))
        spent = np.exp(step.log_sd * normal_numbers(f"{key} energy", _DRAWS))
        stress = stress + factor * rate * spent * step.energy_J_mL
    return exposed_share(stress)
