"""A polynomial stand-in for the film model of one formula: what sampling calls a million times."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from zincite.evaluation.film import DriedFilm, build_film
from zincite.evaluation.parameters import PARAMETER_NAMES, draws_from_columns
from zincite.evaluation.plates import DOSE_PLATE_MG_CM2
from zincite.evaluation.protection import (
    film_transmittance,
    protection_measures,
    reference_ratio,
)
from zincite.formula.formula import Formula

__all__ = ["FILM_AXES", "Emulator", "build_emulator", "learnable_grades", "polynomial_terms"]

Array = NDArray[np.float64]

FILM_AXES = ("log_film_shape", "aggregate_log_nm", "zinc_k", "titanium_k")
"""Parameters of every formula; a logit of each learnable grade follows."""

_CENTRE = np.array([np.log(1.3), np.log(300.0), 0.0, 0.0])
_SPREAD = np.array([0.35, 0.55, 1.2, 1.2])
_LOGIT_CENTRE, _LOGIT_SPREAD = -1.0, 1.3
_DESIGN, _REACH = 256, 2.6
_DEGREE = 3
_UV_CORES = ("zinc-oxide", "titanium-dioxide-rutile", "titanium-dioxide-anatase")


@dataclass(frozen=True, slots=True)
class Emulator:
    """Cubic polynomial of one measured quantity in the film's parameters.

    Attributes
    ----------
    grades : tuple of str
        Material ids whose logit is a parameter, after `FILM_AXES`.
    factors : ndarray of int, shape (n_terms, 3)
        Which of (1, x_0, x_1, ...) each monomial multiplies.
    coefficients : ndarray, shape (n_terms,)
        Of the transformed quantity: ln(x - 1) for protection factors, nm for wavelengths.
    error : float
        Root mean square misfit on points it was not fitted to, in the transformed quantity.
    """

    grades: tuple[str, ...]
    factors: NDArray[np.intp]
    coefficients: Array
    error: float

    def __call__(self, film_axes: Array, logits: Array) -> Array:
        """Return the transformed quantity.

        Parameters
        ----------
        film_axes : ndarray, shape (n, 4)
            In the order of `FILM_AXES`.
        logits : ndarray, shape (n, n_grades)

        Returns
        -------
        ndarray, shape (n,)
        """
        return np.asarray(polynomial_terms(film_axes, logits, self.factors) @ self.coefficients)


def learnable_grades(formula: Formula) -> tuple[str, ...]:
    """Return the ids of the formula's UV pigments whose dispersion state can be learnt.

    A card that states its share in aggregates, or an extinction to fit, is taken at its word.
    """
    film = build_film(formula)
    return tuple(
        p.material.id
        for p in film.pigments
        if p.material.grade is not None
        and p.material.grade.core in _UV_CORES
        and p.material.grade.aggregate_fraction is None
        and not p.material.grade.extinction_nm
    )


def polynomial_terms(film_axes: Array, logits: Array, factors: NDArray[np.intp]) -> Array:
    """Return the monomials of the scaled arguments.

    Parameters
    ----------
    film_axes : ndarray, shape (n, 4)
    logits : ndarray, shape (n, n_grades)
    factors : ndarray of int, shape (n_terms, 3)
        Which of (1, x_0, x_1, ...) each monomial multiplies.

    Returns
    -------
    ndarray, shape (n, n_terms)
    """
    film, grades = film_axes.shape[1], logits.shape[1]
    scaled = np.ones((1 + film + grades, film_axes.shape[0]))
    scaled[1 : 1 + film] = ((film_axes - _CENTRE) / _SPREAD).T
    scaled[1 + film :] = ((logits - _LOGIT_CENTRE) / _LOGIT_SPREAD).T
    return np.asarray((scaled[factors[:, 0]] * scaled[factors[:, 1]] * scaled[factors[:, 2]]).T)


def _factors(axes: int) -> NDArray[np.intp]:
    """Return which three of (1, x_0, x_1, ...) each monomial multiplies, up to degree 3."""
    rows = list(combinations_with_replacement(range(axes + 1), _DEGREE))
    return np.asarray(rows, dtype=np.intp)


def build_emulator(formula: Formula, kind: str) -> Emulator:
    """Return the emulator of one kind of result on one formula.

    Parameters
    ----------
    formula : Formula
    kind : str
        A kind of `observations.KINDS` but "aggregate-fraction".

    Returns
    -------
    Emulator
    """
    grades = learnable_grades(formula)
    axes = len(FILM_AXES) + len(grades)
    design = (2 * qmc.Sobol(axes, seed=7).random(_DESIGN) - 1) * _REACH
    film_axes = _CENTRE + _SPREAD * design[:, :4]
    logits = _LOGIT_CENTRE + _LOGIT_SPREAD * design[:, 4:]
    factors = _factors(axes)
    values = _simulate(formula, kind, grades, film_axes, logits)
    # points near the middle count more: there the posterior will be
    weight = np.exp(-0.5 * np.mean((design / 1.8) ** 2, axis=1))
    terms = polynomial_terms(film_axes, logits, factors)
    train = np.arange(_DESIGN) % 8 != 0
    fitted = _least_squares(terms[train], values[train], weight[train])
    misfit = terms[~train] @ fitted - values[~train]
    error = float(np.sqrt(np.average(misfit**2, weights=weight[~train] ** 2)))
    return Emulator(grades, factors, _least_squares(terms, values, weight), error)


def _least_squares(terms: Array, values: Array, weight: Array) -> Array:
    solved, *_ = np.linalg.lstsq(terms * weight[:, None], values * weight, rcond=1e-8)
    return np.asarray(solved)


def _simulate(
    formula: Formula, kind: str, grades: tuple[str, ...], film_axes: Array, logits: Array
) -> Array:
    """Return the transformed quantity of the real model at design points."""
    plate = kind in ("spf-in-vitro", "critical-wavelength")
    count = film_axes.shape[0]
    zero = np.zeros(count)
    columns = dict.fromkeys(PARAMETER_NAMES, zero)
    columns |= {
        "film_shape": np.exp(film_axes[:, 0]),
        "aggregate_log_nm": film_axes[:, 1],
        "zinc_k": film_axes[:, 2],
        "titanium_k": film_axes[:, 3],
        "aggregate_logit": np.full(count, _LOGIT_CENTRE),
    }
    draws = draws_from_columns(columns, {g: logits[:, i] for i, g in enumerate(grades)})
    film: DriedFilm = (
        build_film(formula, dose_mg_cm2=DOSE_PLATE_MG_CM2) if plate else build_film(formula)
    )
    ratio = reference_ratio(film, draws.centre())
    passed = film_transmittance(film, draws, coarse=True, ratio=ratio, over_black=plate)
    measures = protection_measures(passed, draws)
    if kind == "critical-wavelength":
        return measures.critical_wavelength_nm
    factor = measures.uva_pf if kind == "uva-pf-in-vivo" else measures.spf
    return np.asarray(np.log(factor - 1))
