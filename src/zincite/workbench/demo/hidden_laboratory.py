"""The truth behind the demo's instrument files: the product's own models with hidden settings."""

from __future__ import annotations

import math
import zlib
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from zincite.evaluation.appearance import bare_lab, film_contrast_ratio
from zincite.evaluation.density import density_g_ml
from zincite.evaluation.making.emulsions.emulsion import judge_emulsion
from zincite.evaluation.making.stress.process_state import with_process
from zincite.evaluation.making.water.ions import evaluate_ions
from zincite.evaluation.parameters import (
    PARAMETER_NAMES,
    ModelDraws,
    draws_from_columns,
    shipped_draws,
)
from zincite.evaluation.plates import simulate_plate
from zincite.evaluation.predicting import FilmResult, simulate_film
from zincite.evaluation.viscosity import flow_volumes, structureless_mPas
from zincite.formula.brief import SKIN_CLASSES
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.reading import load_formula
from zincite.formula.substances import leaves
from zincite.workbench.demo.story import DEMO_FOLDER, DemoTrial, table

__all__ = ["Truth", "random_of"]

Array = NDArray[np.float64]

_VISCOSITY_SCATTER = 0.06  # ln, from batch to batch
_SHARE_SCATTER, _SIZE_SCATTER = 0.08, 0.03  # of the aggregates: logit of their share, ln size


@lru_cache(maxsize=1)
def _settings() -> dict[str, Any]:
    return table("laboratory")


def _model() -> dict[str, float]:
    found: dict[str, float] = _settings()["model"]
    return found


def random_of(*names: str) -> np.random.Generator:
    """Return random numbers that belong to a name, the same in every run."""
    return np.random.default_rng([_settings()["seed"], zlib.crc32(" ".join(names).encode())])


@dataclass(frozen=True, eq=False)
class Truth:
    """What a perfect laboratory would find in one batch; each figure is worked out when asked for.

    Attributes
    ----------
    trial : DemoTrial
    """

    trial: DemoTrial

    @cached_property
    def spf(self) -> float:
        """On this laboratory's people. [-]"""
        return 1 + (float(self._film.draws.spf[0]) - 1) * self._on("panel_bias")

    @cached_property
    def uva_pf(self) -> float:
        """On this laboratory's people. [-]"""
        return 1 + (float(self._film.draws.uva_pf[0]) - 1) * self._on("panel_bias")

    @cached_property
    def absorbance(self) -> Array:
        """On its plates before irradiation, shape (111,). [-]"""
        shape = np.array([_model()["plate_shape"]])
        plate = simulate_plate(self.trial.formula, self._draws, film_shape=shape)
        opacity = 1 / plate.transmittance_draws[0] - 1
        return np.asarray(np.log10(1 + opacity * self._on("plate_bias")))

    @property
    def kept(self) -> float:
        """Share of the absorbance that stays under the UVA lamp. [-]"""
        return 1 - _model()["loss_percent"] / 100

    @cached_property
    def skin(self) -> dict[str, tuple[Array, Array]]:
        """L*a*b* of bare skin and of skin with film, by skin class."""
        bare, films = bare_lab(), self._film.colour_draws.lab[0]
        return {
            name: (bare[n], bare[n] + _model()["paler"] * (films[n] - bare[n]))
            for n, name in enumerate(SKIN_CLASSES)
        }

    @cached_property
    def contrast_percent(self) -> float:
        """Of the film over black and white. [%]"""
        return float(film_contrast_ratio(self._film.film, self._draws)[0])

    @cached_property
    def viscosity_mPas(self) -> float:  # noqa: N802
        """At 1/s. [mPa s]"""
        formula, told = self.trial.formula, _settings()
        flowing = flow_volumes(leaves(formula), formula.materials)
        plain = float(structureless_mPas(flowing, self.aggregates[0]))
        used = formula.percent_by_material()
        gellant: float = math.prod(v for key, v in told["gellant"].items() if key in used)
        thicker = math.prod(e.get("thicker_times", 1.0) for e in _effects(self.trial))
        if _dry(formula):
            thicker *= float(told["wetting"]["thicker_times"])
        batch = math.exp(_VISCOSITY_SCATTER * random_of(self.trial.code).standard_normal())
        return plain * _model()["structure"] * gellant * thicker * batch

    @property
    def density_g_ml(self) -> float:
        """With the air that was stirred in. [g/mL]"""
        return density_g_ml(self.trial.formula).median * (1 - _model()["air_percent"] / 100)

    @property
    def ph(self) -> float:
        """Of the water phase. [-]"""
        return _equilibrium_ph(self.trial.base) + _model()["ph_shift"]

    @cached_property
    def drop_um(self) -> float:
        """Sauter diameter of the drops. [um]"""
        drops = judge_emulsion(self.trial.formula).drops
        assert drops is not None  # every formula of the story is an emulsion with a process
        times = math.prod(e.get("drop_times", 1.0) for e in _effects(self.trial))
        return drops.d32_um.median * _model()["drop_factor"] * times

    @cached_property
    def pigment(self) -> Material:
        """The powder of which the batch holds most."""
        found = [(p, card) for card, p in leaves(self.trial.formula) if card.grade is not None]
        return max(found, key=lambda pair: pair[0])[1]

    @cached_property
    def aggregates(self) -> tuple[float, float]:
        """Share of that powder in aggregates and their median. [-], [nm]"""
        draws, key = self._draws, self.pigment.id
        level = draws.grade_logit.get(key, draws.aggregate_logit)
        size = draws.grade_log_nm.get(key, draws.aggregate_log_nm)
        return float(expit(level[0])), float(np.exp(size[0]))

    @cached_property
    def _draws(self) -> ModelDraws:
        return _true_draws(self.trial)

    @cached_property
    def _film(self) -> FilmResult:
        return simulate_film(self.trial.formula, self._draws)

    def _on(self, bias: str) -> float:
        """Return what people or plates make of SPF - 1, scatter of version and batch included."""
        model = _model()
        more = model["formula_scatter"] * random_of(self.trial.version).standard_normal()
        more += model["batch_scatter"] * random_of(self.trial.code, "film").standard_normal()
        return math.exp(model[bias] + more)


def _effects(trial: DemoTrial) -> list[dict[str, float]]:
    """Return what went otherwise in a batch and what its lots bring."""
    told = _settings()
    lots = [told["lot"].get(code, {}) for code in trial.lots.values()]
    return [told["trial"].get(trial.code, {}), *lots]


def _true_draws(trial: DemoTrial) -> ModelDraws:
    """Return the true parameters with the dispersion state that a batch reached."""
    told, shipped, effects = _settings(), shipped_draws(), _effects(trial)
    row = slice(int(_model()["draw"]), int(_model()["draw"]) + 1)
    columns = {name: getattr(shipped, name)[row] for name in PARAMETER_NAMES}
    draws = draws_from_columns({**columns, "residual": np.zeros(1)})
    random = random_of(trial.code, "state")
    for entry in told["state"]:
        if entry["material"] not in trial.formula.percent_by_material():
            continue
        usual = "stirred" if trial.base == "poorly-dispersed.toml" else "milled"
        share, size = entry[trial.route or usual]
        level = float(logit(share)) + sum(e.get("logit_more", 0.0) for e in effects)
        size *= math.prod(e.get("size_times", 1.0) for e in effects)
        if _dry(trial.formula):
            level += told["wetting"]["logit_more"]
            size *= told["wetting"]["size_times"]
        level += _SHARE_SCATTER * random.standard_normal()
        size *= math.exp(_SIZE_SCATTER * random.standard_normal())
        draws.grade_logit[entry["material"]] = np.array([level])
        draws.grade_log_nm[entry["material"]] = np.array([math.log(size)])
    return with_process(trial.formula, draws)


def _dry(formula: Formula) -> bool:
    """Return whether the pigment has too little dispersant."""
    pigment = math.fsum(percent for card, percent in leaves(formula) if card.grade is not None)
    dispersant = formula.percent_by_material().get("polyhydroxystearic-acid", 0.0)
    least: float = _settings()["wetting"]["least_percent_of_pigment"]
    return dispersant < least / 100 * pigment


@lru_cache(maxsize=8)
def _equilibrium_ph(base: str) -> float:
    """Return the calculated pH of a base file; its versions differ in nothing that decides it."""
    found = evaluate_ions(load_formula(DEMO_FOLDER / base)).ph
    assert found is not None  # every formula of the story has a water phase
    return found
