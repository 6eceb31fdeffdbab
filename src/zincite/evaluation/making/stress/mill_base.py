"""Whether the contents of a step flow, and how thick they are under shear."""

from __future__ import annotations

import math
from dataclasses import replace

from zincite.errors import FormulaError
from zincite.evaluation.density import cpvc_of_powders, is_powder
from zincite.evaluation.making.steps import StepContents, leaves_in
from zincite.evaluation.viscosity import flow_volumes, structureless_mPas
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula

__all__ = ["contents_viscosity", "require_flow"]

_PACKING = 0.58
"""Volume share at which dispersed particles jam (trade relation R07, from memory). [-]"""
_AGGREGATE_SHARE = 0.4
"""Share of the pigment in aggregates while a step works, for the viscosity, assumed. [-]"""
_DROPS_UNDER_SHEAR = 0.64
"""Drops by volume up to which they count, random close packing, from memory. [-]"""
_WATER_CONTINUOUS_MPAS = 100.0
"""Oil-in-water contents under shear; the thickener decides and is not modelled, assumed."""


def require_flow(formula: Formula, contents: StepContents) -> None:
    """Refuse contents without enough liquid between the particles.

    Raises
    ------
    FormulaError
        If the powders fill more than the critical pigment volume concentration of their oil
        absorptions (trade relation R01), or than particles can be packed.
    """
    if contents.pigment_percent <= 0:
        return
    outside = formula.emulsion == "oil-in-water"  # pigment may then sit in the water
    powders: list[tuple[float, float, float | None]] = []
    liquid = 0.0
    for leaf, share in leaves_in(formula, contents.phases):
        volume = share / density_g_ml_of(leaf, formula.materials).value
        if is_powder(leaf):
            powders.append((share, volume, leaf.property_value("oil_absorption_g_100g")))
        elif leaf.phase != "water" or outside:
            liquid += volume
    filled = math.fsum(v for _, v, _ in powders)
    if filled <= 0:
        return
    known = cpvc_of_powders((m, v, oil) for m, v, oil in powders if oil is not None)
    limit, name = min((x, n) for x, n in ((known or 1.0, "CPVC"), (_PACKING, "packing limit")))
    share = filled / (filled + liquid)
    if share >= limit:
        raise FormulaError(
            f"process step {contents.number} ({contents.step.device}) works on {100 * share:.0f} "
            f"vol% powder in oil, expected below the {name} of {100 * limit:.0f} %: a mill base "
            "above it is a dry crumb; name a phase with oil in the step's phases"
        )


def contents_viscosity(formula: Formula, contents: StepContents) -> tuple[float, str]:
    """Return the contents' viscosity under shear and how it was found, "" where stated. [mPa s]

    Notes
    -----
    Oil blend by logarithmic mixing, pigment and drops by Krieger-Dougherty, without the structure
    that shear undoes. Flocculated pastes are thicker than this. Drops beyond random close packing
    deform and slide past each other under a rotor instead of jamming, so no more of them count.
    """
    own = contents.step.settings.get("viscosity_mPas")
    if own is not None:
        return own, ""
    volumes = flow_volumes(leaves_in(formula, contents.phases), formula.materials)
    watery = contents.has_water and formula.emulsion == "oil-in-water"
    if watery or not volumes.oil:
        return _WATER_CONTINUOUS_MPAS, "water is outside"
    most = _DROPS_UNDER_SHEAR / (1 - _DROPS_UNDER_SHEAR)
    rounds = most * (volumes.pigment + math.fsum(v for _, v in volumes.oil))
    how = "from oils, pigment and drops"
    if volumes.water > rounds:
        volumes = replace(volumes, water=rounds)
        how += f", these reckoned as {100 * _DROPS_UNDER_SHEAR:.0f} vol%"
    return float(structureless_mPas(volumes, _AGGREGATE_SHARE)), how
