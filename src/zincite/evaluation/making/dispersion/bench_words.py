"""Grounds of the dispersion bench, and its ratios in words."""

from __future__ import annotations

from collections.abc import Sequence

from zincite.data.dispersing import dispersing_default
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.dispersion.milled import MillBase
from zincite.evaluation.making.dispersion.powders import Powder
from zincite.evaluation.viscosity import oil_viscosity_mPas
from zincite.sources import Sourced

__all__ = ["bench_basis", "filling_words", "powder_warnings", "slurry_assumed"]

_AGREES = 0.10  # relative difference of two surfaces that tells nothing; own rule
_BANDS = (
    (0.10, "leaner in powder than any paint"),
    (0.40, "as a topcoat: closed and rich in oil"),
    (0.50, "between a topcoat and a primer"),
    (0.75, "as a primer: closed and matt"),
    (1.00, "as a wall paint and close to critical: dry and matt"),
)
_ABOVE = "above critical: air between the particles, so dry, white and weak"


def filling_words(to_cpvc: float) -> str:
    """Return PVC/CPVC in words; the bands are trade relation R02, what they feel like our own.

    Examples
    --------
    >>> filling_words(0.6)
    'as a primer: closed and matt'
    """
    return next((words for end, words in _BANDS if to_cpvc < end), _ABOVE)


def _range(found: Sourced) -> str:
    return f"{found.value:g} ({found.low:g} to {found.high:g})"


def slurry_assumed(mill: MillBase, *, oil_given: bool = False) -> tuple[str, ...]:
    """Return what is assumed wherever a viscosity or a packing of the mill base is shown.

    Parameters
    ----------
    mill : MillBase
    oil_given : bool
        Whether the viscosity of the oil is the chemist's own.
    """
    layer, packing, lumps = (
        dispersing_default(key) for key in ("layer_nm", "packing_dispersed", "packing_flocculated")
    )
    said = [
        f"Adsorbed layer {_range(layer)} nm, packing {_range(packing)} dispersed and "
        f"{_range(lumps)} flocculated, all from memory: none were found for these oxides in oils.",
        "As wetted, powder and the oil it holds still fill that packing at the CPVC: own reading "
        "of the rule that no mill base takes more than its CPVC.",
    ]
    guessed = [p for p in mill.powders if p.oil_absorption_g_100g.is_assumed]
    if guessed:
        each = ", ".join(f"{p.material.id} {_range(p.oil_absorption_g_100g)}" for p in guessed)
        said.append(f"Oil absorption in g/100 g where the card has none: {each}.")
    oils = [m.id for m, _ in mill.oils if oil_viscosity_mPas(m).is_assumed]
    if oils and not oil_given:
        said.append(f"Viscosity of {', '.join(oils)} is from memory.")
    return tuple(said)


def bench_basis(mill: MillBase, *, powders: Sequence[Powder], gamma_given: bool) -> Basis:
    """Return the grounds of a bench.

    Parameters
    ----------
    mill : MillBase
    powders : sequence of Powder
        All powders of the formula.
    gamma_given : bool
        Whether the adsorbed amount is the chemist's own.
    """
    assumed: list[str] = []
    if not gamma_given:
        gamma = dispersing_default("adsorbed_mg_m2")
        assumed.append(f"Adsorbed amount {_range(gamma)} mg/m2: {gamma.source}.")
    sized = [p.material.id for p in powders
             if p.material.grade and p.material.grade.evidence.value == "assumed"
             and p.measured_m2_g is None]  # fmt: skip
    if sized:
        assumed.append(f"Particle sizes of {', '.join(sized)} are those of a class of grades.")
    return Basis(
        ("R03", "R04", "R01", "R02", "R09", "R06", "R07", "R34"),
        (*assumed, *slurry_assumed(mill)),
        powder_warnings(mill, powders),
    )


def powder_warnings(mill: MillBase, powders: Sequence[Powder]) -> tuple[str, ...]:
    """Return what limits a demand or a mill base of these powders."""
    said = []
    unknown = [p.material.id for p in mill.powders if p.surface_m2_g is None]
    if unknown:
        said.append(
            f"Surface of {', '.join(unknown)} is not known and not in the demand: give its BET."
        )
    for p in powders:
        if p.measured_m2_g is None or p.geometric_m2_g is None:
            continue
        beside = f"{p.material.id}: BET {p.measured_m2_g:g} m2/g is "
        of = f"the geometric {p.geometric_m2_g:.3g} m2/g, so it is "
        if p.measured_m2_g < (1 - _AGREES) * p.geometric_m2_g:
            said.append(f"{beside}below {of}aggregated, or coarser than the card says.")
        elif p.measured_m2_g > (1 + _AGREES) * p.geometric_m2_g:
            said.append(f"{beside}above {of}rough or porous, or finer than the card says.")
    coated = [p.material.id for p in mill.powders if p.has_organic_coating]
    if coated:
        which = "All powders milled" if len(coated) == len(mill.powders) else ", ".join(coated)
        said.append(
            f"{which} carry an organic coating, which takes the place of dispersant: they need "
            "less than a bare surface, how much less only a ladder on this powder tells."
        )
    if mill.is_aqueous:
        said.append(
            "The pigment is dispersed in water: adsorbed amount, layer and oil absorption are "
            "those of oils and hold only roughly."
        )
    if mill.bought:
        said.append(f"The pigment comes dispersed ({mill.where}): its maker chose the dispersant.")
    if mill.dry:
        said.append(
            f"{mill.where[:1].upper()}{mill.where[1:]} holds powder without oil, so there is no "
            "mill base yet: add oil and dispersant to it."
        )
    return tuple(said)
