"""The result of ISO 24443: figures of each plate, their means and what makes them valid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.plate_statistics import PlateMean, plate_mean

__all__ = [
    "EuUvaTest",
    "PlateUva",
    "PooledUva",
    "ReferenceCheck",
    "SaturationEffect",
    "UvaInVitro",
    "plate_means",
]


@dataclass(frozen=True, slots=True)
class PlateUva:
    """Figures of one plate.

    Attributes
    ----------
    plate, spots, saturated_readings : int
        Number of the plate from 1, its spots and its saturated readings before and after.
    c : float
        Adjustment coefficient. [-]
    spf_in_vitro, uva_pf0 : float
        Before irradiation; SPF0 with C = 1, UVA-PF0 with C. [-]
    uva_pf : float or None
        After irradiation. [-]
    critical_wavelength_nm, uva_to_uvb : float
        After irradiation, before where there is no after. [nm], [-]
    """

    plate: int
    spots: int
    c: float
    spf_in_vitro: float
    uva_pf0: float
    uva_pf: float | None
    critical_wavelength_nm: float
    uva_to_uvb: float
    saturated_readings: int = 0


@dataclass(frozen=True, slots=True)
class PooledUva:
    """The same from the mean spectrum of all plates, for comparison only. [-]"""

    c: float
    spf_in_vitro: float
    uva_pf0: float
    uva_pf: float | None


@dataclass(frozen=True, slots=True)
class SaturationEffect:
    """What saturated readings may hide: largest change over plates when they are raised.

    Attributes
    ----------
    readings : int
        Saturated readings before and after.
    c_change_percent, uva_pf_change_percent, critical_wavelength_change_nm : float
        With the readings raised by 1 absorbance. [%], [%], [nm]
    material : bool
        Whether one of them is beyond its limit.
    """

    readings: int
    c_change_percent: float
    uva_pf_change_percent: float
    critical_wavelength_change_nm: float
    material: bool


@dataclass(frozen=True, slots=True)
class ReferenceCheck:
    """A reference sunscreen against its range; `mark` says how the range is known."""

    name: str
    uva_pf: float
    low: float
    high: float
    passes: bool
    mark: str


@dataclass(frozen=True, slots=True)
class EuUvaTest:
    """The Commission's test: UVA-PF over label SPF at least 1/3, critical wavelength 370 nm.

    Attributes
    ----------
    uva_pf_to_label_spf : float or None
    critical_wavelength_nm : float
    passes : bool or None
        None where there is no UVA-PF.
    source : str
        Key of the source.
    """

    uva_pf_to_label_spf: float | None
    critical_wavelength_nm: float
    passes: bool | None
    source: str = "reg-eu-2006-647"


@dataclass(frozen=True, slots=True)
class UvaInVitro:
    """Result of ISO 24443; figures are means over plates.

    Attributes
    ----------
    method : str
        Standard and edition.
    average : str
        Mean of what over the spots of a plate.
    label_spf, in_vivo_spf : float
        SPF of the label and the SPF that C scales to. [-]
    c, spf_in_vitro, uva_pf0, dose_J_cm2, critical_wavelength_nm, uva_to_uvb : float
        Means over plates; dose from the mean UVA-PF0.
    uva_pf : float or None
        None without spectra after irradiation.
    ci95_half_width_percent : float or None
        Of the mean UVA-PF (UVA-PF0 where there is none). [%]
    plates_needed : int or None
        Plates that would meet the interval rule with the scatter found; None if unknown.
    initial_valid, valid : bool
        Whether the plates may be irradiated, and whether the whole test is valid.
    reasons, marks, notes : tuple of str
        Why not valid; what is from memory or assumed; how figures were made.
    plates : tuple of PlateUva
    intervals : dict of str to PlateMean
        t intervals over plates (95 %), by the name of the figure.
    pooled : PooledUva
    saturation : SaturationEffect or None
    reference : ReferenceCheck or None
    eu_test : EuUvaTest
    lamps : tuple of dict
        Label, status and note of the spectra used.
    """

    method: str
    average: str
    label_spf: float
    in_vivo_spf: float
    c: float
    spf_in_vitro: float
    uva_pf0: float
    dose_J_cm2: float
    uva_pf: float | None
    critical_wavelength_nm: float
    uva_to_uvb: float
    ci95_half_width_percent: float | None
    plates_needed: int | None
    initial_valid: bool
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...]
    notes: tuple[str, ...]
    plates: tuple[PlateUva, ...]
    intervals: dict[str, PlateMean]
    pooled: PooledUva
    saturation: SaturationEffect | None
    reference: ReferenceCheck | None
    eu_test: EuUvaTest
    lamps: tuple[dict[str, str], ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints; a figure that does not exist is None."""
        return dict(plain(self))


def plate_means(rows: tuple[PlateUva, ...]) -> dict[str, PlateMean]:
    """Return mean and interval over plates of every figure that all plates have."""
    names = ["c", "spf_in_vitro", "uva_pf0", "critical_wavelength_nm", "uva_to_uvb"]
    if all(row.uva_pf is not None for row in rows):
        names.append("uva_pf")
    return {name: plate_mean([getattr(row, name) for row in rows]) for name in names}
