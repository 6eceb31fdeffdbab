"""A laboratory's posterior: kept in a file, read back, and turned into draws for predictions."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.formula.formula import Formula
from zincite.learning.emulator import learnable_grades
from zincite.learning.model import LabModel, grade_key

__all__ = ["FORMAT", "LabPosterior", "load_posterior", "posterior_from_draws", "save_posterior"]

Array = NDArray[np.float64]

FORMAT = "zincite laboratory posterior 1"
_KEPT = 400
_COLUMNS = (
    "film_shape",
    "aggregate_log_nm",
    "zinc_k",
    "titanium_k",
    "plate_shape",
    "panel_bias",
    "plate_bias",
    "scatter",
    "method_scatter",
    "aggregate_logit",
)


@dataclass(frozen=True, slots=True)
class LabPosterior:
    """Draws of a laboratory's parameters.

    Attributes
    ----------
    laboratory : str
        Name as the results file gives it.
    columns : dict of str to ndarray, shape (n,)
        Parameters in natural units.
    grade_logit : dict of str to ndarray, shape (n,)
        Logit of the share in aggregates by `model.grade_key`.
    report : dict
        What the fit said of itself: convergence, checks, errors before and after.
    """

    laboratory: str
    columns: dict[str, Array]
    grade_logit: dict[str, Array]
    report: dict[str, Any]

    @property
    def size(self) -> int:
        """Number of draws."""
        return int(self.columns["film_shape"].size)

    @property
    def title(self) -> str:
        """How predictions call this model."""
        name = self.laboratory or "a laboratory"
        count = self.report.get("results")
        return f"model of {name}, fitted to {count if count else 'its'} results"

    def draws_for(self, formula: Formula) -> ModelDraws:
        """Return draws for predicting a panel's SPF of a formula made in this laboratory.

        Grades are looked up with the formula's last process device, then without one. The
        laboratory's panel bias and its scatter from formula to formula become the residual.

        Parameters
        ----------
        formula : Formula

        Returns
        -------
        ModelDraws
        """
        c, even = self.columns, shipped_draws()
        rows = np.arange(self.size) % even.size
        disperser = formula.process[-1].device if formula.process else ""
        logits: dict[str, Array] = {}
        for material in learnable_grades(formula):
            for key in (grade_key(material, disperser), material):
                if key in self.grade_logit:
                    logits[material] = self.grade_logit[key]
                    break
        spread = even.residual / max(float(np.std(even.residual)), 1e-12)
        return ModelDraws(
            film_shape=c["film_shape"],
            aggregate_logit=c["aggregate_logit"],
            aggregate_log_nm=c["aggregate_log_nm"],
            zinc_k=c["zinc_k"],
            titanium_k=c["titanium_k"],
            iron_k=even.iron_k[rows],
            lamp=even.lamp[rows],
            uva_lamp=even.uva_lamp[rows],
            darkening=even.darkening[rows],
            residual=c["panel_bias"] + c["scatter"] * spread[rows],
            viscosity=even.viscosity[rows],
            grade_logit=logits,
        )


def posterior_from_draws(
    model: LabModel, draws: Array, laboratory: str, report: dict[str, Any], *, seed: int = 0
) -> LabPosterior:
    """Return the posterior in natural units from standard normal draws.

    Parameters
    ----------
    model : LabModel
    draws : ndarray, shape (n, size)
    laboratory : str
    report : dict
    seed : int
        Of the choice of the draws that are kept.

    Returns
    -------
    LabPosterior
    """
    rng = np.random.default_rng(seed)
    picked = draws[rng.choice(draws.shape[0], _KEPT, replace=draws.shape[0] < _KEPT)]
    p = model.parameters(picked)
    columns = {
        "film_shape": np.exp(p.film_axes[:, 0]),
        "aggregate_log_nm": p.film_axes[:, 1],
        "zinc_k": p.film_axes[:, 2],
        "titanium_k": p.film_axes[:, 3],
        "plate_shape": np.exp(p.plate_axes[:, 0]),
        "panel_bias": p.panel_bias,
        "plate_bias": p.plate_bias,
        "scatter": p.scatter,
        "method_scatter": p.method_scatter,
        # a grade never met: the mean of grades and their spread
        "aggregate_logit": p.aggregate_logit + p.grade_spread * rng.standard_normal(_KEPT),
    }
    grades = {name: p.logits[:, i] for i, name in enumerate(model.grades)}
    return LabPosterior(laboratory, columns, grades, report)


def save_posterior(posterior: LabPosterior, path: str | Path) -> None:
    """Write a posterior as JSON, by way of a new file so that nothing is half written.

    Parameters
    ----------
    posterior : LabPosterior
    path : str or Path

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    from zincite import __version__

    target = Path(path)
    content = {
        "format": FORMAT,
        "software": f"zincite {__version__}",
        "laboratory": posterior.laboratory,
        "columns": {k: [float(f"{x:.6g}") for x in v] for k, v in posterior.columns.items()},
        "grade_logit": {
            k: [float(f"{x:.6g}") for x in v] for k, v in posterior.grade_logit.items()
        },
        "report": posterior.report,
    }
    scratch = target.with_name(target.name + ".part")
    try:
        scratch.write_text(json.dumps(content, indent=1), encoding="utf-8")
        scratch.replace(target)
    except OSError as error:
        reason = error.strerror or error
        raise InputError(f"cannot write {target}: {reason}, expected a writable file") from error


def load_posterior(path: str | Path) -> LabPosterior:
    """Return a posterior that `save_posterior` wrote.

    Parameters
    ----------
    path : str or Path

    Returns
    -------
    LabPosterior

    Raises
    ------
    InputError
        If the file is missing, is no posterior or holds impossible numbers.
    """
    source = Path(path)
    try:
        content = json.loads(source.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise InputError(
            f"{source}: not readable as a laboratory posterior, expected the file that "
            "`zincite learn` wrote"
        ) from error
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise InputError(f"{source}: expected a file of the format {FORMAT!r}")
    try:
        columns = {name: _numbers(content["columns"][name]) for name in _COLUMNS}
        grades = {str(k): _numbers(v) for k, v in content["grade_logit"].items()}
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise InputError(f"{source}: parameter {error} is missing or no list of numbers") from error
    sizes = {v.size for v in (*columns.values(), *grades.values())}
    if len(sizes) != 1 or sizes == {0}:
        raise InputError(f"{source}: parameters have {sorted(sizes)} draws, expected as many each")
    if not np.all((columns["film_shape"] > 0) & (columns["scatter"] >= 0)):
        raise InputError(f"{source}: film_shape or scatter is negative, expected above 0")
    return LabPosterior(
        str(content.get("laboratory", "")), columns, grades, dict(content.get("report", {}))
    )


def _numbers(values: object) -> Array:
    numbers = np.asarray(values, dtype=float)
    if numbers.ndim != 1 or not np.all(np.isfinite(numbers)):
        raise ValueError("with a missing number")
    return numbers
