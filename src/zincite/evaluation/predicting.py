"""From a formula to a judged prediction: the chain that wires the models."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from zincite.data.photobiology import photobiology
from zincite.evaluation.appearance import (
    SkinColours,
    bare_lab,
    film_contrast_ratio,
    film_reflectance,
    reference_shift,
    skin_colours,
)
from zincite.evaluation.brief_lines import judge_brief
from zincite.evaluation.cost import cost
from zincite.evaluation.density import density_g_ml, pigment_volume
from zincite.evaluation.estimate import Estimate, estimate_from_draws
from zincite.evaluation.film import DOSE_SKIN_MG_CM2, DriedFilm, build_film
from zincite.evaluation.levers import film_levers
from zincite.evaluation.making.stress.deagglomeration import Kinetics
from zincite.evaluation.making.stress.process_state import processed, with_process
from zincite.evaluation.naturality import naturality
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.evaluation.pigment_curves import pigment_curves
from zincite.evaluation.prediction import Prediction, Spectra, WhiteCast
from zincite.evaluation.protection import (
    ProtectionDraws,
    film_transmittance,
    protection_measures,
    reference_ratio,
)
from zincite.evaluation.validity import prediction_warnings
from zincite.evaluation.viscosity import viscosity_mPas
from zincite.formula.brief import SKIN_CLASSES, skins_asked
from zincite.formula.checks import check_formula
from zincite.formula.formula import Formula
from zincite.formula.ingredient_list import inci_list
from zincite.physics.films import gamma_height_density
from zincite.physics.photoprotection import UV_GRID_NM, cumulative_absorbance

__all__ = ["FilmResult", "predict_formula", "simulate_film"]

Array = NDArray[np.float64]

SHIPPED_MODEL = "shipped model, fitted to published formulas"


@dataclass(frozen=True, slots=True)
class FilmResult:
    """What the optics give for one film.

    Attributes
    ----------
    film : DriedFilm
    transmittance : ndarray, shape (111,)
        At the centre, reference fidelity. [-]
    transmittance_draws : ndarray, shape (n, 111)
    centre, draws : ProtectionDraws
        Measures at the centre and of each draw.
    colour_centre, colour_draws : SkinColours
    ratio, shift : ndarray
        Corrections from the fast to the reference slab.
    """

    film: DriedFilm
    transmittance: Array
    transmittance_draws: Array
    centre: ProtectionDraws
    draws: ProtectionDraws
    colour_centre: SkinColours
    colour_draws: SkinColours
    ratio: Array
    shift: Array


def simulate_film(
    formula: Formula, draws: ModelDraws, *, dose_mg_cm2: float = DOSE_SKIN_MG_CM2
) -> FilmResult:
    """Return the film's optics at the centre and for each draw.

    Parameters
    ----------
    formula : Formula
    draws : ModelDraws
    dose_mg_cm2 : float
        Applied dose. [mg/cm2]

    Returns
    -------
    FilmResult
    """
    return _simulated(formula, with_process(formula, draws), dose_mg_cm2)


def _simulated(formula: Formula, draws: ModelDraws, dose_mg_cm2: float) -> FilmResult:
    centre = draws.centre()
    film = build_film(
        formula,
        dose_mg_cm2=dose_mg_cm2,
        aggregate_share=float(expit(centre.aggregate_logit[0])),
        grade_share={key: float(expit(centre.grade_logit[key][0])) for key in centre.grade_log_nm},
    )
    ratio, shift = reference_ratio(film, centre), reference_shift(film, centre)
    middle = film_transmittance(film, centre, ratio=ratio)
    spread = film_transmittance(film, draws, coarse=True, ratio=ratio)
    return FilmResult(
        film,
        middle[0],
        spread,
        protection_measures(middle, centre),
        protection_measures(spread, draws),
        skin_colours(film_reflectance(film, centre, shift=shift)),
        skin_colours(film_reflectance(film, draws, shift=shift)),
        ratio,
        shift,
    )


def predict_formula(
    formula: Formula,
    *,
    draws: ModelDraws | None = None,
    model: str = SHIPPED_MODEL,
    dose_mg_cm2: float = DOSE_SKIN_MG_CM2,
    kinetics: Kinetics | None = None,
) -> Prediction:
    """Return a judged prediction.

    Parameters
    ----------
    formula : Formula
    draws : ModelDraws, optional
        Posterior draws; the shipped ones when left out.
    model : str
        How the draws are called in reports.
    dose_mg_cm2 : float
        Applied dose. [mg/cm2]
    kinetics : mapping of str to DeviceKinetics, optional
        De-agglomeration of devices fitted to own sizes; the assumed ones when left out.

    Returns
    -------
    Prediction
    """
    process = processed(formula, shipped_draws() if draws is None else draws, kinetics=kinetics)
    used = process.draws
    result = _simulated(formula, used, dose_mg_cm2)
    film, centre = result.film, used.centre()
    lever_skins = _brief_skins(formula)
    levers = film_levers(
        formula, film, centre, skins=lever_skins, ratio=result.ratio, shift=result.shift
    )
    estimates = _protection_estimates(result)
    price, natural = cost(formula), naturality(formula)
    thickness = viscosity_mPas(formula, used)
    density = density_g_ml(formula)
    height = np.linspace(0.01, 4.0, 160)
    white_cast = _white_cast(result)
    return Prediction(
        formula=formula,
        **estimates,
        white_cast=white_cast,
        contrast_ratio_percent=estimate_from_draws(
            film_contrast_ratio(film, used.first(40)), unit="%"
        ),
        density_g_ml=density,
        viscosity_mPas=thickness,
        cost=price,
        naturality=natural,
        pigment_volume=pigment_volume(formula),
        ingredients=inci_list(formula),
        brief=judge_brief(
            formula,
            result.draws,
            result.colour_draws,
            estimates,
            white_cast,
            price,
            natural,
            thickness,
            levers,
        ),
        levers=levers,
        spectra=_spectra(result, used.residual),
        pigments=pigment_curves(film, centre),
        film_height=height,
        film_density=gamma_height_density(height, centre.film_shape[0]),
        dose={
            "dose_mg_cm2": film.dose_mg_cm2,
            "dose_uL_cm2": film.dose_uL_cm2,
            "wet_thickness_um": film.wet_thickness_um,
            "dry_thickness_um": film.dry_thickness_um,
        },
        lamps=_lamps(),
        findings=check_formula(formula),
        warnings=prediction_warnings(formula, film, result, process),
        draws=used.size,
        model=model,
    )


def _brief_skins(formula: Formula) -> tuple[int, ...]:
    return tuple(SKIN_CLASSES.index(name) for name in skins_asked(formula.brief))


def _protection_estimates(result: FilmResult) -> dict[str, Estimate]:
    units = {
        "spf": "",
        "uva_pf": "",
        "uva_pf_to_spf": "",
        "critical_wavelength_nm": "nm",
        "uva_to_uvb": "",
        "uva1_share": "",
    }
    return {
        name: estimate_from_draws(
            getattr(result.draws, name), unit=unit, centre=float(getattr(result.centre, name)[0])
        )
        for name, unit in units.items()
    }


def _white_cast(result: FilmResult) -> dict[str, WhiteCast]:
    casts: dict[str, WhiteCast] = {}
    for place, name in enumerate(SKIN_CLASSES):
        parts = [
            estimate_from_draws(
                getattr(result.colour_draws, key)[:, place],
                unit=unit,
                centre=float(getattr(result.colour_centre, key)[0, place]),
            )
            for key, unit in (("delta_l", ""), ("delta_e00", ""), ("delta_ita_deg", "deg"))
        ]
        bare = tuple(float(v) for v in bare_lab()[place])
        film = tuple(float(v) for v in result.colour_centre.lab[0, place])
        casts[name] = WhiteCast(
            parts[0], parts[1], parts[2], (bare[0], bare[1], bare[2]), (film[0], film[1], film[2])
        )
    return casts


def _spectra(result: FilmResult, residual: Array) -> Spectra:
    """Return the spectrum and its band, what the model misses of an SPF included.

    The residual scales 1/T - 1 as it scales SPF - 1.
    """
    opacity = (1 / result.transmittance_draws - 1) * np.exp(residual)[:, None]
    low, high = np.quantile(1 / (1 + opacity), [0.05, 0.95], axis=0)
    middle = result.transmittance
    return Spectra(
        UV_GRID_NM,
        middle,
        np.minimum(low, middle),
        np.maximum(high, middle),
        cumulative_absorbance(middle),
    )


def _lamps() -> tuple[str, ...]:
    info = photobiology().info
    return tuple(
        f"{item.label} ({item.status.value}): {item.note}"
        for key, item in info.items()
        if key in ("erythema", "simulator_W_m2_nm", "ppd", "uva_source_relative")
    )
