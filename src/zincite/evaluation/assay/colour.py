"""White cast measured: colorimetry of skin or a card before and after the film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from zincite.data.colour_tables import ita_class_of
from zincite.errors import MissingDataError, OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.physics.colour import delta_e00, ita_deg
from zincite.statistics.paired import paired_difference

__all__ = [
    "Change",
    "ClassChange",
    "ColourReading",
    "ColourTest",
    "WhiteCastLimit",
    "evaluate_colour",
]

Array = NDArray[np.float64]

METHOD = "CIELAB before and after; CIEDE2000 (ISO/CIE 11664-6); typology angle (Chardon 1991)"
_SURFACES = ("skin", "card")
_QUANTITIES = ("delta_l", "delta_e00", "delta_ita_deg")
_SAME_SUBJECT = 10.0
"""Repeats on bare skin that differ by more (CIEDE2000) are two people with one code (our rule)."""

_WORST = ("passes", "short", "fails")


@dataclass(frozen=True, slots=True)
class ColourReading:
    """One pair of colorimeter readings.

    Attributes
    ----------
    subject : str
        Subject, or spot of a card; repeats of one subject are averaged first.
    before, after : tuple of float
        L*, a*, b* without and with the film (D65, 10 deg).
    skin_class : str
        Class of the skin or kind of card; "" takes the class of the bare skin's typology angle.
    """

    subject: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]
    skin_class: str = ""


@dataclass(frozen=True, slots=True)
class WhiteCastLimit:
    """Largest permitted change: quantity ("delta_l", "delta_e00", "delta_ita_deg") and value."""

    quantity: str
    at_most: float

    def __post_init__(self) -> None:
        if self.quantity not in _QUANTITIES:
            raise OutOfRangeError(
                f"white cast is limited in {self.quantity!r}, expected one of "
                f"{', '.join(_QUANTITIES)}"
            )
        if not np.isfinite(self.at_most):
            raise OutOfRangeError(f"white cast limit is {self.at_most}, expected a number")


@dataclass(frozen=True, slots=True)
class Change:
    """Mean change over subjects; `sd` and the bounds are None for a single subject."""

    mean: float
    sd: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class ClassChange:
    """Colour change of one skin class or card.

    Attributes
    ----------
    name : str
    n : int
        Subjects.
    before_lab, after_lab : tuple of float
        Mean L*, a*, b*.
    delta_l, delta_e00 : Change
        Film less bare; positive delta_l is whitening. delta_e00 is the mean over subjects, which
        scatter of the readings raises.
    delta_e00_of_means : float
        Difference of the two mean colours, which scatter does not raise.
    delta_ita_deg : Change or None
        None on a card. For the angle b* below 1 counts as 1, as in predictions.
    verdict : str
        "passes", "short" (misses, but the limit lies within the interval) or "fails"; "" where no
        limit is given.
    probability : float or None
        That the true mean meets the limit (t distribution); None without limit or interval.
    """

    name: str
    n: int
    before_lab: tuple[float, float, float]
    after_lab: tuple[float, float, float]
    delta_l: Change
    delta_e00: Change
    delta_e00_of_means: float
    delta_ita_deg: Change | None
    verdict: str = ""
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class ColourTest:
    """White cast evaluated per skin class.

    Attributes
    ----------
    method, surface : str
    confidence : float
        Of the intervals, two-sided.
    classes : tuple of ClassChange
        In order of first appearance.
    limit : WhiteCastLimit or None
    verdict : str
        That of the worst class, "" without a limit.
    pairs : tuple of ColourReading
        One averaged pair per subject, for a plot of raw points.
    valid : bool
        Whether each class holds at least two subjects, so that it has an interval.
    reasons, marks : tuple of str
    """

    method: str
    surface: str
    confidence: float
    classes: tuple[ClassChange, ...]
    limit: WhiteCastLimit | None
    verdict: str
    pairs: tuple[ColourReading, ...]
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shown: dict[str, object] = plain(self)
        return shown


def _checked(readings: Sequence[ColourReading]) -> None:
    if not readings:
        raise MissingDataError("no colour reading is given, expected at least one pair")
    for item in readings:
        for when, lab in (("before", item.before), ("after", item.after)):
            lightness, a, b = lab
            inside = 0 <= lightness <= 110 and abs(a) <= 150 and abs(b) <= 150
            if not inside:  # false for nan as well
                raise OutOfRangeError(
                    f"subject {item.subject}: L* a* b* {when} are {lightness:g} {a:g} {b:g}, "
                    "expected L* from 0 to 110 and a*, b* from -150 to 150"
                )


def _ita(lab: ArrayLike) -> Array:
    """Return the angle with b* of at least 1: the angle is made for yellowish skin."""
    kept = np.array(lab, dtype=np.float64)
    kept[..., 2] = np.maximum(kept[..., 2], 1.0)
    return ita_deg(kept)


def _averaged(readings: Sequence[ColourReading], surface: str) -> tuple[ColourReading, ...]:
    """Return one mean pair per class and subject, with its class named."""
    found: dict[tuple[str, str], list[ColourReading]] = {}
    for item in readings:
        found.setdefault((item.skin_class, item.subject), []).append(item)
    pairs = []
    for (given, subject), items in found.items():
        bare = np.array([item.before for item in items], dtype=np.float64)
        apart = float(np.max(delta_e00(bare, bare[0])))
        if apart > _SAME_SUBJECT:
            raise OutOfRangeError(
                f"subject {subject} has bare readings {apart:.0f} apart (CIEDE2000), expected "
                "repeats of one skin: is the code used twice?"
            )
        before = bare.mean(axis=0)
        after = np.mean([item.after for item in items], axis=0)
        name = given or ("card" if surface == "card" else ita_class_of(float(_ita(before))).name)
        pairs.append(ColourReading(subject, _triple(before), _triple(after), name))
    return tuple(pairs)


def _triple(lab: Array) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])


def _change(before: Array, after: Array, confidence: float) -> Change:
    if before.size == 1:
        return Change(float(after[0] - before[0]), None, None, None)
    found = paired_difference(before, after, confidence)
    return Change(found.mean, found.sd, found.low, found.high)


def evaluate_colour(
    readings: Sequence[ColourReading],
    *,
    surface: str = "skin",
    limit: WhiteCastLimit | None = None,
    confidence: float = 0.95,
) -> ColourTest:
    """Evaluate the white cast from pairs of readings.

    Parameters
    ----------
    readings : sequence of ColourReading
    surface : str
        "skin" or "card".
    limit : WhiteCastLimit, optional
        Limit of the brief.
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    ColourTest

    Raises
    ------
    MissingDataError
        If there is no reading.
    OutOfRangeError
        If a reading is out of range, bare readings of one subject are those of two, the surface
        is not known, or a card is limited in the typology angle.

    Notes
    -----
    Paired: each subject is its own control. No standard fixes a limit; that of the brief is used.
    """
    if surface not in _SURFACES:
        raise OutOfRangeError(f"surface is {surface!r}, expected one of {', '.join(_SURFACES)}")
    if surface == "card" and limit is not None and limit.quantity == "delta_ita_deg":
        raise OutOfRangeError("a card has no typology angle, expected a limit of another quantity")
    _checked(readings)
    pairs = _averaged(readings, surface)
    names = tuple(dict.fromkeys(item.skin_class for item in pairs))
    classes = tuple(
        _class_change(name, [x for x in pairs if x.skin_class == name], surface, limit, confidence)
        for name in names
    )
    reasons = tuple(f"{x.name}: 1 subject gives no interval" for x in classes if x.n < 2)
    verdict = max((x.verdict for x in classes), key=_WORST.index) if limit else ""
    return ColourTest(
        METHOD, surface, confidence, classes, limit, verdict, pairs, not reasons, reasons
    )


def _class_change(
    name: str,
    pairs: Sequence[ColourReading],
    surface: str,
    limit: WhiteCastLimit | None,
    confidence: float,
) -> ClassChange:
    before = np.array([item.before for item in pairs], dtype=np.float64)
    after = np.array([item.after for item in pairs], dtype=np.float64)

    def change(quantity: Callable[[Array], Array]) -> Change:
        return _change(quantity(before), quantity(after), confidence)

    lightness = change(lambda lab: lab[:, 0])
    difference = _change(np.zeros(len(pairs)), delta_e00(before, after), confidence)
    angle = change(_ita) if surface == "skin" else None
    verdict, chance = "", None
    if limit is not None:
        found = {"delta_l": lightness, "delta_e00": difference}.get(limit.quantity, angle)
        if found is not None:
            verdict, chance = _verdict(found, limit.at_most, len(pairs))
    mean_before, mean_after = before.mean(axis=0), after.mean(axis=0)
    return ClassChange(
        name=name,
        n=len(pairs),
        before_lab=_triple(mean_before),
        after_lab=_triple(mean_after),
        delta_l=lightness,
        delta_e00=difference,
        delta_e00_of_means=float(delta_e00(mean_before, mean_after)),
        delta_ita_deg=angle,
        verdict=verdict,
        probability=chance,
    )


def _verdict(change: Change, at_most: float, n: int) -> tuple[str, float | None]:
    margin = at_most - change.mean
    if change.low is None or change.sd is None:
        return ("passes" if margin >= 0 else "fails"), None
    verdict = "passes" if margin >= 0 else "fails" if change.low > at_most else "short"
    if change.sd == 0:
        return verdict, 1.0 if margin >= 0 else 0.0
    from scipy.special import stdtr

    return verdict, float(stdtr(n - 1, margin / (change.sd / np.sqrt(n))))
