"""Predictions that several tests look at, made once."""

from dataclasses import replace

import numpy as np
import pytest
from report_formulas import CREAM, HOSTILE

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.judgement import BriefLine
from zincite.evaluation.levers import Lever
from zincite.evaluation.predicting import predict_formula
from zincite.evaluation.regulation import assess_market
from zincite.formula.reading import parse_formula

NAN = float("nan")
NO_ESTIMATE = Estimate(NAN, NAN, NAN)


@pytest.fixture(scope="session")
def prediction():
    return predict_formula(parse_formula(CREAM))


@pytest.fixture(scope="session")
def weaker(prediction):
    """Return the same cream with half the pigment."""
    text = CREAM.replace('"T-1"', '"T-2"').replace("percent = 16.0", "percent = 8.0")
    return predict_formula(parse_formula(text))


@pytest.fixture(scope="session")
def assessments(prediction):
    return [
        assess_market(
            prediction.formula,
            market,
            spf=prediction.spf,
            uva_pf=prediction.uva_pf,
            critical_wavelength_nm=prediction.critical_wavelength_nm,
        )
        for market in ("eu", "us")
    ]


@pytest.fixture(scope="session")
def all_verdicts(prediction):
    """Return a prediction whose brief has a line of each verdict."""
    lines = (
        BriefLine("SPF", "passes", 30, "at least", "", Estimate(35, 20, 60), 5.0, 0.7, "more", "n"),
        BriefLine("white cast", "short", 6, "at most", "", Estimate(7, 5, 9), -1.0, 0.2),
        BriefLine("temperature", "fails", 60, "at most", "degC", Exact(75.0, "degC"), -15.0, None),
        BriefLine("cost", "unknown", 9, "at most", "EUR/kg", Exact(None, "EUR/kg"), None, None),
    )
    return replace(prediction, brief=lines)


@pytest.fixture(scope="session")
def hostile(prediction):
    """Return a prediction whose every name tries to be markup."""
    name = "x" + HOSTILE.replace(" ", "-")
    return replace(
        prediction,
        formula=replace(prediction.formula, code=HOSTILE, name=HOSTILE, note=HOSTILE),
        pigments=tuple(replace(p, material=name, nano=HOSTILE) for p in prediction.pigments),
        levers=(Lever(HOSTILE, name, 1.0, 1.0, -1.0, (0.1,) * 6, (0.1,) * 6),),
        brief=(BriefLine(HOSTILE, HOSTILE, 1, HOSTILE, HOSTILE, Exact(2.0, HOSTILE), 1.0, 0.5,
                         HOSTILE, HOSTILE),),
        warnings=(HOSTILE,),
        lamps=(HOSTILE,),
        model=HOSTILE,
    )  # fmt: skip


@pytest.fixture(scope="session")
def hollow(prediction):
    """Return a prediction in which all that can be missing is missing."""
    nothing = np.full_like(prediction.spectra.transmittance, np.nan)
    return replace(
        prediction,
        formula=replace(prediction.formula, brief=None),
        spf=NO_ESTIMATE,
        uva_pf=NO_ESTIMATE,
        critical_wavelength_nm=NO_ESTIMATE,
        density_g_ml=NO_ESTIMATE,
        viscosity_mPas=Exact(None, "mPa s", ("no viscosity model for oil-in-water",)),
        cost=replace(
            prediction.cost,
            per_kg=Exact(None, "EUR/kg", ("glycerin",)),
            missing=("glycerin",),
            lines=tuple(
                replace(line, price_per_kg=None, contribution_per_kg=None, evidence="")
                for line in prediction.cost.lines
            ),
        ),
        naturality=replace(
            prediction.naturality,
            lines=tuple(
                replace(line, natural_origin_index=None) for line in prediction.naturality.lines
            ),
        ),
        white_cast={
            name: replace(cast, delta_e00=NO_ESTIMATE, delta_l=NO_ESTIMATE, film_lab=(NAN,) * 3)
            for name, cast in prediction.white_cast.items()
        },
        brief=(),
        levers=(Lever("+1 % x", "x", NAN, NAN, NAN, (NAN,) * 6, (NAN,) * 6),),
        spectra=replace(
            prediction.spectra,
            transmittance=nothing,
            low=nothing,
            high=nothing,
            cumulative_absorbance=nothing,
        ),
        pigments=(),
        film_density=np.full_like(prediction.film_density, np.nan),
        dose=dict.fromkeys(prediction.dose, NAN),
    )
