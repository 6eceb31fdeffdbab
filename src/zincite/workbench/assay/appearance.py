"""Acts on measured appearance: white cast and hiding power."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from zincite.errors import InputError
from zincite.evaluation.appearance import film_contrast_ratio
from zincite.evaluation.assay.colour import (
    ColourReading,
    ColourTest,
    WhiteCastLimit,
    evaluate_colour,
)
from zincite.evaluation.assay.contrast import ContrastRatio, evaluate_contrast_ratio
from zincite.evaluation.assay.reading import ColourFile, ColourRow, read_colour
from zincite.evaluation.assay.reading.contrast import ContrastFile, read_contrast
from zincite.formula.brief import SKIN_CLASSES
from zincite.workbench.assay.overlay import Comparison, Expected, Overlay, compared, known
from zincite.workbench.assay.report import AssayReport, FileRead, in_file

__all__ = ["colour", "contrast"]

_CONTRAST_DRAWS = 40  # as many as `predict` takes
_NAMES = {"delta_l": "dL*", "delta_e00": "dE00", "delta_ita_deg": "dITA"}


def _pairs(found: ColourFile) -> list[ColourReading]:
    """Return before and after of each subject and site, repeats of a site averaged."""
    sides: dict[tuple[str, str], dict[str, list[ColourRow]]] = {}
    for row in found.rows:
        sides.setdefault((row.subject, row.site), {}).setdefault(row.condition, []).append(row)
    pairs = []
    for (subject, site), states in sides.items():
        who = " ".join(part for part in (subject, site) if part) or "the reading"
        if set(states) != {"before", "after"}:
            has = " and ".join(state or "no condition" for state in states)
            raise InputError(
                f"{found.name}: {who} has readings of {has}, expected before and after"
            )
        before, after = (_mean(states[state]) for state in ("before", "after"))
        pairs.append(ColourReading(subject or site, before, after))
    return pairs


def _mean(rows: Sequence[ColourRow]) -> tuple[float, float, float]:
    L, a, b = np.mean([(row.L, row.a, row.b) for row in rows], axis=0)
    return float(L), float(a), float(b)


def _limit(
    max_delta_e00: float | None, max_delta_l: float | None, expected: Expected | None
) -> WhiteCastLimit | None:
    if max_delta_e00 is not None and max_delta_l is not None:
        raise InputError("white cast is limited in dE00 and in dL*, expected one of the two")
    brief = expected.formula.brief if expected else None
    if brief and max_delta_e00 is None and max_delta_l is None:
        max_delta_e00 = brief.white_cast_max_delta_e00
        max_delta_l = None if max_delta_e00 is not None else brief.white_cast_max_delta_l
    if max_delta_e00 is not None:
        return WhiteCastLimit("delta_e00", max_delta_e00)
    return None if max_delta_l is None else WhiteCastLimit("delta_l", max_delta_l)


def colour(
    path: str | Path,
    *,
    surface: str = "skin",
    max_delta_e00: float | None = None,
    max_delta_l: float | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[ColourTest, ColourFile]:
    """Return the white cast of colorimeter readings.

    Parameters
    ----------
    path, decimal
        As `read_colour`.
    surface : {"skin", "card"}
    max_delta_e00, max_delta_l : float, optional
        Limit of one of the two; that of the formula's brief when left out.
    expected : Expected, optional
        Formula whose prediction is laid over.

    Raises
    ------
    InputError
        If the file cannot be read or evaluated, or both limits are given.
    """
    found = read_colour(path, decimal=decimal)
    limit = _limit(max_delta_e00, max_delta_l, expected)
    pairs = _pairs(found)
    with in_file(found.name):
        result = evaluate_colour(pairs, surface=surface, limit=limit)
    missed = tuple(
        f"{item.name}: {_NAMES[limit.quantity]} {_mean_of(item, limit.quantity):.1f}, at most "
        f"{limit.at_most:g} asked"
        for item in result.classes
        if limit is not None and item.verdict == "fails"
    )
    notes = []
    if found.illuminant not in (None, "D65") or found.observer_deg not in (None, 10):
        notes.append(
            f"The file states {found.illuminant or 'no illuminant'} and "
            f"{found.observer_deg or 'no'} degree observer; predictions and skin classes are for "
            "D65 and 10 degrees."
        )
    return AssayReport(
        "colour",
        result,
        found,
        (FileRead("readings", found.name, found.understood),),
        None if expected is None else _colour_overlay(result, expected),
        missed=missed,
        notes=tuple(notes),
    )


def _mean_of(item: object, quantity: str) -> float:
    change = getattr(item, quantity)
    return float(change.mean) if change is not None else float("nan")


def _colour_overlay(result: ColourTest, expected: Expected) -> Overlay:
    items: list[Comparison | None] = []
    if result.surface == "skin":
        draws, centre = expected.skin.colour_draws, expected.skin.colour_centre
        for item in result.classes:
            place = SKIN_CLASSES.index(item.name)
            for key, name in _NAMES.items():
                items.append(
                    compared(
                        f"{key} {item.name}",
                        f"{name}, {item.name} skin",
                        _mean_of(item, key),
                        getattr(draws, key)[:, place],
                        unit="deg" if key == "delta_ita_deg" else "",
                        centre=float(getattr(centre, key)[0, place]),
                    )
                )
        note = "Predicted for a typical skin of each class, not for the skins of this panel."
    else:
        note = "White cast is predicted on skin only, not on a card."
    return expected.overlay(known(*items), notes=(note,))


def contrast(
    path: str | Path,
    *,
    scale: str | None = None,
    decimal: str | None = None,
    expected: Expected | None = None,
) -> AssayReport[ContrastRatio, ContrastFile]:
    """Return the contrast ratio of cards.

    Parameters
    ----------
    path, scale, decimal
        As `read_contrast`.
    expected : Expected, optional
        Formula whose prediction is laid over.
    """
    found = read_contrast(path, scale=scale, decimal=decimal)
    with in_file(found.name):
        result = evaluate_contrast_ratio(found.over_black, found.over_white, scale=found.scale)
    overlay = None
    if expected is not None:
        draws = film_contrast_ratio(expected.skin.film, expected.draws.first(_CONTRAST_DRAWS))
        overlay = expected.overlay(
            known(
                compared(
                    "contrast_ratio_percent",
                    "contrast ratio",
                    result.mean_percent,
                    draws,
                    unit="%",
                )
            ),
            notes=("Predicted for the dried film of 2 mg/cm2 on skin; a drawdown is thicker.",),
        )
    files = (FileRead("readings", found.name, found.understood),)
    return AssayReport("contrast", result, found, files, overlay)
