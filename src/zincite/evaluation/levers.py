"""Levers: what one more percent of each material does."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.appearance import film_reflectance, skin_colours
from zincite.evaluation.film import DriedFilm
from zincite.evaluation.parameters import ModelDraws
from zincite.evaluation.protection import film_transmittance, protection_measures
from zincite.formula.brief import SKIN_CLASSES
from zincite.formula.changes import balance_material
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves_of

__all__ = ["Lever", "film_levers"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Lever:
    """Effect of a change on the film, at the model's centre.

    Attributes
    ----------
    change : str
        In words, such as "+1 % zinc-oxide-120-stearate".
    material : str
        Id of the material, "" for a change of state.
    spf_percent, uva_pf_percent : float
        Relative change of SPF and UVA-PF. [%]
    white_cast_percent : float
        Relative change of the mean CIEDE2000 of the skin classes looked at. [%]
    delta_e00, delta_l : tuple of float
        Change of CIEDE2000 and of dL* on each of `SKIN_CLASSES`. [-]
    """

    change: str
    material: str
    spf_percent: float
    uva_pf_percent: float
    white_cast_percent: float
    delta_e00: tuple[float, ...]
    delta_l: tuple[float, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown = {name: getattr(self, name) for name in self.__slots__}
        for name in ("delta_e00", "delta_l"):
            shown[name] = dict(zip(SKIN_CLASSES, shown[name], strict=True))
        return shown


def film_levers(
    formula: Formula,
    film: DriedFilm,
    centre: ModelDraws,
    *,
    skins: tuple[int, ...],
    ratio: Array,
    shift: Array,
) -> tuple[Lever, ...]:
    """Return levers on protection and whitening, the largest effect on SPF first.

    Parameters
    ----------
    formula : Formula
    film : DriedFilm
        Its film.
    centre : ModelDraws
        One draw.
    skins : tuple of int
        Places of the skin classes whose white cast counts.
    ratio, shift : ndarray
        Corrections to the reference slab at the centre.

    Returns
    -------
    tuple of Lever
        One for each material that brings pigment, then states: half as many aggregates and a
        more even film.

    Notes
    -----
    One percentage point more of a material comes off the balance (rest or water). The film dose
    is a mass, so oils that bring no pigment change protection only through the index and the
    crowding of the film, which is left out here.
    """
    names = [p.material.id for p in film.pigments]
    if not names:
        return ()
    held = np.array([p.percent for p in film.pigments])
    changes: list[tuple[str, str, Array]] = []
    balance = balance_material(formula)
    for material in formula.percent_by_material():
        parts = {
            m.id: share for m, share in leaves_of(formula.materials[material], formula.materials)
        }
        added = np.array([parts.get(name, 0.0) for name in names])
        if material != balance and np.any(added):
            changes.append((f"+1 % {material}", material, 1 + added / held))
    ones = np.ones(len(names))
    factors = np.stack([ones, *(c[2] for c in changes), ones, ones])
    draws = centre.repeated(factors.shape[0])
    shape = draws.film_shape.copy()
    shape[-1] *= 1.2
    draws = replace(
        draws,
        aggregate_logit=_half_of_row(draws.aggregate_logit, -2),
        grade_logit={k: _half_of_row(v, -2) for k, v in draws.grade_logit.items()},
        film_shape=shape,
    )
    passed = film_transmittance(film, draws, mass_factor=factors, coarse=True, ratio=ratio)
    measures = protection_measures(passed, draws)
    colours = skin_colours(film_reflectance(film, draws, mass_factor=factors, shift=shift))
    white = colours.delta_e00[:, list(skins)].mean(axis=1)
    labels = [
        *((c[0], c[1]) for c in changes),
        ("half as many aggregates", ""),
        ("film 20 % more even", ""),
    ]
    levers = [
        Lever(
            label,
            material,
            _relative(measures.spf, row),
            _relative(measures.uva_pf, row),
            _relative(white, row),
            tuple(map(float, colours.delta_e00[row] - colours.delta_e00[0])),
            tuple(map(float, colours.delta_l[row] - colours.delta_l[0])),
        )
        for row, (label, material) in enumerate(labels, start=1)
    ]
    return tuple(sorted(levers, key=lambda lever: -abs(lever.spf_percent)))


def _half_of_row(logit: Array, row: int) -> Array:
    """Return logits of which one is that of half its share."""
    changed = logit.copy()
    changed[row] -= np.log(2 + np.exp(changed[row]))
    return changed


def _relative(values: Array, row: int) -> float:
    return float(100 * (values[row] / values[0] - 1))
