"""Tint solver: iron-oxide levels that leave chosen skins least changed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from zincite.errors import MissingDataError, OutOfRangeError
from zincite.evaluation.appearance import film_reflectance, reference_shift, skin_colours
from zincite.evaluation.film import DriedFilm, build_film
from zincite.evaluation.making.stress.process_state import with_process
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.formula.brief import SKIN_CLASSES
from zincite.formula.changes import with_amounts
from zincite.formula.formula import Formula
from zincite.formula.library import library
from zincite.formula.material import Material
from zincite.formula.substances import leaves

__all__ = ["TintProposal", "solve_tint"]

Array = NDArray[np.float64]

_COLOURS = {
    "iron-oxide-yellow": "ci-77492",
    "iron-oxide-red": "ci-77491",
    "iron-oxide-black": "ci-77499",
}
_STARTS = ((0.80, 0.13, 0.07), (0.4, 0.4, 0.2), (0.6, 0.35, 0.05), (0.1, 0.1, 0.05))
"""First: yellow : red : black = 12.5 : 2 : 1 of a published skin tint (trade relation R51)."""


@dataclass(frozen=True, slots=True)
class TintProposal:
    """Iron-oxide levels and what they do.

    Attributes
    ----------
    percent : dict of str to float
        Level of each iron-oxide card in the formula. [%]
    skin_classes : tuple of str
        Skins that were weighed.
    delta_e00_before, delta_e00_after : dict of str to float
        By skin class, at the model's centre. [-]
    formula : Formula
        The tinted formula, balanced.
    """

    percent: dict[str, float]
    skin_classes: tuple[str, ...]
    delta_e00_before: dict[str, float]
    delta_e00_after: dict[str, float]
    formula: Formula

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "iron_oxide_percent": self.percent,
            "skin_classes": list(self.skin_classes),
            "delta_e00_before": self.delta_e00_before,
            "delta_e00_after": self.delta_e00_after,
        }


def solve_tint(
    formula: Formula,
    skin_classes: tuple[str, ...] = SKIN_CLASSES,
    *,
    limit_percent: float = 3.0,
    draws: ModelDraws | None = None,
) -> TintProposal:
    """Return the iron-oxide levels with the least mean square white cast.

    Parameters
    ----------
    formula : Formula
        Iron oxides that it holds are replaced; pigments keep their levels.
    skin_classes : tuple of str
        Skins to suit.
    limit_percent : float
        Largest sum of iron oxides, 0 to 20. [%]
    draws : ModelDraws, optional
        Posterior draws, of which the centre is used; the shipped ones when left out.

    Returns
    -------
    TintProposal

    Raises
    ------
    OutOfRangeError
        If a skin class is unknown or the limit impossible.
    MissingDataError
        If the formula holds no pigment to tint.

    Notes
    -----
    Minimises the mean over the skins of dE00^2 (SLSQP from several starts) at the model's centre
    with the reference slab's correction renewed at the solution. Yellow iron oxide has no
    measured index (see its data note): try the shade on a card before trusting it.
    """
    unknown = [name for name in skin_classes if name not in SKIN_CLASSES]
    if unknown or not skin_classes:
        raise OutOfRangeError(
            f"skin class is {', '.join(unknown) or 'none'}, expected {', '.join(SKIN_CLASSES)}"
        )
    if not 0 < limit_percent <= 20:
        raise OutOfRangeError(f"iron-oxide limit is {limit_percent:g} %, expected above 0 to 20 %")
    cards = _iron_cards(formula)
    names = tuple(cards)
    guess = dict.fromkeys(names, limit_percent / 6)
    tinted = with_amounts(formula, guess, cards=cards)
    centre = with_process(tinted, shipped_draws() if draws is None else draws).centre()
    film = build_film(tinted)
    if len(film.pigments) == len(names):
        raise MissingDataError(f"formula {formula.code!r} holds no white pigment to tint")
    skins = [SKIN_CLASSES.index(name) for name in skin_classes]
    places = [[p.material.id for p in film.pigments].index(name) for name in names]
    held = np.array([guess[name] for name in names])
    levels = _solve(film, centre, places, held, skins, limit_percent)
    percent = {name: float(round(v, 3)) for name, v in zip(names, levels, strict=True)}
    proposal = with_amounts(formula, percent, cards=cards)
    return TintProposal(
        percent,
        skin_classes,
        _differences(formula, centre, skin_classes),
        _differences(proposal, centre, skin_classes),
        proposal,
    )


def _iron_cards(formula: Formula) -> dict[str, Material]:
    """Return the formula's own iron-oxide card of each colour, else the library's."""
    own = {m.grade.core: m for m, _ in leaves(formula) if m.grade is not None}
    chosen = [own.get(core) or library()[card] for core, card in _COLOURS.items()]
    return {material.id: material for material in chosen}


def _solve(
    film: DriedFilm,
    centre: ModelDraws,
    places: list[int],
    held: Array,
    skins: list[int],
    limit: float,
) -> Array:
    shift = reference_shift(film, centre)

    def misfit(rows: Array) -> Array:
        """Mean square dE00 of each row of levels."""
        factors = np.ones((rows.shape[0], len(film.pigments)))
        factors[:, places] = rows / held
        many = centre.repeated(rows.shape[0])
        colours = skin_colours(film_reflectance(film, many, mass_factor=factors, shift=shift))
        return np.asarray(np.mean(colours.delta_e00[:, skins] ** 2, axis=1))

    def value_and_slope(levels: Array) -> tuple[float, Array]:
        step = 1e-3 * np.maximum(levels, 0.05)
        rows = np.concatenate([levels + np.diag(step), np.maximum(levels - np.diag(step), 0)])
        found = misfit(np.vstack([levels, rows]))
        count = levels.size
        width = rows[:count].diagonal() - rows[count:].diagonal()
        return float(found[0]), (found[1 : count + 1] - found[count + 1 :]) / width

    best: tuple[float, Array] | None = None
    for round_number in range(2):
        for start in _STARTS if round_number == 0 else (best[1] / limit,) if best else ():
            result = minimize(
                value_and_slope,
                np.array(start) * limit * (0.5 if round_number == 0 else 1.0),
                jac=True,
                method="SLSQP",
                bounds=[(0.0, limit)] * len(places),
                constraints=[{"type": "ineq", "fun": lambda v: limit - v.sum()}],
                options={"maxiter": 60, "ftol": 1e-4},
            )
            levels = np.clip(result.x, 0.0, limit)
            if best is None or round_number == 1 or result.fun < best[0]:
                best = (float(result.fun), levels)
        if best is not None:
            scale = np.ones(len(film.pigments))
            scale[places] = best[1] / held
            moved = tuple(
                replace(p, core_mass_g_m2=p.core_mass_g_m2 * scale[i])
                for i, p in enumerate(film.pigments)
            )
            shift = reference_shift(replace(film, pigments=moved), centre)
    return best[1] if best is not None else held


def _differences(formula: Formula, centre: ModelDraws, names: tuple[str, ...]) -> dict[str, float]:
    film = build_film(formula)
    shift = reference_shift(film, centre)
    colours = skin_colours(film_reflectance(film, centre, shift=shift))
    return {name: float(colours.delta_e00[0, SKIN_CLASSES.index(name)]) for name in names}
