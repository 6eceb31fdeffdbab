"""Density of the product, and how much of it and of the dried film is pigment by volume.

Volume decides what a dose is worth: a panel applies mass, the film is a thickness.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.evaluation.estimate import Estimate
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.sources import Evidence, Sourced

__all__ = [
    "LINSEED_OIL_DENSITY_G_ML",
    "PigmentVolume",
    "cpvc_from_oil_absorption",
    "cpvc_of_powders",
    "density_g_ml",
    "dose_uL_cm2",
    "is_powder",
    "pigment_volume",
]

LINSEED_OIL_DENSITY_G_ML = 0.93
"""Density of the oil in which oil absorption is measured (trade relation R01). [g/mL]"""

_RELATIVE = {
    Evidence.MEASURED: 0.005,
    Evidence.DATA_SHEET: 0.01,
    Evidence.LITERATURE: 0.01,
    Evidence.CALCULATED: 0.02,
    Evidence.ASSUMED: 0.03,
}
"""Relative half-width of a density's 90 % interval where the card states none; assumed."""

_FILLERS = {"filler", "texturiser"}
"""Functions of cards that are powders though they scatter little."""

_MIXING = 0.01
"""Relative half-width for contraction on mixing and entrained air; assumed, no source."""


@dataclass(frozen=True, slots=True)
class PigmentVolume:
    """Pigment by volume.

    Attributes
    ----------
    product_share : float
        Volume of pigment powders per volume of product, coatings included. [-]
    film_share : float
        The same in the dried film, all that is volatile gone. [-]
    pvc : float
        Pigment volume concentration of the dried film: pigments and fillers together. [-]
    cpvc : float or None
        Critical one from the oil absorptions of the cards, None where a card has none. [-]
    non_volatile_percent : float
        Mass share of the product that stays on the skin. [%]
    film_density_g_ml : float
        Density of the dried film. [g/mL]
    missing_oil_absorption : tuple of str
        Powders without oil absorption.
    """

    product_share: float
    film_share: float
    pvc: float
    cpvc: float | None
    non_volatile_percent: float
    film_density_g_ml: float
    missing_oil_absorption: tuple[str, ...] = ()

    @property
    def pvc_to_cpvc(self) -> float | None:
        """PVC divided by CPVC; above 1 the film lacks binder between the particles."""
        return None if self.cpvc is None else self.pvc / self.cpvc

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = {name: getattr(self, name) for name in self.__slots__}
        shown["missing_oil_absorption"] = list(self.missing_oil_absorption)
        shown["pvc_to_cpvc"] = self.pvc_to_cpvc
        return shown


def density_g_ml(formula: Formula) -> Estimate:
    """Return the density of the product. [g/mL]

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    Estimate
        `assumed` where more than half of the volume has an assumed density.

    Notes
    -----
    1/rho = sum of mass share / density (ideal mixing, no air). The interval adds the densities'
    own ranges, independent of each other, and 1 % for contraction and air in quadrature.

    References
    ----------
    McCormick 2011, Cosmet. Toiletries 126(3), 164-168 (trade source S07), for the use of it.
    """
    parts = [(share / 100.0, density_g_ml_of(m, formula.materials)) for m, share in leaves(formula)]
    mass = math.fsum(w for w, _ in parts)
    volume = math.fsum(w / rho.value for w, rho in parts)
    spread = math.hypot(*(w / rho.value * _half_width(rho) for w, rho in parts)) / volume
    relative = math.hypot(spread, _MIXING)
    median = mass / volume
    assumed = math.fsum(w / rho.value for w, rho in parts if rho.is_assumed) > volume / 2
    return Estimate(median, median / (1.0 + relative), median * (1.0 + relative), "g/mL", assumed)


def _half_width(density: Sourced) -> float:
    """Return the relative half-width of a density's 90 % interval. [-]"""
    if density.low is not None and density.high is not None:
        return (density.high - density.low) / 2.0 / density.value
    return _RELATIVE[density.evidence]


def dose_uL_cm2(dose_mg_cm2: float, density: float) -> float:  # noqa: N802  litre keeps its capital
    """Return an areal dose by volume. [uL/cm2]

    Parameters
    ----------
    dose_mg_cm2 : float
        Dose by mass. [mg/cm2]
    density : float
        Density of the product, > 0. [g/mL]

    Raises
    ------
    OutOfRangeError
        If the density is not positive.

    Examples
    --------
    >>> round(dose_uL_cm2(2.0, 1.25), 2)
    1.6
    """
    if not (math.isfinite(density) and density > 0):
        raise OutOfRangeError(f"density is {density} g/mL, expected a number above 0")
    return dose_mg_cm2 / density


def cpvc_from_oil_absorption(oil_absorption_g_100g: float, density: float) -> float:
    """Return the critical pigment volume concentration of one powder. [-]

    Parameters
    ----------
    oil_absorption_g_100g : float
        Linseed oil that the powder takes up, >= 0. [g/100 g]
    density : float
        Density of the powder. [g/mL]

    Notes
    -----
    CPVC = 1 / (1 + OA rho / (100 rho_oil)) with the density of linseed oil.

    References
    ----------
    Trade relation R01 (sources S24, S25).

    Examples
    --------
    >>> round(cpvc_from_oil_absorption(18.5, 5.606), 2)
    0.47
    """
    return 1.0 / (1.0 + oil_absorption_g_100g * density / (100.0 * LINSEED_OIL_DENSITY_G_ML))


def cpvc_of_powders(powders: Iterable[tuple[float, float, float]]) -> float | None:
    """Return the critical pigment volume concentration of several powders together. [-]

    Parameters
    ----------
    powders : iterable of (float, float, float)
        Mass [g], volume [mL] and oil absorption [g/100 g] of each.

    Returns
    -------
    float or None
        None where the powders have no volume.

    Notes
    -----
    CPVC = V / (V + sum of m OA / (100 rho_oil)): the oils that the powders take up add.

    References
    ----------
    Trade relation R01 (sources S24, S25).

    Examples
    --------
    >>> round(cpvc_of_powders([(5.606, 1.0, 18.5)]), 2)
    0.47
    """
    known = list(powders)
    volume = math.fsum(v for _, v, _ in known)
    if volume <= 0:
        return None
    taken = math.fsum(m * oil for m, _, oil in known) / (100.0 * LINSEED_OIL_DENSITY_G_ML)
    return volume / (volume + taken)


def is_powder(material: Material) -> bool:
    """Return whether a leaf stays a particle in the film: a pigment or a filler."""
    return (
        material.grade is not None
        or "oil_absorption_g_100g" in material.properties
        or bool(_FILLERS & set(material.functions))
    )


def _stays(material: Material) -> bool:
    """Return whether a leaf stays on the skin; water leaves whatever its card says."""
    return not material.volatile and material.inci.strip().lower() not in ("aqua", "water")


def pigment_volume(formula: Formula) -> PigmentVolume:
    """Return how much of product and dried film is pigment by volume.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    PigmentVolume

    Raises
    ------
    OutOfRangeError
        If everything in the formula is volatile.

    Notes
    -----
    The dried film is what is not flagged volatile; water that humectants hold is left out. For
    several powders the critical concentration adds the oil that each takes up:
    CPVC = V / (V + sum of m OA / (100 rho_oil)). A powder without oil absorption is counted with
    the mean of the others and named; with none on any card there is no CPVC.
    """
    parts = [
        (m, share, share / density_g_ml_of(m, formula.materials).value)
        for m, share in leaves(formula)
    ]
    whole = math.fsum(v for _, _, v in parts)
    kept = [(m, share, v) for m, share, v in parts if _stays(m)]
    film = math.fsum(v for _, _, v in kept)
    if film <= 0:
        raise OutOfRangeError(
            f"formula {formula.code!r} leaves no film, expected something that is not volatile"
        )
    pigment = math.fsum(v for m, _, v in kept if m.grade is not None)
    powders = [(m, share, v) for m, share, v in kept if is_powder(m)]
    mass = math.fsum(share for _, share, _ in kept)
    return PigmentVolume(
        product_share=pigment / whole,
        film_share=pigment / film,
        pvc=math.fsum(v for _, _, v in powders) / film,
        cpvc=_cpvc(powders),
        non_volatile_percent=mass,
        film_density_g_ml=mass / film,
        missing_oil_absorption=tuple(
            m.id for m, _, _ in powders if "oil_absorption_g_100g" not in m.properties
        ),
    )


def _cpvc(powders: list[tuple[Material, float, float]]) -> float | None:
    """Return the critical concentration of several powders, None without any oil absorption."""
    return cpvc_of_powders(
        (share, v, oil)
        for m, share, v in powders
        if (oil := m.property_value("oil_absorption_g_100g")) is not None
    )
