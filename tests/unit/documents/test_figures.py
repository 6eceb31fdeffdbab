"""Pictures: well-formed, titled, with units, and saying what the numbers say."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import colour
import numpy as np
import pytest
from scipy.stats import gamma

from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.judgement import BriefLine
from zincite.interfaces.documents import figures
from zincite.interfaces.documents.figures.film import thin_tenth

PICTURES = {
    "transmittance": figures.transmittance,
    "absorbance": figures.absorbance,
    "cumulative": figures.cumulative_absorbance,
    "film": figures.film_thickness,
    "sizes": figures.pigment_sizes,
    "depth": figures.optical_depth,
    "levers": lambda p: figures.lever_chart(p.levers),
    "brief": lambda p: figures.brief_bars(p.brief),
    "compared": lambda p: figures.compared_transmittance([p, p]),
    "compared cast": lambda p: figures.compared_white_cast([p, p]),
}


def _texts(picture):
    return [e.text or "" for e in ElementTree.fromstring(picture).iter("text")]


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("kind", ["prediction", "hollow", "hostile"])
def test_every_picture_is_whole_and_titled(name, kind, request):
    picture = PICTURES[name](request.getfixturevalue(kind))
    root = ElementTree.fromstring(picture)
    assert root.find("title").text
    assert root.find("desc").text
    assert not re.search(r'="(nan|inf|-inf)', picture)
    assert "<script" not in picture
    assert "<img" not in picture


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("transmittance", "transmittance, %"),
        ("transmittance", "wavelength, nm"),
        ("absorbance", "wavelength, nm"),
        ("sizes", "primary particle diameter, nm"),
        ("depth", "wavelength, nm"),
        ("compared", "wavelength, nm"),
    ],
)
def test_axes_name_quantity_and_unit(prediction, name, unit):
    assert unit in _texts(PICTURES[name](prediction))


def test_bands_of_the_ultraviolet_are_named(prediction):
    assert {"UVB", "UVA2", "UVA1"} <= set(_texts(figures.transmittance(prediction)))


def test_text_stays_on_the_drawing_ground(prediction):
    for name, draw in PICTURES.items():
        root = ElementTree.fromstring(draw(prediction))
        width, height = (float(v) for v in root.get("viewBox").split()[2:])
        for item in root.iter("text"):
            assert 0 <= float(item.get("x")) <= width, (name, item.text)
            assert 0 <= float(item.get("y")) <= height, (name, item.text)


def test_the_critical_wavelength_is_printed(prediction):
    shown = f"{prediction.critical_wavelength_nm.median:.1f} nm"
    texts = _texts(figures.cumulative_absorbance(prediction))
    assert shown in texts
    assert "370 nm" in texts


@pytest.mark.parametrize("shape", [0.4, 0.8, 1.0, 2.5, 6.0])
def test_the_thin_tenth_is_the_first_decile(shape):
    # Second opinion: the quantile function of scipy.stats.gamma with mean 1. For the least even
    # film the tenth lies below the first height, where the density is continued by its power.
    height = np.linspace(0.01, 4.0, 160)
    density = gamma.pdf(height, shape, scale=1 / shape)
    expected = gamma.ppf(0.1, shape, scale=1 / shape)
    assert thin_tenth(height, density) == pytest.approx(expected, rel=0.06)


def test_every_pigment_is_named_at_its_line(prediction):
    texts = " ".join(_texts(figures.optical_depth(prediction)))
    assert "ZnO 120 stearate" in texts
    assert "TiO2 35" in texts
    assert "all pigments" in texts


def test_the_nano_limit_is_marked(prediction):
    assert "nano below 100 nm" in _texts(figures.pigment_sizes(prediction))


def test_swatches_show_the_colours_of_an_independent_library(prediction):
    # colour-science: CIELAB under D65 to sRGB (IEC 61966-2-1), 2 degree white as on a screen.
    white = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    cast = prediction.white_cast["tan"]
    fills = re.findall(r'fill="(#[0-9a-f]{6})"', figures.skin_swatch("tan", cast))
    for lab in (cast.bare_lab, cast.film_lab):
        rgb = np.clip(colour.XYZ_to_sRGB(colour.Lab_to_XYZ(lab, white), white), 0, 1)
        near = [
            max(abs(int(f[i : i + 2], 16) - 255 * rgb[n]) for n, i in enumerate((1, 3, 5)))
            for f in fills
        ]
        assert min(near) <= 1.0, lab


def test_a_colour_that_no_screen_shows_is_named(prediction):
    cast = replace(prediction.white_cast["tan"], film_lab=(60.0, 90.0, -90.0))
    assert "outside sRGB" in figures.skin_swatch("tan", cast)
    assert "outside sRGB" not in figures.skin_swatch("tan", prediction.white_cast["tan"])


def test_each_skin_class_is_named_in_words(prediction):
    words = [" ".join(_texts(s)) for s in figures.skin_swatches(prediction)]
    assert len(words) == 6
    for name, text in zip(prediction.white_cast, words, strict=True):
        assert text.startswith(f"{name} skin")
        assert "dE00" in text
        assert "dL*" in text


@pytest.mark.parametrize("sense", ["at least", "at most"])
def test_the_hatched_side_is_the_side_that_misses(sense):
    line = BriefLine("q", "short", 10, sense, "nm", Estimate(9, 5, 16, "nm"), -1, 0.4)
    root = ElementTree.fromstring(figures.brief_bar(line, key="k"))
    hatch = [e for e in root.iter("line") if e.get("stroke-width") == "0.6"]
    limit = next(e for e in root.iter("line") if e.get("stroke-width") == "1.4")
    middle = np.mean([float(e.get("x1")) for e in hatch])
    assert (middle < float(limit.get("x1"))) == (sense == "at least")


def test_rows_of_the_brief_print_number_unit_limit_and_word(all_verdicts):
    words = " ".join(_texts(figures.brief_bars(all_verdicts.brief)))
    for verdict in ("passes", "short", "fails", "unknown"):
        assert verdict in words
    assert "75\u00a0°C" in words
    assert "at most 60\u00a0°C" in words
    assert "not known" in words


def test_an_interval_of_many_decades_is_drawn_by_ratio():
    line = BriefLine(
        "viscosity", "passes", 3000, "at least", "", Estimate(8000, 1500, 40000), 5000, None
    )
    root = ElementTree.fromstring(figures.brief_bar(line, key="k"))
    limit = next(e for e in root.iter("line") if e.get("stroke-width") == "1.4")
    middle = next(e for e in root.iter("line") if e.get("stroke-width") == "3")
    # by ratio 3000 lies 21 % of the way from 1500 to 40000, evenly it would lie at 4 %
    assert float(limit.get("x1")) > 50
    assert float(middle.get("x1")) > float(limit.get("x1"))


def test_levers_go_to_both_sides_with_their_numbers(prediction):
    texts = _texts(figures.lever_chart(prediction.levers))
    assert sum(t.endswith("%") and t[0] in "+−" for t in texts) == 2 * len(prediction.levers)


def test_no_levers_is_said():
    assert "no pigment" in figures.lever_chart(())


def test_an_exact_value_is_a_dot():
    line = BriefLine("t", "fails", 60, "at most", "degC", Exact(75.0, "degC"), -15.0, None)
    assert ElementTree.fromstring(figures.brief_bar(line, key="k")).find("circle") is not None
