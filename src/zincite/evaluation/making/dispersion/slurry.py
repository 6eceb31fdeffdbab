"""Powder in oil: how much goes in and how thick it gets, wetted and dispersed.

Two states bound a mill base. As wetted, lumps hold oil still: at the critical pigment volume
concentration powder and held oil fill the packing of spheres. Dispersed, each particle carries
its adsorbed layer instead. The thicker of the two is what the device has to move.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.data.dispersing import dispersing_default
from zincite.errors import FormulaError
from zincite.evaluation.density import cpvc_of_powders
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.dispersion.milled import MillBase
from zincite.evaluation.making.dispersion.powders import Powder
from zincite.evaluation.viscosity import SOLID_FUNCTIONS, oil_viscosity_mPas
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula
from zincite.physics.dispersing import mass_fraction_from_volume, volume_fraction_from_mass
from zincite.physics.rheology import (
    krieger_dougherty,
    krieger_dougherty_volume_fraction,
    log_mixed_viscosity,
)
from zincite.sources import Sourced

__all__ = ["CASES", "Slurry", "cpvc_estimate", "slurry_of"]

Array = NDArray[np.float64]

CASES = ("thin", "middle", "thick")
"""Ends of the assumed ranges: of each quantity the end that makes the slurry thin or thick."""


@dataclass(frozen=True, slots=True)
class Slurry:
    """Powder in oil; tuples run over `CASES`.

    Attributes
    ----------
    powder_g_ml, liquid_g_ml : float
        Densities; the liquid is oil with dispersant. [g/mL]
    oil_mPas : float
        Viscosity of the oil without dispersant, which sits on the powder. [mPa s]
    cpvc, packing, flocculated, swelling : tuple of float
        Critical concentration, packing of dispersed and of flocculated particles, and volume
        with the adsorbed layer per volume without it. [-]
    """

    powder_g_ml: float
    liquid_g_ml: float
    oil_mPas: float
    cpvc: tuple[float, float, float]
    packing: tuple[float, float, float]
    flocculated: tuple[float, float, float]
    swelling: tuple[float, float, float]

    def volume_fraction(self, solids_percent: ArrayLike) -> Array:
        """Return the powder's volume share of a mill base from its mass share. [-]"""
        w = np.asarray(solids_percent, dtype=float) / 100
        return volume_fraction_from_mass(w, self.powder_g_ml, self.liquid_g_ml)

    def solids_percent(self, volume_fraction: ArrayLike) -> Array:
        """Return the powder's mass share from its volume share. [%]"""
        return 100 * mass_fraction_from_volume(volume_fraction, self.powder_g_ml, self.liquid_g_ml)

    def dispersed(self, volume_fraction: ArrayLike, case: int) -> Array:
        """Return the relative viscosity with every particle free in its layer. [-]"""
        grown = np.asarray(volume_fraction) * self.swelling[case]
        return krieger_dougherty(grown, self.packing[case])

    def flocculates(self, volume_fraction: ArrayLike, case: int) -> Array:
        """Return the relative viscosity with the particles flocculated. [-]"""
        grown = np.asarray(volume_fraction) * self.swelling[case]
        return krieger_dougherty(grown, self.flocculated[case])

    def in_device_mPas(self, volume_fraction: ArrayLike, case: int) -> Array:  # noqa: N802
        """Return the viscosity that the device meets: the thicker of the two states. [mPa s]"""
        grown = np.asarray(volume_fraction) * self._held(case)
        return self.oil_mPas * krieger_dougherty(grown, self.packing[case])

    def fraction_at(self, viscosity_mPas: float, case: int) -> float:
        """Return the volume share at which the device meets a viscosity. [-]

        Raises
        ------
        OutOfRangeError
            If the oil alone is thicker.
        """
        grown = krieger_dougherty_volume_fraction(
            viscosity_mPas / self.oil_mPas, self.packing[case]
        )
        return float(grown) / self._held(case)

    def _held(self, case: int) -> float:
        """Return powder with the oil it holds still, or with its layer, per powder. [-]"""
        return max(self.packing[case] / self.cpvc[case], self.swelling[case])


def _ends(found: Sourced) -> tuple[float, float, float]:
    """Return low, best and high; one value three times where no range is stated."""
    low = found.value if found.low is None else found.low
    return low, found.value, found.value if found.high is None else found.high


def _cpvc(powders: tuple[Powder, ...]) -> tuple[float, float, float]:
    """Return the critical concentration at high, best and low oil absorption, rising."""
    found = []
    for end in (2, 1, 0):
        each = [(p.percent, p.percent / p.density_g_ml, _ends(p.oil_absorption_g_100g)[end])
                for p in powders]  # fmt: skip
        found.append(cpvc_of_powders(each) or 1.0)
    return found[0], found[1], found[2]


def cpvc_estimate(powders: tuple[Powder, ...]) -> Estimate:
    """Return the critical pigment volume concentration of powders together. [-]

    The range is that of the oil absorptions; `assumed` where more than half of the powder has an
    assumed one.
    """
    low, middle, high = _cpvc(powders)
    whole = math.fsum(p.percent for p in powders)
    guessed = math.fsum(p.percent for p in powders if p.oil_absorption_g_100g.is_assumed)
    return Estimate(middle, low, high, "", guessed > whole / 2)


def slurry_of(formula: Formula, mill: MillBase, *, oil_mPas: float | None = None) -> Slurry:
    """Return the slurry that a formula's mill base is.

    Parameters
    ----------
    formula : Formula
    mill : MillBase
    oil_mPas : float, optional
        Viscosity of the oil; mixed from the cards when left out. [mPa s]

    Raises
    ------
    FormulaError
        If all that is no powder is solid.
    """
    powder = math.fsum(p.percent / p.density_g_ml for p in mill.powders)
    parts = [
        (m, share, share / density_g_ml_of(m, formula.materials).value)
        for m, share in (*mill.oils, *mill.dispersants)
    ]
    oils = [m for m, _ in mill.oils]
    liquid = [
        (oil_viscosity_mPas(m), v)
        for m, _, v in parts
        if m in oils and not SOLID_FUNCTIONS & set(m.functions)
    ]
    if oil_mPas is None:
        if not liquid:
            raise FormulaError(
                f"{mill.where} of formula {formula.code!r} holds no liquid, expected an oil to "
                "disperse in"
            )
        oil_mPas = log_mixed_viscosity([eta.value for eta, _ in liquid], [v for _, v in liquid])
    cpvc = _cpvc(mill.powders)
    packing = _ends(dispersing_default("packing_dispersed"))
    flocculated = _ends(dispersing_default("packing_flocculated"))
    layers = _ends(dispersing_default("layer_nm"))
    grown = [
        math.fsum(p.percent / p.density_g_ml * p.swelling(layer) for p in mill.powders) / powder
        for layer in layers
    ]
    return Slurry(
        powder_g_ml=mill.powder_percent / powder,
        liquid_g_ml=math.fsum(s for _, s, _ in parts) / math.fsum(v for _, _, v in parts),
        oil_mPas=oil_mPas,
        cpvc=(cpvc[2], cpvc[1], cpvc[0]),
        packing=(packing[2], packing[1], packing[0]),
        flocculated=(flocculated[2], flocculated[1], flocculated[0]),
        swelling=(grown[0], grown[1], grown[2]),
    )
