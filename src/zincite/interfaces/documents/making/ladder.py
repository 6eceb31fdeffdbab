"""Sheet and picture of a ladder study."""

from __future__ import annotations

from zincite.evaluation.making.dispersion.ladder_result import LadderResult
from zincite.interfaces.documents.figures.making_dispersion import ladder_curve
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import (
    Number,
    Picture,
    Sheet,
    SheetTable,
    interval,
    joined,
    value,
)
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_VERDICTS = {"minimum": "passes", "weak": "unknown", "none": "short"}
_SPREAD = (
    "The interval holds every place that the samples do not exclude (Fieller); where the curve "
    "bends clearly, the linear estimate (delta method) beside it says nearly the same."
)


def sheet(report: MakingReport[LadderResult]) -> Sheet:
    """Return the sheet of a ladder."""
    r = report.result
    return Sheet(
        "Dispersant ladder",
        "parabola in ln viscosity around the thinnest level, least squares",
        _VERDICTS[r.status],
        _headline(r),
        _sentence(r),
        (f"{r.reason[:1].upper()}{r.reason[1:]}.",) if r.reason else (),
        _numbers(r),
        (_levels(r),),
        (_SPREAD,) if r.status != "none" else (),
    )


def _headline(r: LadderResult) -> str:
    if r.best_percent is None:
        return "No minimum inside the ladder"
    best = f"{number_text(r.best_percent, digits=2)} % dispersant on the pigment"
    return best if r.status == "minimum" else f"Perhaps {best}"


def _percent(r: LadderResult) -> int:
    return round(100 * r.confidence)


def _sentence(r: LadderResult) -> str:
    at = "" if r.solids_percent is None else f" at {number_text(r.solids_percent)} % solids"
    if r.best_percent is None:
        ends = r.levels[0].dispersant_percent, r.levels[-1].dispersant_percent
        return (
            f"The levels from {number_text(ends[0])} to {number_text(ends[1])} %{at} do not "
            "enclose the dispersant at which the mill base is thinnest."
        )
    spread = interval(*(r.interval_percent or (None, None)), percent=_percent(r), decimals=2)
    said = (
        f"The mill base{at} is thinnest at {number_text(r.best_percent, decimals=2)} % dispersant"
    )
    said += f" ({spread})" if spread else " (no interval)"
    if r.product is not None and r.product.best_percent is not None:
        said += (
            f", which is {number_text(r.product.best_percent, decimals=2)} % of the product; "
            f"its mill base holds {number_text(r.product.held_percent, digits=2)} %"
        )
    return f"{said}."


def _numbers(r: LadderResult) -> tuple[Number, ...]:
    if r.best_percent is None:
        return ()
    percent = _percent(r)
    found = [
        Number(
            "dispersant at the minimum",
            value(r.best_percent, "%", decimals=2),
            joined([
                "of the pigment",
                interval(*(r.interval_percent or (None, None)), percent=percent, decimals=2),
            ]),
        ),
        Number(
            "linear estimate of it",
            value(r.best_percent, "%", decimals=2),
            interval(*(r.delta_interval_percent or (None, None)), percent=percent, decimals=2),
        ),
        Number("lowest viscosity", value(r.lowest_mPas, "mPa s"), "on the fitted curve"),
        Number(
            "nearly as thin from",
            value(r.sparing_percent, "%", decimals=2),
            "least dispersant of the pigment within 10 % of the lowest viscosity",
        ),
    ]  # fmt: skip
    if r.fit is not None and r.fit.lack_of_fit_p is not None:
        found.append(
            Number("lack of fit", f"p {number_text(r.fit.lack_of_fit_p, digits=2)}",
                   "chance of such a stray from a parabola by the repeats alone")
        )  # fmt: skip
    return (*found, *_of_product(r))


def _of_product(r: LadderResult) -> tuple[Number, ...]:
    product = r.product
    if product is None or product.best_percent is None:
        return ()
    span = interval(product.low_percent, product.high_percent, percent=_percent(r), decimals=2)
    beside = joined([f"at {number_text(product.pigment_percent)} % powder", span])
    return (Number("of the product", value(product.best_percent, "%", decimals=2), beside),)


def _levels(r: LadderResult) -> SheetTable:
    rows = tuple(
        (
            number_text(level.dispersant_percent),
            number_text(level.viscosity_mPas),
            str(level.samples),
            "yes" if level.fitted and r.fit is not None else "",
        )
        for level in r.levels
    )
    columns = (
        ("dispersant, % of pigment", "right"),
        ("viscosity, mPa s", "right"),
        ("samples", "right"),
        ("in the fit", "left"),
    )
    return SheetTable("Levels", columns, rows, "geometric means")


def pictures(report: MakingReport[LadderResult]) -> tuple[Picture, ...]:
    """Return the ladder with its minimum."""
    r = report.result
    caption = "Geometric means of each level; logarithmic scale."
    if r.interval_percent is not None:
        caption += f" Tinted: {_percent(r)} % interval of the minimum."
    return (Picture("Viscosity over dispersant", ladder_curve(r), caption),)
