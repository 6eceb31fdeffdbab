"""Broad spectrum in the United States: critical wavelength in vitro, 21 CFR 201.327(j)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from zincite.evaluation.assay.in_vitro_spectra import Average, PlateSpectra, plate_spectra
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.plate_statistics import PlateMean, plate_mean
from zincite.evaluation.assay.rules import formula_marks, limit, limit_marks
from zincite.physics.photoprotection import critical_wavelength_nm

__all__ = ["BroadSpectrumUsa", "evaluate_broad_spectrum_usa"]

_METHOD = "21 CFR 201.327(j)"
_MATERIAL_NM = 0.5
"""Change of the critical wavelength by saturation that spoils it; rule of this package."""


@dataclass(frozen=True, slots=True)
class BroadSpectrumUsa:
    """Result of the broad spectrum test.

    Attributes
    ----------
    method, average : str
        Rule, and mean of what over the spots of a plate.
    critical_wavelength_nm : float
        Mean over plates. [nm]
    interval : PlateMean
        Its t interval (95 %); the rule judges the mean alone. [nm]
    plates_nm : tuple of float
        Critical wavelength of each plate. [nm]
    broad_spectrum : bool
        Whether the mean is at least 370 nm.
    valid : bool
        Whether the measurement meets the method as far as known here.
    reasons, marks, notes : tuple of str
        Why not valid; what is from memory; what was done to the readings.
    """

    method: str
    average: str
    critical_wavelength_nm: float
    interval: PlateMean
    plates_nm: tuple[float, ...]
    broad_spectrum: bool
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return dict(plain(self))


def _reasons(spectra: PlateSpectra, preirradiated: bool | None) -> list[str]:
    reasons = []
    plates, spots = limit(_METHOD, "plates"), limit(_METHOD, "spots")
    if not plates.holds(spectra.plates):
        reasons.append(f"plates found: {spectra.plates}, expected at least {plates.low:g}")
    if not spots.holds(min(spectra.spots)):
        reasons.append(
            f"a plate has {min(spectra.spots)} spots, expected at least {spots.low:g} on each"
        )
    if preirradiated is False:
        dose = limit(_METHOD, "preirradiation_J_m2_eff").low
        reasons.append(
            f"plates were read without the pre-irradiation of {dose:g} J/m2 (erythema-weighted)"
        )
    moved = critical_wavelength_nm(10.0**-spectra.raised)
    shift = float(np.max(np.abs(moved - critical_wavelength_nm(10.0**-spectra.absorbance))))
    if shift > _MATERIAL_NM:
        reasons.append(
            f"saturated readings matter: ten times less light there would move the critical "
            f"wavelength by {shift:.1f} nm"
        )
    return reasons


def evaluate_broad_spectrum_usa(
    absorbance: ArrayLike,
    *,
    saturated: ArrayLike | None = None,
    average: Average = "transmittance",
    preirradiated: bool | None = None,
) -> BroadSpectrumUsa:
    """Evaluate plates by the broad spectrum test.

    Parameters
    ----------
    absorbance : array_like, shape (plates, spots, 111)
        After the pre-irradiation, 290-400 nm at 1 nm; a spot that was not read is nan. [-]
    saturated : array_like of bool, optional
        Readings that are lower bounds.
    average : {"transmittance", "absorbance"}
        Mean of what over the spots of a plate; the rule means transmittance (from memory).
    preirradiated : bool, optional
        Whether the plates got the fixed dose of 4 MED (800 J/m2 erythema-weighted, from memory);
        False makes the result invalid, None is noted.

    Returns
    -------
    BroadSpectrumUsa

    Raises
    ------
    OutOfRangeError
        If the spectra are impossible.

    Notes
    -----
    The critical wavelength is where the area of absorbance from 290 nm reaches 0.9 of that to
    400 nm; the mean over plates is judged.

    References
    ----------
    21 CFR 201.327(j); threshold as in 76 FR 35620, section VIII.B; plates, spots, amount and
    pre-irradiation from memory.
    """
    spectra = plate_spectra(absorbance, saturated=saturated, average=average)
    wavelengths = critical_wavelength_nm(10.0**-spectra.absorbance)
    found = plate_mean(wavelengths)
    reasons = _reasons(spectra, preirradiated)
    names = ("plates", "spots", "amount", "preirradiation_J_m2_eff")
    notes = list(spectra.notes)
    if preirradiated is None:
        notes.append("whether the plates were pre-irradiated was not stated")
    return BroadSpectrumUsa(
        _METHOD,
        average,
        found.mean,
        found,
        tuple(float(x) for x in wavelengths),
        limit(_METHOD, "critical_wavelength_nm").holds(found.mean),
        not reasons,
        tuple(reasons),
        (*formula_marks(_METHOD), *limit_marks(limit(_METHOD, name) for name in names)),
        tuple(notes),
    )
