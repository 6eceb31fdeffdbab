"""Which dispersion state goes into the optics: learnt, the card's, the process's or the model's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from zincite.evaluation.dispersion_state import stated_state
from zincite.evaluation.extinction import fit_optical_size
from zincite.evaluation.making.stress.deagglomeration import (
    Kinetics,
    StateDraws,
    process_states,
    smallest_log_nm,
)
from zincite.evaluation.making.stress.energy import StepEnergy, step_energies
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.formula.formula import Formula
from zincite.formula.material import Grade
from zincite.formula.substances import leaves

__all__ = [
    "ProcessedDraws",
    "StateRule",
    "after_change",
    "aggregates_as_made",
    "processed",
    "with_process",
]

Array = NDArray[np.float64]


class StateRule(StrEnum):
    """Where a grade's dispersion state comes from, the strongest first."""

    LEARNT = "learnt from the laboratory's results"
    CARD = "stated on the card, for the process as written"
    PROCESS = "worked out from the process steps"
    DISPERSION = "of the bought dispersion, then the process steps"
    ORDINARY = "ordinary processing, as the model assumes it"


@dataclass(frozen=True, slots=True)
class ProcessedDraws:
    """Draws with the process in them.

    Attributes
    ----------
    draws : ModelDraws
    rules : dict of str to StateRule
        Of each pigment, by material id.
    energies : tuple of StepEnergy
    states : dict of str to StateDraws
        What the steps alone give, by material id.
    """

    draws: ModelDraws
    rules: dict[str, StateRule]
    energies: tuple[StepEnergy, ...] = ()
    states: dict[str, StateDraws] | None = None


def with_process(
    formula: Formula, draws: ModelDraws, *, kinetics: Kinetics | None = None
) -> ModelDraws:
    """Return draws in which the formula's process sets the dispersion state.

    Parameters
    ----------
    formula : Formula
    draws : ModelDraws
    kinetics : mapping of str to DeviceKinetics, optional
        Fitted devices.

    Returns
    -------
    ModelDraws
        The same ones for a formula without process. A laboratory's learnt state stays, then a
        state that a powder's card says; doing it twice changes nothing more.
    """
    return processed(formula, draws, kinetics=kinetics).draws


def processed(
    formula: Formula, draws: ModelDraws, *, kinetics: Kinetics | None = None
) -> ProcessedDraws:
    """Return `with_process` together with what it rests on."""
    grades = _grades(formula)
    if not formula.process or not grades:
        return ProcessedDraws(
            draws, {key: _unprocessed(key, g, draws) for key, g in grades.items()}
        )
    energies = step_energies(formula)
    states = process_states(formula, draws, kinetics=kinetics, energies=energies)
    rules = {key: _rule(key, grade, draws, states.get(key)) for key, grade in grades.items()}
    given = {k: states[k] for k, r in rules.items() if r in (StateRule.PROCESS,
                                                             StateRule.DISPERSION)}  # fmt: skip
    return ProcessedDraws(_replaced(draws, given), rules, energies, states)


def aggregates_as_made(formula: Formula) -> dict[str, tuple[float, float]]:
    """Return each pigment's mass share in aggregates and their median, by material id. [-], [nm]

    Medians of what the optics see: the card's statement, the process's or the shipped model's.
    """
    draws = with_process(formula, shipped_draws())
    found = {}
    for key, grade in _grades(formula).items():
        logit, log_nm = stated_state(_measured(grade), draws)
        share = expit(np.median(draws.grade_logit.get(key, logit)))
        size = np.exp(np.median(draws.grade_log_nm.get(key, log_nm)))
        found[key] = (float(share), float(size))
    return found


def after_change(
    before: Formula, after: Formula, draws: ModelDraws, *, kinetics: Kinetics | None = None
) -> ProcessedDraws:
    """Return the draws of a changed process, the written one calibrated to what is known of it.

    Parameters
    ----------
    before, after : Formula
        The same formula with the process as written, and changed.
    draws : ModelDraws
        Of the formula as written; a laboratory's learnt state belongs to it.

    Notes
    -----
    One-point calibration: a state known for the written process (learnt, or on the card) is
    shifted by what the model says of the change alone, in the logit of the share and in ln size,
    which ends at a few primary particles.
    """
    old = processed(before, draws, kinetics=kinetics)
    new = processed(after, draws, kinetics=kinetics)
    logits, sizes = dict(new.draws.grade_logit), dict(new.draws.grade_log_nm)
    for key, grade in _grades(after).items():
        rule = old.rules[key]
        first, then = (old.states or {}).get(key), (new.states or {}).get(key)
        if rule not in (StateRule.LEARNT, StateRule.CARD) or first is None or then is None:
            continue
        share, size = stated_state(_measured(grade), draws)
        logits[key] = draws.grade_logit.get(key, share) + (then.logit - first.logit)
        moved = draws.grade_log_nm.get(key, size) + (then.log_nm - first.log_nm)
        sizes[key] = np.maximum(moved, smallest_log_nm(grade))
    changed = replace(new.draws, grade_logit=logits, grade_log_nm=sizes)
    return replace(new, draws=changed, rules=old.rules)


def _grades(formula: Formula) -> dict[str, Grade]:
    return {m.id: m.grade for m, percent in leaves(formula) if m.grade is not None and percent > 0}


def _measured(grade: Grade) -> Grade:
    return fit_optical_size(grade)[0] if grade.extinction_nm else grade


def _is_stated(grade: Grade) -> bool:
    return grade.aggregate_fraction is not None or bool(grade.extinction_nm)


def _unprocessed(key: str, grade: Grade, draws: ModelDraws) -> StateRule:
    if key in draws.grade_logit:
        return StateRule.LEARNT
    return StateRule.CARD if _is_stated(grade) else StateRule.ORDINARY


def _rule(key: str, grade: Grade, draws: ModelDraws, state: StateDraws | None) -> StateRule:
    plain = _unprocessed(key, grade, draws)
    if state is None or plain is StateRule.LEARNT:
        return plain
    if state.only_ready:
        return StateRule.DISPERSION
    return plain if plain is StateRule.CARD else StateRule.PROCESS


def _replaced(draws: ModelDraws, states: dict[str, StateDraws]) -> ModelDraws:
    return replace(
        draws,
        grade_logit={**draws.grade_logit, **{k: s.logit for k, s in states.items()}},
        grade_log_nm={**draws.grade_log_nm, **{k: s.log_nm for k, s in states.items()}},
    )
