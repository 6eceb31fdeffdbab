"""The skin model and the six skins that ship."""

import numpy as np
import pytest

from zincite.data.colour_tables import (
    haemoglobin,
    ita_class_of,
    ita_classes,
    observer_illuminants,
    skin_classes,
    uv_skin,
)
from zincite.errors import OutOfRangeError
from zincite.physics import skin
from zincite.physics.colour import (
    delta_e00,
    ita_deg,
    lab_from_xyz,
    tristimulus_weights,
    white_point,
)
from zincite.sources import Evidence

TABLES = observer_illuminants()
WEIGHTS = tristimulus_weights(TABLES.cie_1964_10deg, TABLES.d65)
BLOOD = haemoglobin().at(TABLES.wavelength_nm)
NAMES = [one.name for one in ita_classes()]


def _internal(composition):
    return skin.internal_reflectance(
        TABLES.wavelength_nm, BLOOD.oxy_per_cm_molar, BLOOD.deoxy_per_cm_molar, composition
    )


def _lab(internal):
    return lab_from_xyz(skin.surface_reflectance(internal) @ WEIGHTS, white_point(WEIGHTS))


def test_more_melanin_is_darker_and_turns_the_typology_angle_down():
    labs = np.array(
        [_lab(_internal(skin.SkinComposition(m, 0.01))) for m in (0.01, 0.05, 0.2, 0.4)]
    )
    assert np.all(np.diff(labs[:, 0]) < 0)
    assert np.all(np.diff(ita_deg(labs)) < 0)


def test_more_blood_is_redder_and_darker():
    pale, flushed = (_lab(_internal(skin.SkinComposition(0.02, b))) for b in (0.001, 0.008))
    assert flushed[1] > pale[1]
    assert flushed[0] < pale[0]


def test_more_scattering_is_lighter():
    low, high = (_internal(skin.SkinComposition(0.02, 0.005, s)) for s in (0.7, 1.4))
    assert np.all(high > low)


def test_blood_conversion_by_hand():
    """2.303 e x / 64500, e = 20932.8 /(cm M) at 500 nm (Prahl table): 112.1 /cm."""
    oxy = haemoglobin().at(500.0)
    absorption = skin.blood_absorption_per_cm(oxy.oxy_per_cm_molar, oxy.deoxy_per_cm_molar, 1.0)
    assert absorption[0] == pytest.approx(2.302585 * 20932.8 * 150 / 64500, rel=1e-6)


def test_no_epidermis_shows_the_dermis():
    bare = _internal(skin.SkinComposition(0.3, 0.01, epidermis_thickness_um=0.0))
    thin = _internal(skin.SkinComposition(0.3, 0.01, epidermis_thickness_um=1e-4))
    np.testing.assert_allclose(bare, thin, atol=1e-4)


def test_specular_part_is_the_mirror_reflection_of_the_face():
    internal = np.array([0.0, 0.3, 1.0])
    included = skin.surface_reflectance(internal, 1.45)
    excluded = skin.surface_reflectance(internal, 1.45, specular_included=False)
    np.testing.assert_allclose(included - excluded, (0.45 / 2.45) ** 2)  # Fresnel, normal
    diffuse = skin.surface_reflectance(internal, 1.45, geometry="d/d")
    np.testing.assert_allclose(diffuse[[0, 2]], [0.08436696, 1.0], atol=1e-8)  # Duntley 1942


@pytest.mark.parametrize("one", skin_classes(), ids=NAMES)
def test_shipped_skins_lie_in_their_class_with_its_example_colour(one):
    """Bounds: Chardon, Cretois, Hourseau (1991). The spectrum alone must give the colour."""
    lab = _lab(one.internal_reflectance)
    assert one.ita_class.ita_low_deg < ita_deg(lab) <= one.ita_class.ita_high_deg
    assert ita_class_of(float(ita_deg(lab))).name == one.name
    assert delta_e00(lab, one.ita_class.example_lab) < 1e-3
    np.testing.assert_allclose(lab, one.lab, atol=2e-3)
    assert one.ita_deg == pytest.approx(float(ita_deg(lab)), abs=2e-3)


@pytest.mark.parametrize("one", skin_classes(), ids=NAMES)
def test_shipped_spectra_are_those_of_the_shipped_composition(one):
    composition = skin.SkinComposition(
        one.melanin_fraction,
        one.blood_fraction,
        one.scattering_scale,
        one.oxygen_saturation,
        one.epidermis_thickness_um,
    )
    np.testing.assert_allclose(_internal(composition), one.internal_reflectance, atol=1e-6)
    assert one.surface_index == skin.SKIN_SURFACE_INDEX
    assert one.evidence is Evidence.ASSUMED


def test_six_skins_palest_first():
    assert [one.name for one in skin_classes()] == NAMES
    assert NAMES == ["very light", "light", "intermediate", "tan", "brown", "dark"]
    assert np.all(np.diff([one.melanin_fraction for one in skin_classes()]) > 0)
    assert np.all(np.diff([one.ita_deg for one in skin_classes()]) < 0)


def test_ultraviolet_skin_is_dim_ordered_and_flagged():
    uv = uv_skin()
    assert uv.wavelength_nm[[0, -1]].tolist() == [290.0, 400.0]
    assert np.all(uv.internal_low < uv.internal_reflectance)
    assert np.all(uv.internal_reflectance < uv.internal_high)
    # a few per cent in the UVB, about 10 % in the UVA (literature level, from memory)
    assert 0.04 <= uv.surface_reflectance[:31].mean() <= 0.07
    assert 0.08 <= uv.surface_reflectance[30:].mean() <= 0.13
    assert uv.evidence is Evidence.ASSUMED
    # the files round to three and four decimals
    np.testing.assert_allclose(
        skin.surface_reflectance(uv.internal_reflectance[::10]),
        uv.surface_reflectance[::10],
        atol=1e-3,
    )


def test_ultraviolet_skin_meets_the_visible_skins_at_400_nm():
    at_400 = [one.internal_reflectance[4] for one in skin_classes()]
    assert uv_skin().internal_low[-1] < max(at_400)
    assert at_400[2] < uv_skin().internal_reflectance[-1] < at_400[0]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"melanin_fraction": 1.2}, "melanin fraction is 1.2"),
        ({"blood_fraction": -0.1}, "blood fraction is -0.1"),
        ({"scattering_scale": 0.0}, "scattering scale is 0.0"),
        ({"oxygen_saturation": 1.5}, "oxygen saturation is 1.5"),
        ({"epidermis_thickness_um": -1.0}, "epidermis thickness is -1.0"),
        ({"melanin_fraction": float("nan")}, "melanin fraction is nan"),
    ],
)
def test_impossible_skin_is_refused(change, message):
    with pytest.raises(OutOfRangeError, match=message):
        _internal(skin.SkinComposition(0.02, 0.01)._replace(**change))


def test_impossible_geometry_and_reading_are_refused():
    with pytest.raises(OutOfRangeError, match="geometry is '45/0'"):
        skin.surface_reflectance(0.5, geometry="45/0")
    with pytest.raises(OutOfRangeError, match="mirror reflection included"):
        skin.internal_from_surface(0.02)
    with pytest.raises(OutOfRangeError, match="expected 1 or more"):
        skin.surface_reflectance(0.5, 0.9)
