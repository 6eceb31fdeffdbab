"""The brief: what a formula is to reach, as limits that can be judged."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.errors import OutOfRangeError

__all__ = ["SKIN_CLASSES", "Brief"]

SKIN_CLASSES = ("very light", "light", "intermediate", "tan", "brown", "dark")
"""ITA classes from light to dark (Chardon, Cretois and Hourseau 1991)."""


@dataclass(frozen=True, slots=True)
class Brief:
    """Targets of a development.

    Attributes
    ----------
    name : str
        What is to be developed.
    label_spf : float or None
        SPF to print on the label.
    uva_pf_to_spf_min : float or None
        Smallest UVA-PF divided by the label SPF.
    critical_wavelength_min_nm : float or None
        Smallest critical wavelength. [nm]
    markets : tuple of str
        Market keys such as "eu", "australia".
    natural_origin_min_percent : float or None
        Smallest ISO 16128 natural origin content, water included. [%]
    white_cast_max_delta_e00 : float or None
        Largest CIEDE2000 difference between skin with and without the film.
    white_cast_max_delta_l : float or None
        Largest rise of L*.
    skin_classes : tuple of str
        Skin classes the white-cast limits are for.
    cost_max_per_kg : float or None
        Largest raw-material cost, in `currency` per kg.
    viscosity_min_mPas, viscosity_max_mPas : float or None
        Viscosity band. [mPa s]
    process_max_temperature_C : float or None
        Highest process temperature (low-energy process). [degC]
    product : str
        Kind of product, such as "face", "body", "lip", "spray", "powder", "children".
    non_nano : bool
        Whether no ingredient may be nano.
    """

    name: str = ""
    label_spf: float | None = None
    uva_pf_to_spf_min: float | None = None
    critical_wavelength_min_nm: float | None = None
    markets: tuple[str, ...] = ()
    natural_origin_min_percent: float | None = None
    white_cast_max_delta_e00: float | None = None
    white_cast_max_delta_l: float | None = None
    skin_classes: tuple[str, ...] = ()
    cost_max_per_kg: float | None = None
    currency: str = "EUR"
    viscosity_min_mPas: float | None = None
    viscosity_max_mPas: float | None = None
    process_max_temperature_C: float | None = None
    product: str = "face"
    non_nano: bool = False

    def __post_init__(self) -> None:
        for name in self.skin_classes:
            if name not in SKIN_CLASSES:
                raise OutOfRangeError(
                    f"brief names skin class {name!r}, expected one of {', '.join(SKIN_CLASSES)}"
                )
        if self.label_spf is not None and not 1 < self.label_spf <= 100:
            raise OutOfRangeError(
                f"brief says label_spf = {self.label_spf}, expected above 1 to 100"
            )
