"""UVA protection in vitro by ISO 24443: plates scaled to a label SPF, before and after irradiation.

The text of the standard was not available: equations and limits are remembered where the result's
`marks` say so (data/assay/in_vitro_formulas.csv, in_vitro_limits.csv). The published points are
the dose (Moyal et al. 2012) and the final absorbance (GOST ISO 24443-2016, clause 5.9).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.absorbance_sums import (
    adjustment_coefficient,
    spf_in_vitro,
    uva_protection_factor,
)
from zincite.evaluation.assay.in_vitro_spectra import Average, PlateSpectra, plate_spectra
from zincite.evaluation.assay.lamps import LAMPS, lamp_labels
from zincite.evaluation.assay.uva_acceptance import (
    PlateKind,
    agreement,
    check_reference_sunscreen,
    eu_uva_test,
    initial_reasons,
    method_marks,
    saturation_effect,
    saturation_reasons,
)
from zincite.evaluation.assay.uva_result import (
    PlateUva,
    PooledUva,
    SaturationEffect,
    UvaInVitro,
    plate_means,
)
from zincite.physics.photoprotection import critical_wavelength_nm, uva_to_uvb

__all__ = [
    "DOSE_J_CM2_PER_UVA_PF0",
    "Edition",
    "evaluate_uva_in_vitro",
]

Array = NDArray[np.float64]
Edition = Literal["2012", "2021"]

DOSE_J_CM2_PER_UVA_PF0 = 1.2
"""UVA dose per unit of initial UVA-PF (Moyal et al. 2012, abstract). [J/cm2]"""

_NO_AFTER = (
    "no spectra after irradiation, so the test is not complete: irradiate the plates with "
    "dose_J_cm2 and measure the same spots again"
)


def _plate_rows(
    before: PlateSpectra, after: PlateSpectra | None, spf: float
) -> tuple[PlateUva, ...]:
    rows = []
    for i, a0 in enumerate(before.absorbance):
        c = adjustment_coefficient(a0, spf, where=f"plate {i + 1}")
        final = None if after is None else c * after.absorbance[i]
        shape = 10.0 ** -(c * a0 if final is None else final)
        rows.append(
            PlateUva(
                plate=i + 1,
                spots=before.spots[i],
                c=c,
                spf_in_vitro=float(spf_in_vitro(a0)),
                uva_pf0=float(uva_protection_factor(c * a0)),
                uva_pf=None if final is None else float(uva_protection_factor(final)),
                critical_wavelength_nm=float(critical_wavelength_nm(shape)),
                uva_to_uvb=float(uva_to_uvb(shape)),
                saturated_readings=before.saturated[i] + (after.saturated[i] if after else 0),
            )
        )
    return tuple(rows)


def _pooled(before: PlateSpectra, after: PlateSpectra | None, spf: float) -> PooledUva:
    a0 = before.absorbance.mean(axis=0)
    c = adjustment_coefficient(a0, spf, where="mean of the plates")
    last = None if after is None else float(uva_protection_factor(c * after.absorbance.mean(0)))
    return PooledUva(c, float(spf_in_vitro(a0)), float(uva_protection_factor(c * a0)), last)


def _notes(
    before: PlateSpectra, after: PlateSpectra | None, average: Average, in_vivo_spf: float | None
) -> tuple[str, ...]:
    notes = [
        f"spots of a plate averaged as {average}; the standard as remembered speaks of the mean "
        "transmittance of the spots, the other choice is average = "
        + ("'transmittance'" if average == "absorbance" else "'absorbance'"),
        "C, UVA-PF and critical wavelength are worked out plate by plate and then averaged",
    ]
    if in_vivo_spf is None:
        notes.append("C scales to the label SPF; the standard scales to the static in vivo SPF")
    if after is None:
        notes.append("critical wavelength and UVA/UVB are those before irradiation")
    return (*notes, *before.notes, *(after.notes if after else ()))


def evaluate_uva_in_vitro(
    before: ArrayLike,
    label_spf: float,
    *,
    after: ArrayLike | None = None,
    saturated_before: ArrayLike | None = None,
    saturated_after: ArrayLike | None = None,
    edition: Edition = "2021",
    average: Average = "absorbance",
    in_vivo_spf: float | None = None,
    reference_uva_pf: float | None = None,
    plate_kind: PlateKind | None = None,
    amount_mg_cm2: float | None = None,
) -> UvaInVitro:
    """Evaluate plates by ISO 24443.

    Parameters
    ----------
    before, after : array_like, shape (plates, spots, 111)
        Absorbance on 290-400 nm at 1 nm, the same spots before and after irradiation; a spot that
        was not read is nan throughout. Without `after` there is no UVA-PF and the result is not
        valid, but `dose_J_cm2` says how to irradiate. [-]
    label_spf : float
        SPF of the label, > 1.
    saturated_before, saturated_after : array_like of bool, optional
        Readings that are lower bounds.
    edition : {"2012", "2021"}
        They differ in the number of plates and in the amounts, from memory.
    average : {"absorbance", "transmittance"}
        Mean of what over the spots of a plate.
    in_vivo_spf : float, optional
        Static in vivo SPF that C scales to; `label_spf` where left out.
    reference_uva_pf : float, optional
        UVA-PF found for reference sunscreen S2 in the same run.
    plate_kind : str, optional
        "high roughness" or "low roughness" (2012), "moulded" or "sandblasted" (2021).
    amount_mg_cm2 : float, optional
        Amount applied, checked against the plate kind. [mg/cm2]

    Returns
    -------
    UvaInVitro

    Raises
    ------
    OutOfRangeError
        If spectra, SPF or an option are impossible, or no C exists.

    Notes
    -----
    Per plate: C from the spectrum before, UVA-PF0 = PF(C A0), dose = 1.2 J/cm2 x mean UVA-PF0,
    UVA-PF = PF(C A_after). Every figure of the result is the mean over plates, with a t interval
    (95 %, plates - 1). Saturated readings are lower bounds: everything is worked out again with
    them raised by 1 absorbance, and where that moves C or UVA-PF by more than 1 % or the critical
    wavelength by more than 0.5 nm the result is not valid (rule of this package, no source).

    References
    ----------
    ISO 24443:2012 and :2021 (from memory); Moyal et al. 2012; GOST ISO 24443-2016, 5.9;
    Commission Recommendation 2006/647/EC, point 10.
    """
    if edition not in ("2012", "2021"):
        raise OutOfRangeError(f"edition is {edition!r}, expected '2012' or '2021'")
    if not 1 < label_spf < np.inf:
        raise OutOfRangeError(f"label SPF is {label_spf:g}, expected above 1")
    first, last = _both(before, after, saturated_before, saturated_after, average)
    spf = float(label_spf if in_vivo_spf is None else in_vivo_spf)
    reference = None
    if reference_uva_pf is not None:
        reference = check_reference_sunscreen(reference_uva_pf, edition=edition)
    method = f"ISO 24443:{edition}"
    rows = _plate_rows(first, last, spf)
    effect = _saturation(rows, first, last, spf)
    early = initial_reasons(
        rows, method, reference=reference, plate_kind=plate_kind, amount_mg_cm2=amount_mg_cm2
    )
    return _assemble(
        rows,
        method,
        average=average,
        label_spf=float(label_spf),
        in_vivo_spf=spf,
        reference=reference,
        saturation=effect,
        reasons=[*early, *saturation_reasons(effect)],
        marks=method_marks(method, plate_kind, with_reference=reference is not None),
        notes=_notes(first, last, average, in_vivo_spf),
        pooled=_pooled(first, last, spf),
    )


def _both(
    before: ArrayLike,
    after: ArrayLike | None,
    saturated_before: ArrayLike | None,
    saturated_after: ArrayLike | None,
    average: Average,
) -> tuple[PlateSpectra, PlateSpectra | None]:
    first = plate_spectra(
        before, saturated=saturated_before, average=average, what="absorbance before irradiation"
    )
    if after is None:
        return first, None
    if np.shape(after) != np.shape(before):
        raise OutOfRangeError(
            f"spectra after irradiation have shape {np.shape(after)}, expected those of "
            f"before, {np.shape(before)}: the same spots of the same plates"
        )
    last = plate_spectra(
        after, saturated=saturated_after, average=average, what="absorbance after irradiation"
    )
    return first, last


def _saturation(
    rows: tuple[PlateUva, ...], first: PlateSpectra, last: PlateSpectra | None, spf: float
) -> SaturationEffect | None:
    if not sum(row.saturated_readings for row in rows):
        return None
    raised = None if last is None else replace(last, absorbance=last.raised)
    return saturation_effect(
        rows, _plate_rows(replace(first, absorbance=first.raised), raised, spf)
    )


def _assemble(
    rows: tuple[PlateUva, ...],
    method: str,
    *,
    reasons: list[str],
    label_spf: float,
    **known: Any,
) -> UvaInVitro:
    """Return the result: means over plates, their agreement and the verdicts."""
    means = plate_means(rows)
    judged = "uva_pf" if "uva_pf" in means else "uva_pf0"
    agreed = agreement([getattr(row, judged) for row in rows], method, judged)
    against = [*reasons, *agreed.reasons]
    incomplete = [_NO_AFTER] if judged == "uva_pf0" else []
    uva_pf = None if incomplete else means["uva_pf"].mean
    lc = means["critical_wavelength_nm"].mean
    return UvaInVitro(
        method=method,
        label_spf=label_spf,
        c=means["c"].mean,
        spf_in_vitro=means["spf_in_vitro"].mean,
        uva_pf0=means["uva_pf0"].mean,
        dose_J_cm2=DOSE_J_CM2_PER_UVA_PF0 * means["uva_pf0"].mean,
        uva_pf=uva_pf,
        critical_wavelength_nm=lc,
        uva_to_uvb=means["uva_to_uvb"].mean,
        ci95_half_width_percent=agreed.half_width_percent,
        plates_needed=agreed.plates_needed,
        initial_valid=not against,
        valid=not against and not incomplete,
        reasons=(*against, *incomplete),
        plates=rows,
        intervals=means,
        eu_test=eu_uva_test(uva_pf, label_spf, lc),
        lamps=lamp_labels(LAMPS),
        **known,
    )
