"""What limits a prediction, said in sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from zincite.evaluation.film import DriedFilm
from zincite.evaluation.making.stress.process_state import ProcessedDraws, StateRule
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

if TYPE_CHECKING:
    from zincite.evaluation.predicting import FilmResult

__all__ = ["prediction_warnings"]

_FULL_FILM = 0.40
_WORTH_SAYING_PERCENT = 0.1


def prediction_warnings(
    formula: Formula, film: DriedFilm, result: FilmResult, process: ProcessedDraws
) -> tuple[str, ...]:
    """Return the warnings of a prediction.

    Parameters
    ----------
    formula : Formula
    film : DriedFilm
    result : FilmResult
    process : ProcessedDraws
        Where the dispersion state of each grade comes from.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    found: list[str] = []
    if not film.pigments:
        found.append("The formula holds no pigment of this model, so it protects by nothing here.")
    absorbers = [
        m.inci
        for m, percent in leaves(formula)
        if m.uv_absorbing and percent >= _WORTH_SAYING_PERCENT
    ]
    if absorbers:
        found.append(
            f"{', '.join(absorbers)} absorb UV themselves; the model leaves that out, so the "
            "measured SPF may be higher and a mineral-only claim does not hold."
        )
    if film.pigment_volume_fraction > _FULL_FILM:
        found.append(
            f"Pigment fills {100 * film.pigment_volume_fraction:.0f} % of the dried film, beyond "
            f"the {100 * _FULL_FILM:.0f} % for which crowding is modelled."
        )
    found += _state_warnings(process)
    found += _grade_warnings(film)
    if any(p.k_name == "titanium_k" for p in film.pigments):
        found.append(
            "The absorption of rutile at 340-390 nm is known to a factor of 2; the interval holds "
            "it."
        )
    if result.centre.spf[0] > 60:
        found.append(
            "Above SPF 60 the model extrapolates: no published mineral formula of the fit tested "
            "higher than 50."
        )
    return tuple(found)


def _state_warnings(process: ProcessedDraws) -> list[str]:
    """Return where the dispersion states come from, one sentence a rule."""

    def of(rule: StateRule) -> str:
        return ", ".join(key for key, found in process.rules.items() if found is rule)

    found: list[str] = []
    if free := of(StateRule.ORDINARY):
        found.append(
            f"The dispersion state of {free} is assumed (ordinary processing); a measured size "
            "curve or extinction on the card narrows the interval."
        )
    if worked := of(StateRule.PROCESS):
        found.append(
            f"The dispersion state of {worked} is worked out from the process steps, with assumed "
            "rates and limits of the devices unless own sizes were fitted (zincite making fit)."
        )
    if bought := of(StateRule.DISPERSION):
        found.append(
            f"{bought} comes in a bought dispersion: the process steps start from its state, not "
            "from the powder."
        )
    if process.energies and (stated := of(StateRule.CARD)):
        found.append(
            f"The dispersion state of {stated} is the card's; it holds for the process steps as "
            "written (zincite making deagglomeration says what a change does)."
        )
    for step in process.energies:
        found += [said for said in step.warnings if said not in found]
    return found


def _grade_warnings(film: DriedFilm) -> list[str]:
    found: list[str] = []
    assumed = [
        p.material.id
        for p in film.pigments
        if p.material.grade is not None and p.material.grade.evidence.value == "assumed"
    ]
    if assumed:
        found.append(
            f"Sizes and coating of {', '.join(assumed)} are those of a generic card; take the "
            "lot's data sheet."
        )
    return found
