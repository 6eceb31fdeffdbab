"""Loaders of the colour tables and the refusals of the colour functions."""

import tomllib
from dataclasses import FrozenInstanceError
from importlib.resources import files

import numpy as np
import pytest

from zincite.data import colour_tables
from zincite.data.tables import read_header
from zincite.errors import OutOfRangeError
from zincite.physics import colour, fresnel, two_flux

FILES = sorted(
    path.name
    for path in files("zincite.data").joinpath("colour").iterdir()
    if path.suffix == ".csv"
)
SOURCES = tomllib.loads(files("zincite.data").joinpath("sources_colour.toml").read_text("utf-8"))


@pytest.mark.parametrize("name", FILES)
def test_every_table_names_unit_note_and_a_known_source(name):
    header = read_header(f"colour/{name}")
    assert header["source"] in SOURCES
    assert header["unit"]
    assert header["note"]


def test_all_tables_are_there_and_every_source_is_used_and_complete():
    assert len(FILES) == 7
    assert {read_header(f"colour/{name}")["source"] for name in FILES} == set(SOURCES)
    needed = {"title", "authors", "year", "locator", "licence", "transcription", "date", "status"}
    for source in SOURCES.values():
        assert set(source) == needed
        assert source["status"] in ("read", "computed", "from memory")


def test_tables_cannot_be_changed():
    tables = colour_tables.observer_illuminants()
    assert tables is colour_tables.observer_illuminants()
    with pytest.raises(ValueError, match="read-only"):
        tables.cie_1964_10deg[0, 0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        colour_tables.skin_classes()[0].internal_reflectance[0] = 1.0
    with pytest.raises(FrozenInstanceError):
        tables.d65 = tables.d50


def test_haemoglobin_between_its_rows_and_beyond():
    """540 and 542 nm as tabulated by Prahl; 541 nm is their mean."""
    table = colour_tables.haemoglobin()
    row = {int(w): i for i, w in enumerate(table.wavelength_nm)}
    mean = 0.5 * (table.oxy_per_cm_molar[row[540]] + table.oxy_per_cm_molar[row[542]])
    assert table.at(541.0).oxy_per_cm_molar[0] == pytest.approx(mean)
    with pytest.raises(OutOfRangeError, match="expected 250 to 800 nm"):
        table.at([500.0, 810.0])


@pytest.mark.parametrize(
    ("angle", "name"),
    [
        (120.0, "very light"),
        (55.1, "very light"),
        (55.0, "light"),
        (41.0, "intermediate"),
        (28.0, "tan"),
        (10.0, "brown"),
        (-30.0, "dark"),
        (-120.0, "dark"),
    ],
)
def test_class_of_an_angle(angle, name):
    """Bounds of Chardon, Cretois, Hourseau (1991): a class ends at its upper bound."""
    assert colour_tables.ita_class_of(angle).name == name


def test_class_of_no_angle_is_refused():
    with pytest.raises(OutOfRangeError, match="expected -180 to 180"):
        colour_tables.ita_class_of(float("nan"))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: colour.tristimulus_weights(np.ones((5, 3)), np.ones(4)), "one wavelength grid"),
        (lambda: colour.tristimulus_weights(np.ones((5, 3)), np.zeros(5)), "no visible light"),
        (lambda: colour.lab_from_xyz([1, 1, 1], [95, 0, 108]), "three numbers above 0"),
        (lambda: colour.hex_from_srgb([1.2, 0, 0]), "outside 0 to 1"),
        (lambda: fresnel.fresnel_normal(0.0), "a number above 0"),
        (lambda: fresnel.diffuse_external(0.9), "expected 1 or more"),
        (lambda: fresnel.fresnel_unpolarised(1.1, 1.5), "expected 0 to 1"),
        (lambda: two_flux.kubelka_munk_layer(-1.0, 1.0, 1.0), "absorption holds -1.0"),
        (lambda: two_flux.kubelka_munk_layer(1.0, 1.0, 1.0, 1.5), "background reflectance is 1.5"),
        (lambda: two_flux.k_over_s(0.0), "above 0 and up to 1"),
        (lambda: two_flux.infinite_reflectance(-0.1), "expected 0 or more"),
    ],
)
def test_impossible_input_is_refused_in_one_sentence(call, message):
    with pytest.raises(OutOfRangeError, match=message) as caught:
        call()
    assert "\n" not in str(caught.value)
