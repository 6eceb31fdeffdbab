"""Action spectra and lamps as shipped."""

from __future__ import annotations

import numpy as np
import pytest

from zincite.data.photobiology import erythema, photobiology, sunlight
from zincite.errors import OutOfRangeError
from zincite.sources import Evidence

COLUMNS = (
    "erythema",
    "ppd",
    "simulator_W_m2_nm",
    "uva_source_relative",
    "sunlight_W_m2_nm",
)


def test_grid_is_290_to_400_at_1_nm() -> None:
    np.testing.assert_array_equal(photobiology().wavelength_nm, np.arange(290.0, 401.0))


@pytest.mark.parametrize("column", COLUMNS)
def test_columns_are_complete_and_read_only(column: str) -> None:
    values = getattr(photobiology(), column)
    assert values.shape == (111,)
    assert np.all(np.isfinite(values))
    assert np.all(values >= 0)
    with pytest.raises(ValueError, match="read-only"):
        values[0] = 1.0


@pytest.mark.parametrize("column", COLUMNS)
def test_every_column_has_a_label_and_an_uncertainty(column: str) -> None:
    data = photobiology()
    assert data.info[column].label
    assert data.uncertainty[column].independent.shape == (111,)
    assert data.uncertainty[column].tilt.shape == (111,)


def test_remembered_and_computed_spectra_say_so() -> None:
    info = photobiology().info
    for column in ("ppd", "simulator_W_m2_nm", "uva_source_relative"):
        assert info[column].status is Evidence.ASSUMED
    assert "stand-in" in info["uva_source_relative"].label
    assert "not a lamp for SPF" in info["sunlight_W_m2_nm"].note


def test_uncertainty_grows_where_the_lamp_is_unknown() -> None:
    tilt = photobiology().uncertainty["uva_source_relative"].tilt
    wavelength = photobiology().wavelength_nm
    assert tilt[wavelength == 400] == pytest.approx(0.30)
    assert np.all(np.diff(tilt[wavelength >= 340]) > 0)
    assert np.all(photobiology().uncertainty["simulator_W_m2_nm"].independent == 0.01)


def test_erythema_refuses_the_visible() -> None:
    with pytest.raises(OutOfRangeError, match="expected wavelengths within 250 to 400 nm"):
        erythema([300.0, 401.0])


def test_erythema_refuses_nan() -> None:
    with pytest.raises(OutOfRangeError, match="nan"):
        erythema(float("nan"))


def test_sunlight_interpolates_and_refuses_outside() -> None:
    middle = sunlight(550.5)
    assert middle == pytest.approx(float(sunlight([550.0, 551.0]).mean()))
    with pytest.raises(OutOfRangeError, match="280 to 780 nm"):
        sunlight(781.0)
