"""Unit conversions used at the edges; inside, one unit per quantity and its name says which."""

from __future__ import annotations

__all__ = [
    "LN10",
    "litre_per_gram_cm_to_m2_per_gram",
    "mg_cm2_to_g_m2",
]

LN10 = 2.302585092994046
"""Napierian per decadic absorbance. [-]"""


def mg_cm2_to_g_m2(dose_mg_cm2: float) -> float:
    """Return an areal dose in g/m2 (1 mg/cm2 = 10 g/m2)."""
    return dose_mg_cm2 * 10.0


def litre_per_gram_cm_to_m2_per_gram(specific_extinction_L_g_cm: float) -> float:
    """Return a decadic specific extinction as a Napierian cross-section per mass.

    1 L/(g cm) = 1000 cm2/g = 0.1 m2/g; the factor ln 10 makes it Napierian.
    """
    return specific_extinction_L_g_cm * 0.1 * LN10
