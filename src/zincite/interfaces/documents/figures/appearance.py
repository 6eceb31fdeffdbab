"""What the eye sees: skin bare and with the film, in the colours a screen can show."""

from __future__ import annotations

import numpy as np

from zincite.evaluation.prediction import Prediction, WhiteCast
from zincite.formula.brief import SKIN_CLASSES, skins_asked
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import found_text
from zincite.physics.colour import hex_from_srgb, srgb_from_lab

__all__ = ["cast_word", "skin_swatch", "skin_swatches", "worst_class"]

_WIDTH, _PATCH = 170.0, 92.0


def worst_class(prediction: Prediction) -> str:
    """Return the skin class asked for on which the film shows most, "" where none is known."""
    asked = skins_asked(prediction.formula.brief)
    known = {
        name: cast.delta_e00.median
        for name, cast in prediction.white_cast.items()
        if name in asked and np.isfinite(cast.delta_e00.median)
    }
    return max(known, key=lambda name: known[name]) if known else ""


def cast_word(cast: WhiteCast) -> str:
    """Return what the film does to skin: "white cast", or "darkening" by a tint."""
    return "darkening" if cast.delta_l.median < 0 else "white cast"


def _screen(lab: tuple[float, float, float]) -> tuple[str, bool]:
    """Return a colour's web code and whether a screen can show it; grey hatch where unknown."""
    if not np.isfinite(lab).all():
        return "", True
    colour = srgb_from_lab(lab)
    return hex_from_srgb(colour.srgb)[0], bool(colour.in_gamut)


def skin_swatch(name: str, cast: WhiteCast, *, key: str = "swatch") -> str:
    """Return one skin class: bare at the left, with the film at the right, touching.

    Parameters
    ----------
    name : str
        Skin class in words.
    cast : WhiteCast
    key : str

    Returns
    -------
    str
        SVG.
    """
    parts = [svg.text(0, 14, f"{name} skin", weight="600", size=13)]
    clipped: list[str] = []
    for place, (word, lab) in enumerate((("bare", cast.bare_lab), ("with film", cast.film_lab))):
        left = place * _WIDTH / 2
        colour, shown = _screen(lab)
        parts.append(svg.rect(left, 22, _WIDTH / 2, _PATCH, fill=colour or svg.TINT))
        if not colour:
            parts.append(svg.hatch(left, 22, _WIDTH / 2, _PATCH))
        dark = not colour or lab[0] < 60
        parts.append(
            svg.text(
                left + 6,
                22 + _PATCH - 7,
                word,
                size=11,
                fill="#ffffff" if dark and colour else svg.INK,
            )
        )
        if not shown:
            clipped.append(word)
    rows = [f"dE00 {found_text(cast.delta_e00)}", f"dL* {found_text(cast.delta_l, signed=True)}"]
    if clipped:
        rows.append(f"{' and '.join(clipped)}: outside sRGB, nearest shown")
    for number, row in enumerate(rows):
        parts.append(
            svg.text(
                0,
                22 + _PATCH + 17 + 15 * number,
                row,
                size=12 if number < 2 else 9.5,
                fill=svg.INK if number < 2 else svg.OCHRE,
            )
        )
    return svg.picture(
        parts,
        width=_WIDTH,
        height=22 + _PATCH + 24 + 15 * (len(rows) - 1),
        title=f"{name} skin, bare and with the film",
        description=f"{rows[0]}, {rows[1]} (90 % intervals), D65, 10 degree observer. "
        + " ".join(rows[2:]),
        key=f"{key}-{name}",
    )


def skin_swatches(prediction: Prediction, *, key: str = "swatch") -> tuple[str, ...]:
    """Return the swatches from light to dark skin, one SVG each."""
    return tuple(
        skin_swatch(name, prediction.white_cast[name], key=key)
        for name in SKIN_CLASSES
        if name in prediction.white_cast
    )
