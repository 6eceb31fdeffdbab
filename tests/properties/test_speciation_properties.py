"""Mass and charge are conserved whatever is dissolved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from zincite.data.chemistry import components
from zincite.evaluation.making.water.aqueous import chemistry_of
from zincite.physics.speciation import equilibrium

SOLIDS = (
    "ZnO (zincite)",
    "ZnCO3",
    "Zn3(PO4)2.4H2O (hopeite)",
    "Al(OH)3 (gibbsite)",
    "Mg(OH)2",
)
NAMES = [name for name in components() if name != "H"]
totals = st.one_of(st.just(0.0), st.floats(-12, 0.7).map(lambda x: 10.0**x))
waters = st.dictionaries(st.sampled_from(NAMES), totals, min_size=1, max_size=9)
strengths = st.one_of(st.none(), st.floats(0, 0.5), st.just("auto"))


def _scale(chemistry, found) -> np.ndarray:
    """Return the sum of all terms of each balance: what 1e-9 is relative to."""
    system = chemistry.system
    dissolved = found.concentration_mol_l @ np.abs(system.stoichiometry)
    return dissolved + np.abs(found.solid_mol_l) @ np.abs(system.solid_stoichiometry)


@given(waters, st.floats(2, 13), st.booleans(), strengths)
@settings(max_examples=150, deadline=None)
def test_mass_is_conserved_at_fixed_ph(water, ph, with_solids, strength) -> None:
    chemistry = chemistry_of(water, SOLIDS if with_solids else ())
    given_totals = chemistry.totals(water)
    found = equilibrium(
        chemistry.system,
        given_totals,
        log10_fixed=chemistry.fixed_ph(ph),
        ionic_strength=strength,
    )
    off = np.abs(found.total_mol_l[0] - given_totals)
    off[chemistry.components.index("H")] = 0.0  # what holds the pH gives or takes protons
    assert np.all(off <= 1e-9 * (_scale(chemistry, found)[0] + 1e-30))
    assert np.all(found.residual <= 1e-12)
    assert np.all(found.solid_mol_l >= 0)
    assert np.all(found.saturation_index <= 1e-8)


@given(waters, st.booleans(), strengths)
@settings(max_examples=150, deadline=None)
def test_mass_and_charge_are_conserved_by_electroneutrality(water, with_solids, strength) -> None:
    chemistry = chemistry_of(water, SOLIDS if with_solids else ())
    given_totals = chemistry.totals(water)
    found = equilibrium(
        chemistry.system, given_totals, electroneutral=True, ionic_strength=strength
    )
    off = np.abs(found.total_mol_l[0] - given_totals)
    off[chemistry.components.index("H")] = 0.0
    scale = _scale(chemistry, found)[0]
    assert np.all(off <= 1e-9 * (scale + 1e-30))
    assert np.abs(found.charge_mol_l[0]) <= 1e-9 * scale.sum()
    assert np.all(found.residual <= 1e-12)
    assert np.all(found.saturation_index <= 1e-8)


@given(st.floats(5, 12), st.floats(0.01, 0.9))
@settings(max_examples=30, deadline=None)
def test_more_ligand_never_frees_zinc(ph, factor) -> None:
    chemistry = chemistry_of(["Zn", "EDTA"])
    both = [chemistry.totals({"Zn": 1e-3, "EDTA": y}) for y in (1e-3 * factor, 1e-3)]
    found = equilibrium(
        chemistry.system, np.array(both), log10_fixed=np.repeat(chemistry.fixed_ph(ph), 2, axis=0)
    )
    zinc = found.log10_activity[:, chemistry.components.index("Zn")]
    assert zinc[1] < zinc[0]


@pytest.mark.parametrize("amount", [0.0, 1e-12, 5.0])
@pytest.mark.parametrize("ph", [None, 4.0, 9.0])
def test_extreme_totals_have_an_answer(amount, ph) -> None:
    """All components at once, none of them, traces, or 5 mol/L of each."""
    chemistry = chemistry_of(NAMES, SOLIDS)
    found = equilibrium(
        chemistry.system,
        chemistry.totals(dict.fromkeys(NAMES, amount)),
        log10_fixed=None if ph is None else chemistry.fixed_ph(ph),
        electroneutral=ph is None,
    )
    assert np.all(np.isfinite(found.concentration_mol_l))
    assert np.all(found.residual <= 1e-12)
