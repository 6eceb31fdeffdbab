"""The film on roughened plates: what an in-vitro test is expected to see."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.film import build_film
from zincite.evaluation.making.stress.process_state import with_process
from zincite.evaluation.parameters import ModelDraws, shipped_draws
from zincite.evaluation.protection import (
    ProtectionDraws,
    film_transmittance,
    protection_measures,
    reference_ratio,
)
from zincite.formula.formula import Formula

__all__ = ["DOSE_PLATE_MG_CM2", "PLATE_FILM_SHAPE", "PlateFilm", "simulate_plate"]

Array = NDArray[np.float64]

DOSE_PLATE_MG_CM2 = 1.3
"""Dose on plates of 5 um roughness (Moyal et al. 2012; ISO 24443, amount from memory). [mg/cm2]"""

PLATE_FILM_SHAPE = 1.1
"""Evenness c on plates: 0.9 to 1.3 read off the six products of Ferrero et al. 2003, an estimate
from the text of a figure. Every draw's skin film is scaled to it. [-]"""


@dataclass(frozen=True, slots=True)
class PlateFilm:
    """Expected in-vitro measurement, before any scaling to a label SPF.

    Attributes
    ----------
    transmittance : ndarray, shape (111,)
        At the centre. [-]
    transmittance_draws : ndarray, shape (n, 111)
    draws : ProtectionDraws
        SPF in vitro, UVA-PF0 with C = 1 and spectral measures of each draw.
    """

    transmittance: Array
    transmittance_draws: Array
    draws: ProtectionDraws


def simulate_plate(
    formula: Formula,
    draws: ModelDraws | None = None,
    *,
    film_shape: Array | None = None,
    dose_mg_cm2: float = DOSE_PLATE_MG_CM2,
) -> PlateFilm:
    """Return what plates over an integrating sphere are expected to transmit.

    Parameters
    ----------
    formula : Formula
    draws : ModelDraws, optional
        The shipped ones when left out.
    film_shape : ndarray, shape (n,), optional
        Evenness on plates of each draw, as a laboratory has learnt it; the skin films', scaled to
        `PLATE_FILM_SHAPE`, when left out. [-]
    dose_mg_cm2 : float
        Applied dose. [mg/cm2]

    Returns
    -------
    PlateFilm

    Notes
    -----
    The film of the skin model at the plate's dose with the plate's evenness, over black. The
    residual of in-vivo tests is kept as the spread, since no published plate result of a mineral
    film with its grade was found.
    """
    used = with_process(formula, shipped_draws() if draws is None else draws)
    if film_shape is None:
        film_shape = used.film_shape * PLATE_FILM_SHAPE / float(np.median(used.film_shape))
    plate = replace(used, film_shape=film_shape)
    film = build_film(formula, dose_mg_cm2=dose_mg_cm2)
    ratio = reference_ratio(film, plate.centre())
    centre = film_transmittance(film, plate.centre(), ratio=ratio, over_black=True)
    spread = film_transmittance(film, plate, coarse=True, ratio=ratio, over_black=True)
    return PlateFilm(centre[0], spread, protection_measures(spread, plate))
