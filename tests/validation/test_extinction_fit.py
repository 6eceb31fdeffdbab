"""The optical size fitted to a measured extinction: a closed loop through the exact spheres."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.validation.formulas import formula, grade
from zincite.evaluation.extinction import fit_optical_size, specific_extinction_L_g_cm
from zincite.evaluation.predicting import predict_formula

WAVELENGTHS = (308.0, 330.0, 360.0, 400.0, 524.0)


@pytest.mark.parametrize("core", ["zinc-oxide", "titanium-dioxide-rutile"])
@pytest.mark.parametrize("size", [40.0, 70.0, 120.0])
def test_size_and_clusters_come_back(core: str, size: float) -> None:
    """A curve made from a known size and share, card size 15 % off: both come back."""
    made = grade(core, size)
    curve = specific_extinction_L_g_cm(made, np.array(WAVELENGTHS), 1.46, 0.2)
    card = replace(
        made,
        primary_median_nm=size * 1.15,
        extinction_nm=WAVELENGTHS,
        extinction_L_g_cm=tuple(curve),
    )
    fitted, misfit = fit_optical_size(card)
    assert fitted.primary_median_nm == pytest.approx(size, rel=0.12)
    assert fitted.aggregate_fraction is not None
    assert fitted.aggregate_fraction.value == pytest.approx(0.2, abs=0.15)
    assert misfit < 6


def test_a_typical_fine_zinc_oxide_keeps_its_size() -> None:
    """Check value C28 (from memory, low confidence): 10-15 / 10-16 / 0.5-3 L/(g cm) for 40-150 nm;
    a curve in its middle must not turn a 120 nm card into fine clusters.
    """
    card = replace(
        grade("zinc-oxide", 120.0),
        extinction_nm=(308.0, 360.0, 524.0),
        extinction_L_g_cm=(13.0, 14.0, 1.5),
    )
    fitted, _ = fit_optical_size(card)
    assert 80 < fitted.primary_median_nm < 150


def test_the_report_says_that_the_size_was_fitted() -> None:
    card = replace(
        grade("zinc-oxide", 100.0),
        extinction_nm=(308.0, 360.0, 524.0),
        extinction_L_g_cm=(15.0, 16.0, 1.4),
    )
    told = predict_formula(formula((card, 15.0))).to_dict()["pigments"]
    assert "fitted to the card's measured extinction" in told[0]["fitted"]
