"""What a prediction holds, and how it is printed as JSON."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.cost import Cost
from zincite.evaluation.density import PigmentVolume
from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.levers import Lever
from zincite.evaluation.naturality import Naturality
from zincite.formula.brief import SKIN_CLASSES
from zincite.formula.checks import Finding
from zincite.formula.formula import Formula
from zincite.formula.ingredient_list import IngredientList

__all__ = ["CAUTIONS", "PigmentCurve", "Prediction", "Spectra", "WhiteCast"]

Array = NDArray[np.float64]

CAUTIONS = (
    "A predicted SPF ranks formulas; it is no label claim. Label claims need the in-vivo or "
    "in-vitro method of the market, done by a qualified laboratory.",
    "ZnO and TiO2 powders must not be inhaled: weigh them under extraction, wear respiratory "
    "protection, and make no spray or loose powder without an inhalation assessment.",
    "Local rules and the responsible safety assessor decide.",
)


@dataclass(frozen=True, slots=True)
class WhiteCast:
    """Colour change of one skin class.

    Attributes
    ----------
    delta_l, delta_e00, delta_ita_deg : Estimate
        Film on against bare skin, D65, 10 deg; delta_l above 0 whitens.
    bare_lab, film_lab : tuple of float
        L*, a*, b* at the model's centre.
    """

    delta_l: Estimate
    delta_e00: Estimate
    delta_ita_deg: Estimate
    bare_lab: tuple[float, float, float]
    film_lab: tuple[float, float, float]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "delta_l": self.delta_l.to_dict(),
            "delta_e00": self.delta_e00.to_dict(),
            "delta_ita_deg": self.delta_ita_deg.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class Spectra:
    """Transmittance of the film on skin, relative to bare skin.

    Attributes
    ----------
    wavelength_nm : ndarray, shape (111,)
    transmittance, low, high : ndarray, shape (111,)
        At the centre and the 90 % interval. [-]
    cumulative_absorbance : ndarray, shape (111,)
        Share of the absorbance up to each wavelength at the centre. [-]
    """

    wavelength_nm: Array
    transmittance: Array
    low: Array
    high: Array
    cumulative_absorbance: Array


@dataclass(frozen=True, slots=True)
class PigmentCurve:
    """One pigment's sizes and its part of the film's optical depth.

    Attributes
    ----------
    material : str
        Id of the card.
    percent : float
        Powder in the formula. [%]
    diameter_nm, volume_density : ndarray, shape (n,)
        Primary size distribution by volume, per natural logarithm of diameter. [nm], [-]
    depth_nm, optical_depth : ndarray
        Wavelengths 290-780 nm and the even film's optical depth from this pigment. [nm], [-]
    nano : str
        Verdict of the nano decision.
    number_below_100nm_percent : float
        Share of primary particles by number below 100 nm. [%]
    fitted : str
        What was fitted to a measured extinction, "" if nothing.
    processed : str
        Aggregates that the process steps leave, "" where something else says.
    """

    material: str
    percent: float
    diameter_nm: Array
    volume_density: Array
    depth_nm: Array
    optical_depth: Array
    nano: str
    number_below_100nm_percent: float
    fitted: str = ""
    processed: str = ""


@dataclass(frozen=True, slots=True)
class Prediction:
    """A judged prediction of one formula.

    Attributes
    ----------
    formula : Formula
    spf, uva_pf, uva_pf_to_spf, critical_wavelength_nm, uva_to_uvb, uva1_share : Estimate
        Protection on skin at 2 mg/cm2.
    white_cast : dict of str to WhiteCast
        By skin class.
    contrast_ratio_percent : Estimate
        Film over black against over white.
    density_g_ml, viscosity_mPas, cost, naturality, pigment_volume
        Of the product.
    ingredients : IngredientList
    brief : tuple of BriefLine
        Empty without a brief.
    levers : tuple of Lever
    spectra : Spectra
    pigments : tuple of PigmentCurve
    film_height, film_density : ndarray
        Relative height and its density at the centre, for the picture of the film. [-]
    dose : dict of str to float
        dose_mg_cm2, dose_uL_cm2, wet_thickness_um, dry_thickness_um.
    lamps : tuple of str
        Which lamps and action spectra were used.
    findings : tuple of Finding
        From the checks of the formula.
    warnings : tuple of str
        What limits the prediction.
    draws : int
        Number of posterior draws.
    model : str
        Which parameters.
    """

    formula: Formula
    spf: Estimate
    uva_pf: Estimate
    uva_pf_to_spf: Estimate
    critical_wavelength_nm: Estimate
    uva_to_uvb: Estimate
    uva1_share: Estimate
    white_cast: dict[str, WhiteCast]
    contrast_ratio_percent: Estimate
    density_g_ml: Estimate
    viscosity_mPas: Estimate | Exact
    cost: Cost
    naturality: Naturality
    pigment_volume: PigmentVolume
    ingredients: IngredientList
    brief: tuple[BriefLine, ...]
    levers: tuple[Lever, ...]
    spectra: Spectra
    pigments: tuple[PigmentCurve, ...]
    film_height: Array
    film_density: Array
    dose: dict[str, float]
    lamps: tuple[str, ...]
    findings: tuple[Finding, ...]
    warnings: tuple[str, ...]
    draws: int
    model: str

    @property
    def verdict(self) -> str:
        """The worst verdict of the brief, "" without a brief."""
        order = ("fails", "short", "unknown", "passes")
        found = {line.verdict for line in self.brief}
        return next((v for v in order if v in found), "")

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints: plain numbers, units in the keys."""
        return {
            "formula": {
                "code": self.formula.code,
                "name": self.formula.name,
                "emulsion": self.formula.emulsion,
                "note": self.formula.note,
            },
            "verdict": self.verdict,
            "spf": self.spf.to_dict(),
            "uva_pf": self.uva_pf.to_dict(),
            "uva_pf_to_spf": self.uva_pf_to_spf.to_dict(),
            "critical_wavelength_nm": self.critical_wavelength_nm.to_dict(),
            "uva_to_uvb": self.uva_to_uvb.to_dict(),
            "uva1_share": self.uva1_share.to_dict(),
            "white_cast": {name: self.white_cast[name].to_dict() for name in SKIN_CLASSES},
            "contrast_ratio_percent": self.contrast_ratio_percent.to_dict(),
            "natural_origin_percent": self.naturality.natural_origin_percent.to_dict(),
            "natural_origin_percent_without_water": (
                self.naturality.natural_origin_percent_without_water.to_dict()
            ),
            "cost_per_kg": self.cost.per_kg.to_dict(),
            "currency": self.cost.currency,
            "density_g_ml": self.density_g_ml.to_dict(),
            "viscosity_mPas": self.viscosity_mPas.to_dict(),
            "pigment_volume": self.pigment_volume.to_dict(),
            "film": dict(self.dose),
            "ingredient_list": self.ingredients.text(),
            "brief": [line.to_dict() for line in self.brief],
            "levers": [lever.to_dict() for lever in self.levers],
            "pigments": [
                {
                    "material": p.material,
                    "percent": p.percent,
                    "nano": p.nano,
                    "number_below_100nm_percent": p.number_below_100nm_percent,
                    "fitted": p.fitted,
                }
                for p in self.pigments
            ],
            "spectrum": {
                "wavelength_nm": self.spectra.wavelength_nm.tolist(),
                "transmittance": self.spectra.transmittance.tolist(),
                "transmittance_low": self.spectra.low.tolist(),
                "transmittance_high": self.spectra.high.tolist(),
            },
            "lamps": list(self.lamps),
            "model": self.model,
            "posterior_draws": self.draws,
            "findings": [
                {"level": f.level, "where": f.where, "message": f.message} for f in self.findings
            ],
            "warnings": list(self.warnings),
            "cautions": list(CAUTIONS),
        }
