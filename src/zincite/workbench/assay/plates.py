"""Acts on plates: UVA in vitro, photostability, broad spectrum in the United States."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.absorbance_sums import (
    adjustment_coefficient,
    uva_protection_factor,
)
from zincite.evaluation.assay.broad_spectrum import BroadSpectrumUsa, evaluate_broad_spectrum_usa
from zincite.evaluation.assay.in_vitro_spectra import Average
from zincite.evaluation.assay.photostability import (
    FIGURES,
    Photostability,
    evaluate_photostability,
)
from zincite.evaluation.assay.plate_statistics import PlateMean
from zincite.evaluation.assay.uva_acceptance import PlateKind
from zincite.evaluation.assay.uva_in_vitro import Edition, evaluate_uva_in_vitro
from zincite.evaluation.assay.uva_result import UvaInVitro
from zincite.workbench.assay.lines import LearntResult, result_lines
from zincite.workbench.assay.overlay import Comparison, Expected, Overlay, compared, known
from zincite.workbench.assay.plate_readings import PlateReadings, read_irradiated, read_plates
from zincite.workbench.assay.report import AssayReport, in_file

__all__ = ["broad_spectrum", "photostability", "uva"]

_NOT_MEASURED_SO = (
    "The prediction is of plates before irradiation, without the scatter of a single measurement.",
)


def _error(found: PlateMean | None) -> float | None:
    if found is None or found.sd is None:
        return None
    return found.sd / math.sqrt(found.n)


def uva(
    before: str | Path,
    *,
    label_spf: float,
    after: str | Path | None = None,
    edition: Edition = "2021",
    average: Average = "absorbance",
    in_vivo_spf: float | None = None,
    reference_uva_pf: float | None = None,
    plate_kind: PlateKind | None = None,
    amount_mg_cm2: float | None = None,
    quantity: str | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[UvaInVitro, PlateReadings]:
    """Return the UVA test in vitro (ISO 24443) of instrument files.

    Parameters
    ----------
    before, after, quantity, decimal
        As `read_plates`.
    label_spf, edition, average, in_vivo_spf, reference_uva_pf, plate_kind, amount_mg_cm2
        As `evaluate_uva_in_vitro`.
    expected : Expected, optional
        Formula whose prediction is laid over.

    Raises
    ------
    InputError
        If a file cannot be read or evaluated.
    """
    readings, files = read_plates(before, after, quantity=quantity, decimal=decimal)
    with in_file([file.name for file in files]):
        found = evaluate_uva_in_vitro(
            readings.before,
            label_spf,
            after=readings.after,
            saturated_before=readings.saturated_before,
            saturated_after=readings.saturated_after,
            edition=edition,
            average=average,
            in_vivo_spf=in_vivo_spf,
            reference_uva_pf=reference_uva_pf,
            plate_kind=plate_kind,
            amount_mg_cm2=amount_mg_cm2,
        )
    when = "before irradiation" if readings.after is None else "after irradiation"
    learnt = [
        LearntResult("spf-in-vitro", found.spf_in_vitro, _error(found.intervals["spf_in_vitro"])),
        LearntResult(
            "critical-wavelength",
            found.critical_wavelength_nm,
            _error(found.intervals["critical_wavelength_nm"]),
            note=when,
        ),
    ]
    return AssayReport(
        "uva",
        found,
        readings,
        files,
        None if expected is None else _uva_overlay(found, expected),
        result_lines(learnt, formula=expected.path if expected else None, valid=found.valid),
    )


def _uva_overlay(found: UvaInVitro, expected: Expected) -> Overlay:
    plate = expected.plate
    scaled = _scaled_uva_pf(plate.transmittance_draws, found.in_vivo_spf)
    uva = [] if scaled.size < 2 else [
        compared("uva_pf0", "UVA-PF0, scaled by C", found.uva_pf0, scaled),
        compared("uva_pf", "UVA-PF after irradiation", found.uva_pf, scaled),
    ]  # fmt: skip
    notes = list(_NOT_MEASURED_SO)
    if found.uva_pf is not None:
        notes.append("UVA-PF after irradiation is held against the film before: no loss assumed.")
    return expected.overlay(
        known(
            compared("spf_in_vitro", "SPF in vitro, C = 1", found.spf_in_vitro, plate.draws.spf),
            *uva,
            _critical(found.critical_wavelength_nm, expected),
            compared("uva_to_uvb", "UVA/UVB", found.uva_to_uvb, plate.draws.uva_to_uvb),
        ),
        absorbance=expected.absorbance(),
        notes=tuple(notes),
    )


def _scaled_uva_pf(transmittance: np.ndarray, spf: float) -> np.ndarray:
    """Return UVA-PF0 of each predicted film scaled to an SPF, where a C exists. [-]"""
    values = []
    for row in -np.log10(np.clip(transmittance, 1e-12, 1.0)):
        try:
            values.append(float(uva_protection_factor(adjustment_coefficient(row, spf) * row)))
        except OutOfRangeError:  # a film that hardly absorbs somewhere has no C
            continue
    return np.array(values)


def _critical(measured_nm: float, expected: Expected) -> Comparison | None:
    draws = expected.plate.draws.critical_wavelength_nm
    return compared("critical_wavelength_nm", "critical wavelength", measured_nm, draws, unit="nm")


def photostability(
    before: str | Path,
    after: str | Path | None = None,
    *,
    scale_to_spf: float | None = None,
    limit_percent: float | None = None,
    average: Average = "absorbance",
    quantity: str | None = None,
    decimal: str | None = None,
) -> AssayReport[Photostability, PlateReadings]:
    """Return what irradiation leaves of protection and absorbance.

    Parameters
    ----------
    before, after, quantity, decimal
        As `read_plates`; both states are needed.
    scale_to_spf, limit_percent, average
        As `evaluate_photostability`.

    Raises
    ------
    InputError
        If a file cannot be read or evaluated, or there are no spectra after irradiation.
    """
    readings, files = read_plates(before, after, quantity=quantity, decimal=decimal)
    if readings.after is None:
        raise OutOfRangeError(
            f"{files[0].name}: no spectra after irradiation, expected them in the file or as "
            "--after FILE"
        )
    with in_file([file.name for file in files]):
        found = evaluate_photostability(
            readings.before,
            readings.after,
            saturated_before=readings.saturated_before,
            saturated_after=readings.saturated_after,
            scale_to_spf=scale_to_spf,
            limit_percent=limit_percent,
            average=average,
        )
    missed = tuple(
        f"{FIGURES[name]}: loss of {found.loss_percent[name].mean:.1f} % against at most "
        f"{limit_percent:g} %"
        for name, verdict in found.verdicts.items()
        if verdict == "fails"
    )
    return AssayReport("photostability", found, readings, files, missed=missed)


def broad_spectrum(
    path: str | Path,
    *,
    preirradiated: bool | None = None,
    average: Average = "transmittance",
    quantity: str | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[BroadSpectrumUsa, PlateReadings]:
    """Return the broad spectrum test of the United States.

    Parameters
    ----------
    path : str or Path
        Spectra of pre-irradiated plates; of a file with both states those after irradiation.
    preirradiated, average
        As `evaluate_broad_spectrum_usa`.
    quantity, decimal
        As `read_plates`.
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    readings, files = read_irradiated(path, quantity=quantity, decimal=decimal)
    with in_file(files[0].name):
        found = evaluate_broad_spectrum_usa(
            readings.before,
            saturated=readings.saturated_before,
            average=average,
            preirradiated=preirradiated,
        )
    overlay = None
    if expected is not None:
        overlay = expected.overlay(
            known(_critical(found.critical_wavelength_nm, expected)),
            absorbance=expected.absorbance(),
            notes=_NOT_MEASURED_SO,
        )
    return AssayReport("broad-spectrum", found, readings, files, overlay)
