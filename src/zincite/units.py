"""Unit conversions used at the edges; inside, one unit per quantity and its name says which."""

from __future__ import annotations

__all__ = [
    "LN10",
    "MOLAR_GAS_CONSTANT_J_PER_MOL_K",
    "fraction_to_percent",
    "litre_per_gram_cm_to_m2_per_gram",
    "mg_cm2_to_g_m2",
    "percent_to_fraction",
]

LN10 = 2.302585092994046
"""Napierian per decadic absorbance. [-]"""

MOLAR_GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324
"""CODATA 2018, exact. [J/(mol K)]"""


def percent_to_fraction(percent: float) -> float:
    """Return a percentage as a fraction."""
    return percent / 100.0


def fraction_to_percent(fraction: float) -> float:
    """Return a fraction as a percentage."""
    return fraction * 100.0


def mg_cm2_to_g_m2(dose_mg_cm2: float) -> float:
    """Return an areal dose in g/m2 (1 mg/cm2 = 10 g/m2)."""
    return dose_mg_cm2 * 10.0


def litre_per_gram_cm_to_m2_per_gram(specific_extinction_L_g_cm: float) -> float:
    """Return a decadic specific extinction as a Napierian cross-section per mass.

    1 L/(g cm) = 1000 cm2/g = 0.1 m2/g; the factor ln 10 makes it Napierian.
    """
    return specific_extinction_L_g_cm * 0.1 * LN10
