"""Zinc and aluminium in the water phase: how much, in which form, and what it does."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.making.water.acids import acids_taken
from zincite.evaluation.making.water.chelators import chelator_shares
from zincite.evaluation.making.water.ion_advice import advice_on
from zincite.evaluation.making.water.ion_basis import basis_of
from zincite.evaluation.making.water.ion_findings import Findings, ph_window
from zincite.evaluation.making.water.ion_solving import (
    AMORPHOUS,
    GIBBSITE,
    Water,
    WaterState,
    solve_water,
)
from zincite.evaluation.making.water.ions_result import IonCurve, IonsResult, ShareCurve
from zincite.evaluation.making.water.preservation import preservative_fits
from zincite.evaluation.making.water.water_phase import WaterPhase, water_phase_of
from zincite.formula.formula import Formula
from zincite.physics.activity import DAVIES_LIMIT_MOL_L

__all__ = ["AUTO", "PH_RANGE", "evaluate_ions"]

Array = NDArray[np.float64]

PH_RANGE = (4.0, 13.0)
"""pH that can be asked for: zinc oxide beside water, and hydrolysis constants that hold."""
AUTO = "auto"
"""Ionic strength taken from the solution itself."""

_GRID = np.round(np.arange(5.0, 12.0 + 1e-9, 0.05), 2)
_SATURATED_MOL_KG = 6.0  # sodium chloride at 25 degC, from memory
_SMALLEST_SHARE = 5e-4
_COAGULATION_MOL_L = {1: 0.02, 2: 0.008}  # NaCl and CaCl2, trade relation R41


def evaluate_ions(
    formula: Formula | None = None,
    *,
    ph: float | None = None,
    ionic_strength: float | str | None = None,
    exposed_share: float | None = None,
) -> IonsResult:
    """Return ions, complexes and advice of a formula, or of plain water over the oxides.

    Parameters
    ----------
    formula : Formula, optional
        Its water phase, oxides, acids and preservatives; plain water without.
    ph : float, optional
        pH held; left out, the formula's own, else the one that electroneutrality gives.
    ionic_strength : float, "auto" or None
        Number: Davies at that ionic strength [mol/L]. "auto": Davies at the solution's own.
        None: "auto" with a formula, ideal without.
    exposed_share : float, optional
        Share of the pigment surface that is bare, 0 to 1; only 0 changes the equilibrium. [-]

    Returns
    -------
    IonsResult

    Raises
    ------
    OutOfRangeError, InputError
        If pH, ionic strength or share are outside their range.

    References
    ----------
    Trade relations R36 to R41.
    """
    _check(ph, ionic_strength, exposed_share)
    if formula is None:
        return _plain(ph, ionic_strength, exposed_share)
    water = water_phase_of(formula)
    if water.water_percent <= 0:
        return _dry(formula, water, exposed_share)
    return _in_formula(formula, water, ph, ionic_strength, exposed_share)


def _check_ph(ph: float, where: str) -> None:
    if not PH_RANGE[0] <= ph <= PH_RANGE[1]:
        raise OutOfRangeError(
            f"{where} {ph:g}, expected {PH_RANGE[0]:g} to {PH_RANGE[1]:g}: outside, zinc "
            "oxide dissolves without end and the constants do not hold"
        )


def _check(ph: float | None, strength: float | str | None, exposed: float | None) -> None:
    if ph is not None:
        _check_ph(ph, "pH asked for is")
    if isinstance(strength, str):
        if strength != AUTO:
            raise InputError(
                f"ionic strength is {strength!r}, expected a number of mol/L or {AUTO!r}"
            )
    elif strength is not None and not 0 <= strength <= DAVIES_LIMIT_MOL_L:
        raise OutOfRangeError(
            f"ionic strength {strength:g} mol/L asked for, expected 0 to "
            f"{DAVIES_LIMIT_MOL_L:g} mol/L, where the Davies equation holds"
        )
    if exposed is not None and not 0 <= exposed <= 1:
        raise OutOfRangeError(f"exposed share is {exposed:g}, expected 0 to 1")


def _plain(ph: float | None, strength: float | str | None, exposed: float | None) -> IonsResult:
    used = None if strength == 0 else strength
    over_oxide = math.inf if exposed is None or exposed > 0 else 0.0
    state = solve_water(Water({}, over_oxide, "", used), ph)
    at = float(state.ph[0]) if ph is None else ph
    metals = [
        solve_water(Water({}, 0.0, solid, used), at).dissolved_mg_l("Al")[0]
        for solid in (GIBBSITE, AMORPHOUS)
    ]
    alumina = solve_water(Water({}, 0.0, GIBBSITE, used), at)
    zinc = float(state.dissolved_mg_l("Zn")[0])
    found = Findings(None, None, at, None, zinc, (), (), (), None, None, exposed, state)
    return IonsResult(
        at,
        "calculated" if ph is None else "asked for",
        at if ph is None else None,
        zinc,
        zinc,
        zinc,
        float(metals[0]),
        float(metals[1]),
        float(state.equilibrium.ionic_strength_mol_l[0]),
        state.equilibrium.activity,
        {"zinc": _shares(state, "Zn"), "aluminium": _shares(alumina, "Al")},
        _curve(None, None),
        None,
        state,
        None,
        ph_window(None, None),
        None,
        exposed,
        (),
        (),
        (),
        advice_on(found),
        basis_of(None, state, alumina=True),
    )


def _dry(formula: Formula, water: WaterPhase, exposed: float | None) -> IonsResult:
    taken = acids_taken(formula) if water.zinc_oxide_percent else ()
    found = Findings(formula, water, None, None, None, taken, (), (), None, None, exposed, None)
    return IonsResult(
        None, "", None, None, None, None, None, None, None, "", {}, _curve(None, None), water,
        None, None, None, None, exposed, (), taken, (), advice_on(found),
        basis_of(water, None, alumina=False, acids=taken),
    )  # fmt: skip


def _in_formula(
    formula: Formula,
    water: WaterPhase,
    ph: float | None,
    strength: float | str | None,
    exposed: float | None,
) -> IonsResult:
    _check_salt(formula, water)
    bare = exposed is None or exposed > 0
    given = Water(
        water.totals_mol_l(),
        water.zinc_oxide_mol_per_kg_water if bare else 0.0,
        GIBBSITE if water.has_alumina and bare else "",
        AUTO if strength is None else None if strength == 0 else strength,
    )
    free = solve_water(given)
    end = float(free.ph[0])
    stated = formula.water_phase_ph if ph is None else ph
    if ph is None and stated is not None:
        _check_ph(stated, f"formula {formula.code!r} says water_phase_ph =")
    state = free if stated is None else solve_water(given, stated)
    at = end if stated is None else stated
    origin = (
        "calculated"
        if stated is None
        else "asked for"
        if ph is not None
        else "stated in the formula"
    )
    hold = None if stated is None else 1000 * float(state.equilibrium.charge_mol_l[0])
    curve = _curve(given, state)
    window = ph_window(water, curve)
    shares = chelator_shares(state.chemistry, state.equilibrium, at)
    taken = acids_taken(formula) if water.zinc_oxide_percent else ()
    fits = preservative_fits(formula, at)
    labile = float(state.labile_mg_l("Zn")[0])
    salt = _salt_to_coagulation(given)
    found = Findings(formula, water, at, end, labile, taken, shares, fits, window, hold, exposed,
                     state)  # fmt: skip
    metals = _aluminium(given, at)
    return IonsResult(
        at,
        origin,
        end,
        float(state.dissolved_mg_l("Zn")[0]),
        labile,
        float(solve_water(Water({}), np.clip(at, *PH_RANGE)).dissolved_mg_l("Zn")[0]),
        *metals,
        float(state.equilibrium.ionic_strength_mol_l[0]),
        state.equilibrium.activity,
        {
            name: _shares(state, metal)
            for metal, name in (("Zn", "zinc"), ("Al", "aluminium"))
            if metal in state.chemistry.components
        },
        curve,
        water,
        state,
        hold,
        window,
        salt,
        exposed,
        shares,
        taken,
        fits,
        advice_on(found, salt),
        basis_of(water, state, alumina=bool(given.alumina), acids=taken, preserved=bool(fits)),
    )


def _check_salt(formula: Formula, water: WaterPhase) -> None:
    dissolved = math.fsum(part.mol_per_kg_water for part in water.dissolved)
    if dissolved > _SATURATED_MOL_KG:
        names = ", ".join(part.inci for part in water.dissolved)
        raise OutOfRangeError(
            f"formula {formula.code!r}: {water.water_percent:.3g} % water would hold "
            f"{dissolved:.3g} mol/kg of {names}, expected at most {_SATURATED_MOL_KG:g} mol/kg, "
            "what saturated brine holds"
        )


def _aluminium(given: Water, ph: float) -> tuple[float | None, float | None]:
    if not given.alumina:
        return None, None
    waters = [
        Water(given.dissolved_mol_l, given.zinc_oxide_mol_l, solid, given.strength_mol_l)
        for solid in (GIBBSITE, AMORPHOUS)
    ]
    low, high = (float(solve_water(w, ph).dissolved_mg_l("Al")[0]) for w in waters)
    return low, high


def _shares(state: WaterState, metal: str) -> dict[str, float]:
    found = {name: float(share[0]) for name, share in state.shares(metal).items()}
    ranked = sorted(found.items(), key=lambda item: -item[1])
    return {name: share for name, share in ranked if share >= _SMALLEST_SHARE}


def _salt_to_coagulation(given: Water) -> float:
    amounts = given.dissolved_mol_l
    double = amounts.get("Mg", 0.0) + amounts.get("Ca", 0.0)
    return amounts.get("counter", 0.0) / _COAGULATION_MOL_L[1] + double / _COAGULATION_MOL_L[2]


def _curve(given: Water | None, state: WaterState | None) -> IonCurve:
    """Return the sweep; the formula's own strength holds for all of it."""
    plain = solve_water(Water({}), _GRID)
    layers = [solve_water(Water({}, 0.0, solid), _GRID) for solid in (GIBBSITE, AMORPHOUS)]
    shown = plain
    zinc = None
    if given is not None and state is not None and given.zinc_oxide_mol_l > 0:
        strength = None
        if given.strength_mol_l is not None:
            strength = float(state.equilibrium.activity_strength_mol_l[0])
        sweep = Water(given.dissolved_mol_l, given.zinc_oxide_mol_l, given.alumina, strength)
        shown = solve_water(sweep, _GRID)
        zinc = shown.dissolved_mg_l("Zn")
    return IonCurve(
        _GRID,
        plain.dissolved_mg_l("Zn"),
        layers[0].dissolved_mg_l("Al"),
        layers[1].dissolved_mg_l("Al"),
        zinc,
        _share_curves(shown, "Zn"),
        _share_curves(layers[0], "Al"),
        None if zinc is None else shown.labile_mg_l("Zn"),
        shown.oxide_used_up,
    )


def _share_curves(state: WaterState, metal: str) -> tuple[ShareCurve, ...]:
    return tuple(
        ShareCurve(name, share)
        for name, share in state.shares(metal).items()
        if float(share.max()) >= 0.02
    )
