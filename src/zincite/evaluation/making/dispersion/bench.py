"""The dispersion bench of a formula: surfaces, dispersant, CPVC, thickness of the mill base."""

from __future__ import annotations

import math
from collections.abc import Mapping

from zincite.data.dispersing import dispersing_default
from zincite.errors import OutOfRangeError
from zincite.evaluation.density import pigment_volume
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.dispersion.bench_result import (
    DispersionBench,
    FilmFilling,
    Held,
    MillBaseState,
    PowderSurface,
)
from zincite.evaluation.making.dispersion.bench_words import bench_basis
from zincite.evaluation.making.dispersion.milled import MillBase, mill_base_of
from zincite.evaluation.making.dispersion.powders import Powder, is_dispersant, powders_of
from zincite.evaluation.making.dispersion.slurry import Slurry, cpvc_estimate, slurry_of
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves
from zincite.physics.dispersing import dispersant_percent_of_pigment

__all__ = ["adsorbed_mg_m2", "bench_of", "demand_percent"]

_SURPLUS = 2.0  # times the upper demand from which dispersant is left over; own rule
_LARGEST_GAMMA = 20.0


def adsorbed_mg_m2(given: float | None = None) -> Estimate:
    """Return the dispersant held on the surface: the chemist's value or the assumed range. [mg/m2]

    Raises
    ------
    OutOfRangeError
        If the given value is not above 0 to 20 mg/m2.
    """
    if given is None:
        found = dispersing_default("adsorbed_mg_m2")
        return Estimate(found.value, found.low or 0.0, found.high or 0.0, "mg/m2", assumed=True)
    if not 0 < given <= _LARGEST_GAMMA:
        raise OutOfRangeError(
            f"adsorbed amount is {given:g} mg/m2, expected above 0 to {_LARGEST_GAMMA:g} mg/m2"
        )
    return Estimate(given, given, given, "mg/m2")


def bench_of(
    formula: Formula,
    *,
    bet_m2_g: Mapping[str, float] | None = None,
    gamma_mg_m2: float | None = None,
) -> DispersionBench:
    """Return the dispersion bench of a formula.

    Parameters
    ----------
    formula : Formula
    bet_m2_g : mapping of str to float, optional
        Measured surface by id of the powder; replaces the geometric one. [m2/g]
    gamma_mg_m2 : float, optional
        Dispersant held on the surface; an assumed range when left out. [mg/m2]

    Raises
    ------
    FormulaError
        If the formula holds no pigment, or a BET surface is of no powder of it.
    OutOfRangeError
        If a given number is impossible.
    """
    gamma = adsorbed_mg_m2(gamma_mg_m2)
    mill = mill_base_of(formula, bet_m2_g)
    milled = {p.material.id for p in mill.powders}
    powders = tuple(
        _surface(p, p.material.id in milled, gamma) for p in powders_of(formula, bet_m2_g)
    )
    of_formula = demand_percent(mill, gamma)
    held = _held(formula, mill)
    state = None if mill.dry else _state(mill, slurry_of(formula, mill))
    return DispersionBench(
        powders=powders,
        adsorbed=gamma,
        demand_percent_of_formula=of_formula,
        demand_percent_of_pigment=of_formula.scaled(100 / mill.powder_percent),
        held=held,
        coverage=_coverage(mill.dispersant_percent, of_formula),
        mill=state,
        film=_film(formula, tuple(item.powder for item in powders)),
        basis=bench_basis(mill, powders=[item.powder for item in powders],
                          gamma_given=gamma_mg_m2 is not None),
    )  # fmt: skip


def demand_percent(mill: MillBase, gamma: Estimate) -> Estimate:
    """Return the dispersant for a full layer on what is milled, of the formula. [%]"""
    surface = math.fsum(p.percent * (p.surface_m2_g or 0.0) for p in mill.powders)
    ends = [float(dispersant_percent_of_pigment(g, surface)) / 100
            for g in (gamma.median, gamma.low, gamma.high)]  # fmt: skip
    return Estimate(ends[0], ends[1], ends[2], "%", gamma.assumed)


def _surface(powder: Powder, milled: bool, gamma: Estimate) -> PowderSurface:
    measured, geometric, surface = powder.measured_m2_g, powder.geometric_m2_g, powder.surface_m2_g
    ratio = None if measured is None or geometric is None else measured / geometric
    demand = None
    if surface is not None:
        low, mid, high = (float(dispersant_percent_of_pigment(g, surface))
                          for g in (gamma.low, gamma.median, gamma.high))  # fmt: skip
        demand = Estimate(mid, low, high, "%", gamma.assumed)
    return PowderSurface(powder, milled, ratio, demand)


def _held(formula: Formula, mill: MillBase) -> tuple[Held, ...]:
    inside = {m.id: share for m, share in mill.dispersants}
    found: list[Held] = []
    for material, percent in leaves(formula):
        if not is_dispersant(material):
            continue
        both = any("emulsifier" in function for function in material.functions)
        milled = inside.get(material.id, 0.0)
        for share, where in ((milled, True), (percent - milled, False)):
            if share > 1e-9:
                found.append(Held(material.id, share, where, both))
    return tuple(found)


def _coverage(held: float, demand: Estimate) -> str:
    if held <= 0:
        return "none"
    if held < demand.low:
        return "short"
    return "surplus" if held > _SURPLUS * demand.high else "within"


def _over(share: float, cpvc: Estimate) -> Estimate:
    return Estimate(share / cpvc.median, share / cpvc.high, share / cpvc.low, "", cpvc.assumed)


def _state(mill: MillBase, slurry: Slurry) -> MillBaseState:
    solids = mill.solids_percent or 0.0
    phi = float(slurry.volume_fraction(solids))
    cpvc = cpvc_estimate(mill.powders)
    thin, middle, thick = range(3)

    def over_cases(of: str, unit: str = "") -> Estimate:
        low, mid, high = (float(getattr(slurry, of)(phi, c)) for c in (thin, middle, thick))
        return Estimate(mid, low, high, unit, assumed=True)

    return MillBaseState(
        where=mill.where,
        solids_percent=solids,
        solids_volume_percent=100 * phi,
        cpvc_percent=cpvc.scaled(100),
        to_cpvc=_over(phi, cpvc),
        oil_mPas=slurry.oil_mPas,
        dispersed=over_cases("dispersed"),
        flocculated=over_cases("flocculates"),
        in_device_mPas=over_cases("in_device_mPas", "mPa s"),
        slurry=slurry,
    )


def _film(formula: Formula, powders: tuple[Powder, ...]) -> FilmFilling:
    volume = pigment_volume(formula)
    cpvc = cpvc_estimate(powders)
    return FilmFilling(
        product_volume_percent=100 * volume.product_share,
        pvc_percent=100 * volume.pvc,
        cpvc_percent=cpvc.scaled(100),
        to_cpvc=_over(volume.pvc, cpvc),
    )
