"""What a process leaves of the aggregates, and what a change of it does to SPF and whiteness."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from zincite.evaluation.dispersion_state import stated_state
from zincite.evaluation.estimate import estimate_from_draws
from zincite.evaluation.extinction import fit_optical_size
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.stress.damage import DAMAGE_ASSUMED, exposed_surfaces
from zincite.evaluation.making.stress.deagglomeration import Kinetics
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics
from zincite.evaluation.making.stress.process_cases import (
    CaseOptics,
    Deagglomeration,
    GradeState,
    ProcessCase,
)
from zincite.evaluation.making.stress.process_change import (
    ProcessChange,
    changed_process,
    main_step,
    require_process,
)
from zincite.evaluation.making.stress.process_state import (
    ProcessedDraws,
    StateRule,
    after_change,
    processed,
)
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.evaluation.predicting import FilmResult, simulate_film
from zincite.formula.brief import SKIN_CLASSES, skins_asked
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

__all__ = ["USUAL_MILLS", "what_if"]

Array = NDArray[np.float64]

USUAL_MILLS = (
    ProcessChange.of_device("three-roll-mill", passes=2.0),
    ProcessChange.of_device("bead-mill", passes=3.0),
)
"""Looked at where no change is asked for, beside more of the main step."""

_MUCH_K = 60.0
_LIMITS = (
    "Soft aggregates that part on their own, and too little dispersant that lets freed particles "
    "flocculate again, are not modelled."
)
_NO_DATA = (
    "Rates, limits and end sizes of the devices: assumed; none were found in print for ZnO or TiO2 "
    "in ester oils. Own size analyses replace them (zincite making fit)."
)


def what_if(
    formula: Formula,
    change: ProcessChange | None = None,
    *,
    kinetics: Kinetics | None = None,
    draws: ModelDraws | None = None,
    optics: bool = True,
) -> Deagglomeration:
    """Return the state after the formula's process, and after changes of it.

    Parameters
    ----------
    formula : Formula
    change : ProcessChange, optional
        Asked for; five minutes more and two mills when left out.
    kinetics : mapping of str to DeviceKinetics, optional
        Fitted devices, in place of the assumed ones.
    draws : ModelDraws, optional
        The shipped ones when left out.
    optics : bool
        Whether SPF and whiteness are worked out.

    Raises
    ------
    FormulaError
        If the formula has no process that frees pigment, or a change is not possible.
    """
    require_process(formula)
    used = shipped_draws() if draws is None else draws
    written = processed(formula, used, kinetics=kinetics)
    main_step(written.energies)
    film = simulate_film(formula, written.draws) if optics else None
    cases = [_case("as written", formula, written, film, None)]
    warnings = [said for step in written.energies for said in (*step.warnings, *_hot(step))]
    for wanted in _usual(written) if change is None else (change,):
        changed, words = changed_process(formula, wanted)
        after = after_change(formula, changed, used, kinetics=kinetics)
        moved = simulate_film(changed, after.draws) if optics else None
        cases.append(_case(words, changed, after, moved, film))
        heard = {_unnumbered(said) for said in warnings}
        warnings += [
            f"{words}: {_unnumbered(said)}"
            for step in after.energies
            for said in step.warnings
            if _unnumbered(said) not in heard
        ]
    devices = {**assumed_kinetics(), **(kinetics or {})}
    return Deagglomeration(
        tuple(cases), devices, change is not None, _basis(cases, devices, warnings, written)
    )


def _usual(written: ProcessedDraws) -> tuple[ProcessChange, ...]:
    """Return the changes to look at: longer on the main step, and mills that it is not."""
    main = main_step(written.energies)
    mills = [change for change in USUAL_MILLS if change.device != main.device]
    if main.minutes:
        return (ProcessChange(minutes_more=5.0), *mills)
    settings = main.contents.step.settings
    if main.passes is None or "energy_J_mL" in settings:
        return tuple(mills)
    number = main.contents.number
    return (ProcessChange.of_device(main.device, number, passes=main.passes + 1), *mills)


def _case(
    name: str,
    formula: Formula,
    found: ProcessedDraws,
    film: FilmResult | None,
    before: FilmResult | None,
) -> ProcessCase:
    return ProcessCase(
        name,
        found.energies,
        main_step(found.energies),
        _grades(formula, found),
        exposed_surfaces(formula, found.energies),
        None if film is None else _optics(formula, film, before),
    )


def _grades(formula: Formula, found: ProcessedDraws) -> tuple[GradeState, ...]:
    states = []
    for material, percent in sorted(leaves(formula), key=lambda item: -item[1]):
        grade = material.grade
        if grade is None or percent <= 0:
            continue
        measured = fit_optical_size(grade)[0] if grade.extinction_nm else grade
        share, size = stated_state(measured, found.draws)
        share = found.draws.grade_logit.get(material.id, share)
        size = found.draws.grade_log_nm.get(material.id, size)
        rule = found.rules[material.id]
        assumed = rule not in (StateRule.LEARNT, StateRule.CARD)
        states.append(
            GradeState(
                material.id,
                percent,
                estimate_from_draws(100 * expit(share), unit="%", assumed=assumed),
                estimate_from_draws(np.exp(size), unit="nm", assumed=assumed),
                rule,
            )
        )
    return tuple(states)


def _optics(formula: Formula, film: FilmResult, before: FilmResult | None) -> CaseOptics:
    places = [SKIN_CLASSES.index(name) for name in skins_asked(formula.brief)]
    base = film if before is None else before
    worst = max(places, key=lambda place: float(base.colour_centre.delta_e00[0, place]))

    def cast(result: FilmResult) -> Array:
        return np.asarray(result.colour_draws.delta_l[:, worst])

    def centre(result: FilmResult) -> float:
        return float(result.colour_centre.delta_l[0, worst])

    gain = moved = None
    if before is not None:
        ratio = float(film.centre.spf[0] / before.centre.spf[0])
        gain = estimate_from_draws(
            100 * (film.draws.spf / before.draws.spf - 1), unit="%", centre=100 * (ratio - 1)
        )
        moved = estimate_from_draws(cast(film) - cast(before), centre=centre(film) - centre(before))
    return CaseOptics(
        estimate_from_draws(film.draws.spf, centre=float(film.centre.spf[0])),
        estimate_from_draws(film.draws.uva_pf, centre=float(film.centre.uva_pf[0])),
        estimate_from_draws(cast(film), centre=centre(film)),
        SKIN_CLASSES[worst],
        gain,
        moved,
    )


def _hot(step: StepEnergy) -> tuple[str, ...]:
    if step.rise_K is None or step.rise_K <= _MUCH_K:
        return ()
    return (
        f"Step {step.contents.number} would warm its contents by {step.rise_K:.0f} K without "
        "cooling.",
    )


def _unnumbered(said: str) -> str:
    """Return a sentence on a step without its place, which a step put in before it moves."""
    return said.partition("): ")[2] or said


def _basis(
    cases: Sequence[ProcessCase],
    devices: dict[str, DeviceKinetics],
    warnings: Sequence[str],
    written: ProcessedDraws,
) -> Basis:
    used = {step.device for case in cases for step in case.energies}
    assumed = [said for step in cases[0].energies for said in step.assumed]
    told = {_unnumbered(said) for said in assumed}
    for case in cases[1:]:
        assumed += [
            f"{case.name}: {_unnumbered(said)}"
            for step in case.energies
            for said in step.assumed
            if _unnumbered(said) not in told
        ]
    if any(devices[key].is_assumed for key in used if key in devices):
        assumed.append(_NO_DATA)
    fitted = sorted(key for key in used if key in devices and not devices[key].is_assumed)
    notes = [f"Fitted to own sizes: {', '.join(fitted)}."] if fitted else []
    if any(rule is StateRule.PROCESS for rule in written.rules.values()):
        assumed.append(
            "Powders as supplied: 98 % in lumps of 4 um where a card states no supplied state; "
            "optically lumps beyond 1.6 um count as 1.6 um."
        )
    relations = dict.fromkeys(r for case in cases for s in case.energies for r in s.relations)
    return Basis(
        (*relations, "R31", "R32", *(["R35"] if "bead-mill" in used else [])),
        (*assumed, DAMAGE_ASSUMED),
        (*warnings, *notes, _LIMITS),
    )
