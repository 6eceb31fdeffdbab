"""Measured colours: swatches before and after the film."""

from __future__ import annotations

import numpy as np

from zincite.evaluation.assay.colour import ClassChange
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.numbers import number_text, signed_text
from zincite.physics.colour import hex_from_srgb, srgb_from_lab

__all__ = ["measured_swatch"]

_WIDTH, _PATCH = 170.0, 92.0


def measured_swatch(change: ClassChange, *, surface: str, key: str = "measured") -> str:
    """Return the mean colour of one class: bare at the left, with the film at the right.

    Parameters
    ----------
    change : ClassChange
    surface : str
        "skin" or "card".
    key : str

    Returns
    -------
    str
        SVG.
    """
    name = f"{change.name} skin" if surface == "skin" else change.name
    parts = [svg.text(0, 14, name, weight="600", size=13)]
    clipped = []
    for place, (word, lab) in enumerate(
        (("bare", change.before_lab), ("with film", change.after_lab))
    ):
        colour = srgb_from_lab(np.array(lab))
        left = place * _WIDTH / 2
        parts.append(
            svg.rect(left, 22, _WIDTH / 2, _PATCH, fill=str(hex_from_srgb(colour.srgb)[0]))
        )
        parts.append(
            svg.text(left + 6, 22 + _PATCH - 7, word, size=11,
                     fill="#ffffff" if lab[0] < 60 else svg.INK)
        )  # fmt: skip
        if not bool(colour.in_gamut):
            clipped.append(word)
    rows = [
        f"dE00 {number_text(change.delta_e00.mean, decimals=1)}, "
        f"dL* {signed_text(change.delta_l.mean, decimals=1)}"
    ]
    if clipped:
        rows.append(f"{' and '.join(clipped)}: outside sRGB")
    for number, row in enumerate(rows):
        parts.append(svg.text(0, 22 + _PATCH + 17 + 15 * number, row))
    return svg.picture(
        parts,
        width=_WIDTH,
        height=22 + _PATCH + 24 + 15 * (len(rows) - 1),
        title=f"{name}, bare and with the film, measured",
        description=f"{rows[0]}, {change.n} subjects.",
        key=f"{key}-{change.name}",
    )
