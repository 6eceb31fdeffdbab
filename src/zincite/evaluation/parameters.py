"""Draws of the model's parameters: the shipped posterior, or a laboratory's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from zincite.data.tables import read_table

__all__ = ["PARAMETER_NAMES", "ModelDraws", "draws_from_columns", "shipped_draws"]

Array = NDArray[np.float64]

_MODEL_TABLE = "model/film_posterior.csv"


@dataclass(frozen=True, slots=True)
class ModelDraws:
    """Joint draws of what a prediction does not know; every field has shape (n_draws,).

    Attributes
    ----------
    film_shape : ndarray
        Evenness c of the film on skin (gamma heights). [-]
    aggregate_logit : ndarray
        Logit of the mass share of pigment in aggregates, where the card has none. [-]
    aggregate_log_nm : ndarray
        Natural logarithm of the aggregates' median diameter in nm.
    zinc_k, titanium_k, iron_k : ndarray
        Deviation of ln k of the core in its own standard deviations. [-]
    lamp, uva_lamp, darkening : ndarray
        Tilt of simulator, UVA lamp and pigment-darkening spectrum, in standard deviations. [-]
    residual : ndarray
        Logarithm of what the film model misses of a measured SPF.
    viscosity : ndarray
        Standard normal number for the viscosity model. [-]
    grade_logit : dict of str to ndarray
        Logit of the mass share in aggregates of single grades, by material id, where a laboratory
        has learnt it or the process gives it; it overrides the card and `aggregate_logit`. [-]
    grade_log_nm : dict of str to ndarray
        Natural logarithm of the aggregates' median in nm of grades whose state the process gives;
        it overrides the card and `aggregate_log_nm`.
    """

    film_shape: Array
    aggregate_logit: Array
    aggregate_log_nm: Array
    zinc_k: Array
    titanium_k: Array
    iron_k: Array
    lamp: Array
    uva_lamp: Array
    darkening: Array
    residual: Array
    viscosity: Array
    grade_logit: dict[str, Array] = field(default_factory=dict)
    grade_log_nm: dict[str, Array] = field(default_factory=dict)

    @property
    def size(self) -> int:
        """Number of draws."""
        return int(self.film_shape.size)

    def centre(self) -> ModelDraws:
        """Return one draw at the median of every parameter, normal numbers at 0."""
        zero = np.zeros(1)
        return ModelDraws(
            film_shape=np.array([np.median(self.film_shape)]),
            aggregate_logit=np.array([np.median(self.aggregate_logit)]),
            aggregate_log_nm=np.array([np.median(self.aggregate_log_nm)]),
            zinc_k=np.array([np.median(self.zinc_k)]),
            titanium_k=np.array([np.median(self.titanium_k)]),
            iron_k=zero,
            lamp=zero,
            uva_lamp=zero,
            darkening=zero,
            residual=np.array([np.median(self.residual)]),  # a laboratory's bias stays
            viscosity=zero,
            grade_logit={k: np.array([np.median(v)]) for k, v in self.grade_logit.items()},
            grade_log_nm={k: np.array([np.median(v)]) for k, v in self.grade_log_nm.items()},
        )

    def first(self, count: int) -> ModelDraws:
        """Return the first draws; the order of the table is random."""
        return self._each(lambda values: values[:count])

    def repeated(self, count: int) -> ModelDraws:
        """Return the draws repeated one by one, for a batch of formulas."""
        return self._each(lambda values: np.repeat(values, count))

    def _each(self, change: Callable[[Array], Array]) -> ModelDraws:
        return draws_from_columns(
            {name: change(getattr(self, name)) for name in PARAMETER_NAMES},
            {key: change(values) for key, values in self.grade_logit.items()},
            {key: change(values) for key, values in self.grade_log_nm.items()},
        )


PARAMETER_NAMES = tuple(f.name for f in fields(ModelDraws) if not f.name.startswith("grade_"))


@lru_cache(maxsize=1)
def shipped_draws() -> ModelDraws:
    """Return the posterior that ships, fitted to published formulas.

    Its table is made by `scripts/fit_film_model.py`; the documentation tells how well it
    predicts each formula that it was not shown.
    """
    table = read_table(_MODEL_TABLE)
    return draws_from_columns({name: table[name] for name in PARAMETER_NAMES})


def draws_from_columns(
    columns: Mapping[str, Array],
    grade_logit: Mapping[str, Array] | None = None,
    grade_log_nm: Mapping[str, Array] | None = None,
) -> ModelDraws:
    """Return draws from columns by name.

    Parameters
    ----------
    columns : mapping of str to ndarray, shape (n_draws,)
        One for each of `PARAMETER_NAMES`.
    grade_logit : mapping of str to ndarray, optional
        Of learnt grades.
    grade_log_nm : mapping of str to ndarray, optional
        Of grades whose state the process gives.
    """
    plain: dict[str, Any] = {name: columns[name] for name in PARAMETER_NAMES}
    return ModelDraws(
        **plain, grade_logit=dict(grade_logit or {}), grade_log_nm=dict(grade_log_nm or {})
    )
