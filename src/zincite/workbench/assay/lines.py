"""Lines that a chemist pastes: results for `zincite learn`, and what a card takes."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass

from zincite.evaluation.assay.reading import SizeFile
from zincite.evaluation.assay.size_fits import AggregateSplit, LognormalFit
from zincite.learning.observations import KINDS, Observation
from zincite.workbench.assay.report import Lines

__all__ = ["LearntResult", "card_lines", "result_lines"]

_FOR_LEARNING = "a results file of zincite learn"
_PLACEHOLDER = "FORMULA.toml"
_GOOD_FIT = 0.05
"""Misfit in the cumulated share up to which a card takes the lognormal; own rule."""


@dataclass(frozen=True, slots=True)
class LearntResult:
    """One number that `zincite learn` takes.

    Attributes
    ----------
    kind : str
        One of `zincite.learning.observations.KINDS`.
    value : float
    standard_error : float or None
        Of the value; None takes the kind's usual scatter.
    material : str
        Grade, for "aggregate-fraction".
    note : str
        Written as a comment.
    """

    kind: str
    value: float
    standard_error: float | None
    material: str = ""
    note: str = ""


def result_lines(
    results: Iterable[LearntResult], *, formula: str | None, valid: bool
) -> tuple[Lines, ...]:
    """Return `[[result]]` tables, empty where no result is one that can be learnt from.

    Parameters
    ----------
    results : iterable of LearntResult
    formula : str or None
        Path of the formula file; a placeholder to fill in when left out.
    valid : bool
        Whether the test is valid; the lines say so if it is not.
    """
    written: list[str] = []
    for item in results:
        if not _learnable(item):
            continue
        written += [
            "[[result]]",
            f"formula = {json.dumps(formula or _PLACEHOLDER, ensure_ascii=False)}"
            + ("" if formula else "   # the formula as made, relative to the results file"),
            f'kind = "{item.kind}"',
            f"value = {item.value:.5g}",
        ]
        if item.standard_error:
            written.append(f"standard_error = {item.standard_error:.3g}")
        if item.kind == "aggregate-fraction":
            name = item.material or "MATERIAL"
            remark = "" if item.material else "   # id of the grade's card"
            written.append(f"material = {json.dumps(name, ensure_ascii=False)}{remark}")
        if item.note:
            written.append(f"# {item.note}")
        if not valid:
            written.append("# the test is not valid: learn from it only if you know why")
        written.append("")
    return (Lines(_FOR_LEARNING, tuple(written[:-1])),) if written else ()


def _learnable(item: LearntResult) -> bool:
    """Return whether the value lies where an `Observation` may."""
    low = {"critical-wavelength": 290.0, "aggregate-fraction": 0.0}.get(item.kind, 1.0)
    high = {"critical-wavelength": 400.0, "aggregate-fraction": 1.0}.get(item.kind, 500.0)
    assert item.kind in KINDS, Observation  # a wrong kind is a fault of the caller
    return math.isfinite(item.value) and low < item.value < high


def card_lines(
    file: SizeFile, constituent: LognormalFit | None, split: AggregateSplit | None
) -> tuple[Lines, ...]:
    """Return what a size measurement gives to a card's `[material.grade]`.

    Parameters
    ----------
    file : SizeFile
        The sizes as read.
    constituent : LognormalFit or None
        Lognormal by volume where constituent particles were sized.
    split : AggregateSplit or None
        Aggregates told apart from primary particles.
    """
    written: list[str] = []
    told = json.dumps(f"size analysis {file.name}", ensure_ascii=False)
    if constituent is not None:
        written += _primary_lines(file, constituent)
    if split is not None:
        for name, found in split.for_grade().items():
            written.append(
                f'{name} = {{ value = {found.value:.4g}, evidence = "measured", source = {told} }}'
            )
    return (Lines("[material.grade] of the grade's card", tuple(written)),) if written else ()


def _primary_lines(file: SizeFile, fit: LognormalFit) -> list[str]:
    """Return median and deviation, or the histogram where a lognormal does not describe it."""
    if fit.largest_deviation <= _GOOD_FIT:
        return [
            f"primary_median_nm = {fit.median_nm:.4g}",
            f"primary_gsd = {fit.gsd:.4g}",
            'weighting = "volume"',
        ]
    sizes = ", ".join(f"{x:.4g}" for x in file.diameter_nm)
    shares = ", ".join(f"{x:.4g}" for x in file.share)
    return [
        f"# a lognormal is {100 * fit.largest_deviation:.0f} % off, so the histogram as measured",
        f"histogram.diameter_nm = [{sizes}]",
        f"histogram.share = [{shares}]",
        f'weighting = "{file.weighting}"',
    ]
