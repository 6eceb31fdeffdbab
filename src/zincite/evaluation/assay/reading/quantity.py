"""Whether readings are transmittance (fraction or per cent) or absorbance."""

from __future__ import annotations

import re
from collections.abc import Iterable
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import shown

__all__ = [
    "MOST_TRANSMITTANCE",
    "QUANTITIES",
    "Kind",
    "kind_from_values",
    "kind_of_text",
    "kind_of_texts",
    "requested_kinds",
    "scale_of_transmittance",
]


class Kind(StrEnum):
    """What a column of readings holds."""

    PERCENT = "transmittance in %"
    FRACTION = "transmittance as fraction"
    TRANSMITTANCE = "transmittance"
    ABSORBANCE = "absorbance"
    REFLECTANCE = "reflectance"


QUANTITIES = ("absorbance", "transmittance", "transmittance_percent", "transmittance_fraction")
"""What the `quantity` option may say; the last two also give the scale."""

MOST_TRANSMITTANCE = 1.05
"""Highest transmittance that noise of the baseline explains. [-]"""

_MOST_ABSORBANCE = 5.0
_LEAST_PERCENT = 2.0
_TRANSMITTANCE = re.compile(
    r"transm|durchl(?:a|\u00e4)(?:ss|\u00df)|%\s*t\b|\bt\s*[\(\[]?\s*%|^t$|\bt\s*[\(\[]\s*(?:-|1|fraction|"
    r"0\s*(?:-|\u2013|\.\.|to)\s*1)\s*[\)\]]"
)
_PERCENT = re.compile(r"%|per\s?cent|prozent|pourcent")
_FRACTION = re.compile(r"fraction|[\(\[]\s*(?:-|1|0\s*(?:-|\u2013|\.\.|to)\s*1)\s*[\)\]]")
_ABSORBANCE = re.compile(
    r"absorban|absorpt|extin[ck]t|\babs\b|optical density|\bo\.?d\.?\b|^a$|^a\.?u\.?$|"
    r"[\(\[]\s*a(?:bs)?\.?(?:\s?u\.?)?\s*[\)\]]"
)
_REFLECTANCE = re.compile(r"reflect|remission|%\s*r\b|\br\s*[\(\[]?\s*%")
_KEYED = re.compile(r"mode|axis|ordinate|quantity|unit|measure|photometric|\by\b|data|type")


def kind_of_text(text: str) -> Kind | None:
    """Return what one header text says the readings are, or None where it says nothing, or both.

    Examples
    --------
    >>> kind_of_text("P1_S3 %T").value
    'transmittance in %'
    """
    low = text[:200].lower().replace("_", " ").strip()
    if low in ("%", "[%]", "(%)"):
        return Kind.PERCENT
    transmittance = bool(_TRANSMITTANCE.search(low))
    absorbance = bool(_ABSORBANCE.search(low))
    reflectance = bool(_REFLECTANCE.search(low))
    if transmittance + absorbance + reflectance != 1:
        return None
    if reflectance:
        return Kind.REFLECTANCE
    if absorbance:
        return Kind.ABSORBANCE
    if _PERCENT.search(low):
        return Kind.PERCENT
    return Kind.FRACTION if _FRACTION.search(low) else Kind.TRANSMITTANCE


def kind_of_texts(texts: Iterable[str]) -> Kind | None:
    """Return what header lines agree on; lines such as "Y axis: ..." outrank others."""
    keyed: set[Kind] = set()
    other: set[Kind] = set()
    for text in texts:
        kind = kind_of_text(text)
        if kind is not None:
            (keyed if _KEYED.search(text[:200].lower()) else other).add(kind)
    for kinds in (keyed, other):
        if Kind.PERCENT in kinds or Kind.FRACTION in kinds:
            kinds.discard(Kind.TRANSMITTANCE)
        if len(kinds) == 1:
            return kinds.pop()
        if kinds:
            return None
    return None


def requested_kinds(quantity: str | None) -> tuple[Kind, ...] | None:
    """Return the kinds that a `quantity` option admits, the first where headers are silent.

    Raises
    ------
    InputError
        If the option is none of `QUANTITIES`.
    """
    if quantity is None:
        return None
    if quantity not in QUANTITIES:
        raise InputError(f"quantity is {shown(quantity)}, expected one of {', '.join(QUANTITIES)}")
    return {
        "absorbance": (Kind.ABSORBANCE,),
        "transmittance": (Kind.TRANSMITTANCE, Kind.PERCENT, Kind.FRACTION),
        "transmittance_percent": (Kind.PERCENT, Kind.TRANSMITTANCE),
        "transmittance_fraction": (Kind.FRACTION, Kind.TRANSMITTANCE),
    }[quantity]


def kind_from_values(
    values: NDArray[np.float64], falls: bool, *, any_percent: bool, any_over: bool
) -> tuple[Kind | None, str]:
    """Return what readings without any header word must be, and the reason.

    Parameters
    ----------
    values : ndarray, shape (n,)
        All finite readings of the columns in question.
    falls : bool
        Whether they are clearly lower near 400 nm than below 320 nm, as absorbance of a sunscreen.
    any_percent : bool
        Whether cells carry a per cent sign.
    any_over : bool
        Whether cells are over range, as only absorbance is.

    Returns
    -------
    kind : Kind or None
        None where two readings are possible; the reason then says which.
    reason : str
        Part of a sentence.
    """
    if any_percent:
        return Kind.PERCENT, "cells carry a % sign"
    top = float(values.max())
    if top > _MOST_ABSORBANCE:
        return Kind.PERCENT, f"values reach {top:g}, which no absorbance does"
    if any_over:
        return Kind.ABSORBANCE, "readings are over range, as only absorbance is"
    if top > MOST_TRANSMITTANCE and falls:
        return Kind.ABSORBANCE, f"values reach {top:g} and fall towards 400 nm"
    if top > MOST_TRANSMITTANCE:
        return None, f"values up to {top:g} could be absorbance or transmittance in %"
    return (
        None,
        f"values between {float(values.min()):g} and {top:g} could be transmittance or absorbance",
    )


def scale_of_transmittance(values: NDArray[np.float64]) -> tuple[Kind | None, str]:
    """Return whether readings known to be transmittance are per cent or fractions, and why."""
    top = float(values.max())
    if top <= MOST_TRANSMITTANCE:
        return Kind.FRACTION, f"no value exceeds {MOST_TRANSMITTANCE:g}"
    if top > _LEAST_PERCENT:
        return Kind.PERCENT, f"values reach {top:g}"
    return None, f"transmittance up to {top:g} could be a fraction above 1 or a low per cent"
