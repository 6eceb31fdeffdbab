"""Product density and critical pigment volume against published figures."""

import pytest

from zincite.evaluation.density import cpvc_from_oil_absorption, density_g_ml, dose_uL_cm2
from zincite.formula.formula import Formula, Ingredient, Phase
from zincite.formula.library import library


def emulsion(zinc_percent: float) -> Formula:
    """Return a plausible water-in-oil emulsion: of what is not pigment 40 % oils, 60 % water."""
    rest = 100.0 - zinc_percent
    parts = (
        ("zinc-oxide-120", zinc_percent),
        ("caprylic-capric-triglyceride", 0.40 * rest),
        ("water", 0.60 * rest),
    )
    phase = Phase("A", "oil", tuple(Ingredient(name, percent) for name, percent in parts))
    cards = {name: library()[name] for name, _ in parts}
    return Formula("D", "density", "water-in-oil", (phase,), cards)


@pytest.mark.parametrize(("zinc_percent", "density"), [(20.0, 1.17), (25.0, 1.23)])
def test_density_of_zinc_oxide_emulsions(zinc_percent, density):
    """McCormick 2011, Cosmet. Toiletries 126(3), 164-168: 1.17 and 1.23 g/mL.

    The paper's base is not known; tolerance 0.02 g/mL covers bases of 0.96 to 0.99 g/mL.
    """
    found = density_g_ml(emulsion(zinc_percent))
    assert found.median == pytest.approx(density, abs=0.02)
    assert found.low < density < found.high


def test_the_step_from_20_to_25_percent():
    """McCormick 2011: 1.23 less 1.17; tolerance one unit of the last digit for two roundings."""
    step = density_g_ml(emulsion(25.0)).median - density_g_ml(emulsion(20.0)).median
    assert step == pytest.approx(0.06, abs=0.01)


def test_a_dose_by_volume_is_the_dose_by_mass_at_density_one():
    """McCormick 2011: 2 mg/cm2 is a film of 20 um (2 uL/cm2) at density 1."""
    assert dose_uL_cm2(2.0, 1.0) == pytest.approx(2.0)
    assert dose_uL_cm2(2.0, 1.23) == pytest.approx(1.63, abs=0.005)


@pytest.mark.parametrize(
    ("oil_absorption", "density", "cpvc"),
    [(18.5, 5.606, 0.47), (11.0, 4.23, 0.67), (40.0, 5.606, 0.29)],
)
def test_cpvc_of_published_oil_absorptions(oil_absorption, density, cpvc):
    """CPVC = 1/(1 + OA rho/K) (textbook relation); oil absorptions of a paint-trade list.

    Printed values hold two digits, tolerance half a unit of the last one.
    """
    assert cpvc_from_oil_absorption(oil_absorption, density) == pytest.approx(cpvc, abs=0.005)
