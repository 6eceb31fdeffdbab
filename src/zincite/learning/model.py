"""The hierarchical model of a laboratory: priors, likelihood, all vectorised over walkers.

Every parameter is a standard normal number z under the prior, so the prior is known in closed
form and its calibration can be tested by simulation. From z follow the film on skin, the film on
plates, the aggregates of each grade and disperser, the biases of the panel and of the plates
against the film model, and the scatter from formula to formula.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.errors import MissingDataError
from zincite.evaluation.parameters import shipped_draws
from zincite.evaluation.plates import PLATE_FILM_SHAPE
from zincite.learning.emulator import (
    FILM_AXES,
    Emulator,
    build_emulator,
    learnable_grades,
    polynomial_terms,
)
from zincite.learning.observations import Observation

__all__ = ["GLOBAL_NAMES", "LabModel", "LabParameters", "Predictor", "build_model", "grade_key"]

Array = NDArray[np.float64]

GLOBAL_NAMES = (
    *FILM_AXES,
    "log_plate_shape",
    "panel_bias",
    "plate_bias",
    "log_scatter",
    "aggregate_logit",
    "log_grade_spread",
    "log_method_scatter",
)
"""Parameters of every laboratory; one logit for each grade and disperser follows."""

_AT = {name: place for place, name in enumerate(GLOBAL_NAMES)}
_FILM = [_AT[name] for name in (*FILM_AXES, "aggregate_logit")]

_PLATE = (math.log(PLATE_FILM_SHAPE), 0.15)  # 0.9 to 1.3 of Ferrero 2003 at about 1.2 sigma
_BIAS = 0.25  # ln; two valid panels can differ by a factor of 1.73 (a note to ISO 24444:2019)
_SCATTER = (math.log(0.18), 0.4)  # ln SPF; the residual of the shipped fit, 0.09 to 0.34
_METHOD_SCATTER = (math.log(0.12), 0.5)  # of plates about skin, formula by formula; assumed
_GRADE_SPREAD = (math.log(0.7), 0.4)  # between grades, in logit; assumed
_USUAL_RELATIVE_ERROR = {"spf-in-vivo": 0.08, "uva-pf-in-vivo": 0.10, "spf-in-vitro": 0.08}
_LEAST_RELATIVE_ERROR = 0.01  # plates that agree by chance are no better than their doses
_USUAL_NM, _USUAL_LOGIT = 0.7, 0.35  # of a plate's critical wavelength, of a size analysis
_WAVELENGTH_SCATTER_NM = 1.0


def grade_key(material: str, disperser: str) -> str:
    """Return the name of a grade's dispersion state after one disperser."""
    return f"{material} | {disperser}" if disperser else material


@dataclass(frozen=True, slots=True)
class LabParameters:
    """Parameters in natural units, each of shape (n,), logits (n, n_grades).

    Attributes
    ----------
    film_axes : ndarray, shape (n, 4)
        In the order of `emulator.FILM_AXES`, for skin.
    plate_axes : ndarray, shape (n, 4)
        The same for plates.
    panel_bias, plate_bias : ndarray
        ln of measured over modelled SPF - 1.
    scatter : ndarray
        Standard deviation of ln(SPF - 1) from formula to formula.
    aggregate_logit, grade_spread : ndarray
        Mean and spread of grades' logits.
    method_scatter : ndarray
        Standard deviation of ln(SPF - 1) on plates about skin, from formula to formula.
    logits : ndarray, shape (n, n_grades)
    """

    film_axes: Array
    plate_axes: Array
    panel_bias: Array
    plate_bias: Array
    scatter: Array
    aggregate_logit: Array
    grade_spread: Array
    method_scatter: Array
    logits: Array


@dataclass(frozen=True, slots=True)
class Predictor:
    """One observation ready for the likelihood.

    Attributes
    ----------
    kind : str
    emulator : Emulator or None
        None for a size analysis.
    places : tuple of int
        Which grade logits the emulator takes.
    measured, sigma : float
        Transformed value and its standard error.
    formula_index : int
        Results of one formula share what the model misses of it.
    """

    kind: str
    emulator: Emulator | None
    places: tuple[int, ...]
    measured: float
    sigma: float
    formula_index: int


@dataclass(frozen=True, slots=True)
class Batch:
    """Results that share the arguments of their polynomials.

    Attributes
    ----------
    columns : tuple of int
        Places among the predictors.
    places : tuple of int
        Which grade logits they take.
    on_plates : bool
    factors : ndarray of int or None
        None for size analyses, which read the logit itself.
    coefficients : ndarray, shape (n_terms, n_columns), or None
    """

    columns: tuple[int, ...]
    places: tuple[int, ...]
    on_plates: bool
    factors: NDArray[np.intp] | None
    coefficients: Array | None


@dataclass(frozen=True, slots=True)
class LabModel:
    """A laboratory's data and priors.

    Attributes
    ----------
    grades : tuple of str
        Keys of grade and disperser.
    predictors : tuple of Predictor
    film_mean : ndarray, shape (5,)
    film_root : ndarray, shape (5, 5)
        Mean and Cholesky factor of the shipped posterior of film axes and aggregate logit.
    measured, sigma : ndarray, shape (n_predictors,)
        Transformed results and their standard errors.
    batches : tuple of Batch
        Polynomials with the same arguments, worked out together.
    panel_columns, plate_columns, alone_columns : ndarray of bool, shape (n_predictors,)
        Which results carry the panel's bias, the plates' bias, and no effect of the formula.
    membership : ndarray, shape (n_predictors with an effect, n_formulas)
        1 where a result belongs to a formula.
    """

    grades: tuple[str, ...]
    predictors: tuple[Predictor, ...]
    film_mean: Array
    film_root: Array
    measured: Array
    sigma: Array
    batches: tuple[Batch, ...]
    panel_columns: NDArray[np.bool_]
    plate_columns: NDArray[np.bool_]
    alone_columns: NDArray[np.bool_]
    membership: Array

    @property
    def size(self) -> int:
        """Number of parameters."""
        return len(GLOBAL_NAMES) + len(self.grades)

    def parameters(self, z: Array) -> LabParameters:
        """Return parameters from standard normal numbers, z of shape (n, size)."""

        def scaled(name: str, prior: tuple[float, float]) -> Array:
            return np.asarray(prior[0] + prior[1] * z[:, _AT[name]])

        film = self.film_mean + z[:, _FILM] @ self.film_root.T
        plate = film[:, :4].copy()
        plate[:, 0] = scaled("log_plate_shape", _PLATE)
        spread = np.exp(scaled("log_grade_spread", _GRADE_SPREAD))
        return LabParameters(
            film_axes=film[:, :4],
            plate_axes=plate,
            panel_bias=scaled("panel_bias", (0.0, _BIAS)),
            plate_bias=scaled("plate_bias", (0.0, _BIAS)),
            scatter=np.exp(scaled("log_scatter", _SCATTER)),
            aggregate_logit=film[:, 4],
            grade_spread=spread,
            method_scatter=np.exp(scaled("log_method_scatter", _METHOD_SCATTER)),
            logits=film[:, 4, None] + spread[:, None] * z[:, len(GLOBAL_NAMES) :],
        )

    def expected(self, parameters: LabParameters) -> Array:
        """Return the expected transformed results, bias included, shape (n, n_predictors)."""
        result = np.empty((parameters.scatter.size, len(self.predictors)))
        for batch in self.batches:
            logits = parameters.logits[:, list(batch.places)]
            if batch.coefficients is None or batch.factors is None:
                result[:, batch.columns] = logits
            else:
                axes = parameters.plate_axes if batch.on_plates else parameters.film_axes
                terms = polynomial_terms(axes, logits, batch.factors)
                result[:, batch.columns] = terms @ batch.coefficients
        result[:, self.panel_columns] += parameters.panel_bias[:, None]
        result[:, self.plate_columns] += parameters.plate_bias[:, None]
        return result

    def log_likelihood(self, z: Array) -> Array:
        """Return the log likelihood of each row of z, shape (n,).

        Protection factors of one formula share a normal effect of the scatter's size; it is
        integrated out.
        """
        parameters = self.parameters(z)
        miss = self.measured - self.expected(parameters)
        variance = self.variance(parameters)
        total = np.asarray(-0.5 * np.sum(miss**2 / variance + np.log(variance), axis=1))
        shared = ~self.alone_columns
        pull = (miss[:, shared] / variance[:, shared]) @ self.membership
        information = (1 / variance[:, shared]) @ self.membership
        scatter2 = parameters.scatter[:, None] ** 2
        total += 0.5 * np.sum(pull**2 / (1 / scatter2 + information), axis=1)
        total -= 0.5 * np.sum(np.log1p(scatter2 * information), axis=1)
        return np.where(np.isfinite(total), total, -np.inf)

    def variance(self, parameters: LabParameters) -> Array:
        """Return each result's own variance, the formula's shared effect left out.

        Shape (n, n_predictors); results on plates scatter about skin besides.
        """
        method = np.where(self.plate_columns, parameters.method_scatter[:, None] ** 2, 0.0)
        return np.asarray(self.sigma**2 + method)

    def log_posterior(self, z: Array) -> Array:
        """Return the log posterior up to a constant, z of shape (n, size)."""
        return np.asarray(self.log_likelihood(z) - 0.5 * np.sum(z**2, axis=1))

    def without(self, formula_index: int) -> LabModel:
        """Return the model without one formula's results."""
        return self.with_predictors(
            tuple(p for p in self.predictors if p.formula_index != formula_index)
        )

    def with_predictors(self, predictors: tuple[Predictor, ...]) -> LabModel:
        """Return the model with other results of the same grades."""
        return _assembled(self.grades, predictors, self.film_mean, self.film_root)


def _assembled(
    grades: tuple[str, ...], predictors: tuple[Predictor, ...], mean: Array, root: Array
) -> LabModel:
    """Return the model with everything that the likelihood needs laid out in arrays."""
    kinds = np.array([p.kind for p in predictors], dtype=object)
    alone = np.isin(kinds, ["aggregate-fraction", "critical-wavelength"])
    owners = np.array([p.formula_index for p in predictors])[~alone]
    formulas = np.unique(owners)
    return LabModel(
        grades=grades,
        predictors=predictors,
        film_mean=mean,
        film_root=root,
        measured=np.array([p.measured for p in predictors]),
        sigma=np.array([p.sigma for p in predictors]),
        batches=_batches(predictors),
        panel_columns=np.isin(kinds, ["spf-in-vivo", "uva-pf-in-vivo"]),
        plate_columns=kinds == "spf-in-vitro",
        alone_columns=alone,
        membership=(owners[:, None] == formulas).astype(float),
    )


def _batches(predictors: tuple[Predictor, ...]) -> tuple[Batch, ...]:
    """Gather results whose polynomials take the same arguments."""
    gathered: dict[tuple[bool, bool, tuple[int, ...]], list[int]] = {}
    for column, predictor in enumerate(predictors):
        on_plates = predictor.kind in ("spf-in-vitro", "critical-wavelength")
        key = (predictor.emulator is None, on_plates, predictor.places)
        gathered.setdefault(key, []).append(column)
    batches = []
    for (direct, on_plates, places), columns in gathered.items():
        emulators = [e for e in (predictors[c].emulator for c in columns) if e is not None]
        if direct or not emulators:
            batches += [Batch((column,), places, on_plates, None, None) for column in columns]
            continue
        stacked = np.stack([e.coefficients for e in emulators], axis=1)
        batches.append(Batch(tuple(columns), places, on_plates, emulators[0].factors, stacked))
    return tuple(batches)


def build_model(observations: Sequence[Observation]) -> LabModel:
    """Return the model of a laboratory's results.

    Parameters
    ----------
    observations : sequence of Observation

    Returns
    -------
    LabModel

    Raises
    ------
    MissingDataError
        If there is no result, or a size analysis is of a grade that no formula holds.
    """
    if not observations:
        raise MissingDataError("no measured result to learn from, expected at least one")
    keys: dict[str, int] = {}
    formulas: dict[int, int] = {}
    emulators: dict[tuple[int, str], Emulator] = {}
    predictors: list[Predictor] = []
    for result in observations:
        identity = id(result.formula)
        index = formulas.setdefault(identity, len(formulas))
        if result.kind == "aggregate-fraction":
            names: tuple[str, ...] = (result.material,)
            if result.material not in learnable_grades(result.formula):
                raise MissingDataError(
                    f"formula {result.formula.code!r} holds no grade {result.material!r}"
                )
            emulator = None
        else:
            if (identity, result.kind) not in emulators:
                emulators[identity, result.kind] = build_emulator(result.formula, result.kind)
            emulator = emulators[identity, result.kind]
            names = emulator.grades
        places = tuple(
            keys.setdefault(grade_key(name, result.disperser), len(keys)) for name in names
        )
        measured, sigma = _transformed(result, emulator)
        predictors.append(Predictor(result.kind, emulator, places, measured, sigma, index))
    return _assembled(tuple(keys), tuple(predictors), *_shipped_film())


def _transformed(result: Observation, emulator: Emulator | None) -> tuple[float, float]:
    """Return value and standard error on the scale of the likelihood."""
    given = result.standard_error
    if result.kind == "aggregate-fraction":
        share = result.value
        logit = math.log(share / (1 - share))
        return logit, max(given / (share * (1 - share)), 0.05) if given else _USUAL_LOGIT
    blur = emulator.error if emulator is not None else 0.0
    if result.kind == "critical-wavelength":
        return result.value, math.hypot(given or _USUAL_NM, blur, _WAVELENGTH_SCATTER_NM)
    relative = _USUAL_RELATIVE_ERROR[result.kind]
    if given:
        relative = max(given / (result.value - 1), _LEAST_RELATIVE_ERROR)
    return math.log(result.value - 1), math.hypot(relative, blur)


def _shipped_film() -> tuple[Array, Array]:
    """Return mean and Cholesky factor of the shipped posterior of the film's parameters."""
    draws = shipped_draws()
    columns = np.stack(
        [
            np.log(draws.film_shape),
            draws.aggregate_log_nm,
            draws.zinc_k,
            draws.titanium_k,
            draws.aggregate_logit,
        ]
    )
    return columns.mean(axis=1), np.linalg.cholesky(np.cov(columns))
