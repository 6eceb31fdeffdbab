"""The brief: what a formula is to reach, as limits that can be judged."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.errors import OutOfRangeError

__all__ = ["SKIN_CLASSES", "Brief", "skins_asked"]

SKIN_CLASSES = ("very light", "light", "intermediate", "tan", "brown", "dark")
"""ITA classes from light to dark (Chardon, Cretois and Hourseau 1991)."""

_EMULSIONS = ("water-in-oil", "oil-in-water", "anhydrous")

_RANGES: dict[str, tuple[float, float]] = {
    "uva_pf_to_spf_min": (0.0, 2.0),
    "critical_wavelength_min_nm": (290.0, 400.0),
    "natural_origin_min_percent": (0.0, 100.0),
    "white_cast_max_delta_e00": (0.0, 100.0),
    "white_cast_max_delta_l": (-100.0, 100.0),
    "cost_max_per_kg": (0.0, 1e6),
    "viscosity_min_mPas": (0.0, 1e9),
    "viscosity_max_mPas": (0.0, 1e9),
    "process_max_temperature_C": (0.0, 150.0),
    "pigment_max_percent": (0.0, 100.0),
}


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
    currency : str
        Three-letter code.
    viscosity_min_mPas, viscosity_max_mPas : float or None
        Viscosity band. [mPa s]
    process_max_temperature_C : float or None
        Highest process temperature (low-energy process). [degC]
    product : str
        Kind of product, such as "face", "body", "lip", "spray", "powder", "children".
    non_nano : bool
        Whether no ingredient may be nano.
    emulsion : str or None
        Kind of formula asked for, as in the formula file; None leaves it open.
    pigment_max_percent : float or None
        Largest share of UV pigment. [%]
    water_resistant : bool
        Whether water resistance is to be claimed.
    excluded_inci : tuple of str
        INCI names that may not stand in the ingredient list.
    note : str
        Anything else, in words.
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
    emulsion: str | None = None
    pigment_max_percent: float | None = None
    water_resistant: bool = False
    excluded_inci: tuple[str, ...] = ()
    note: str = ""

    def __post_init__(self) -> None:
        for key, (low, high) in _RANGES.items():
            value = getattr(self, key)
            if value is not None and not low <= value <= high:
                raise OutOfRangeError(f"brief says {key} = {value:g}, expected {low:g} to {high:g}")
        least, most = self.viscosity_min_mPas, self.viscosity_max_mPas
        if least is not None and most is not None and least > most:
            raise OutOfRangeError(
                f"brief says viscosity_min_mPas = {least:g} above viscosity_max_mPas = {most:g}, "
                "expected min <= max"
            )
        if self.emulsion is not None and self.emulsion not in _EMULSIONS:
            raise OutOfRangeError(
                f"brief says emulsion = {self.emulsion!r}, expected one of {', '.join(_EMULSIONS)}"
            )
        for name in self.skin_classes:
            if name not in SKIN_CLASSES:
                raise OutOfRangeError(
                    f"brief names skin class {name!r}, expected one of {', '.join(SKIN_CLASSES)}"
                )
        if self.label_spf is not None and not 1 < self.label_spf <= 100:
            raise OutOfRangeError(
                f"brief says label_spf = {self.label_spf}, expected above 1 to 100"
            )


def skins_asked(brief: Brief | None) -> tuple[str, ...]:
    """Return the skin classes on which white cast counts: those of the brief, else all."""
    return (brief.skin_classes if brief else ()) or SKIN_CLASSES
