"""Sheet and picture of wet points and flow points."""

from __future__ import annotations

from zincite.evaluation.making.dispersion.points import LiquidPoints, PointsResult
from zincite.interfaces.documents.figures.making_dispersion import points_bars
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_DEFINED = (
    "Wet point: the liquid at which the powder first makes one coherent paste. Flow point: the "
    "liquid at which the paste flows off the spatula. Both in g per 100 g of pigment."
)


def sheet(report: MakingReport[PointsResult]) -> Sheet:
    """Return the sheet of wet and flow points."""
    r = report.result
    best = r.liquids[0]
    name = f"{best.liquid[:1].upper()}{best.liquid[1:]}"
    tied = [item for item in r.liquids[1:] if item.as_good_as_best]
    ranked = best.as_good_as_best is not None
    gap = f"a gap of {number_text(best.gap_g_100g)} g per 100 g"
    if len(r.liquids) == 1:
        verdict, headline, sentence = "unknown", "One liquid only", f"{name} has {gap}."
    elif not ranked:
        verdict, headline = "unknown", f"{name} leads, without scatter to tell"
        sentence = f"It has the smallest gap: {gap}."
    elif tied:
        verdict, headline = "unknown", f"{name} leads, not alone"
        names = ", ".join(item.liquid for item in tied)
        sentence = f"It has {gap}; {names} cannot be told from it."
    else:
        verdict, headline = "passes", f"{name} disperses best"
        sentence = f"It has {gap}; all others have a larger one by more than the scatter."
    numbers: tuple[Number, ...] = ()
    if r.scatter_sd_g is not None:
        numbers = (
            Number("scatter of one gap", value(r.scatter_sd_g, "g"), "pooled over the liquids"),
        )
    return Sheet(
        "Wet point and flow point",
        "gap of flow point and wet point (Daniel), analysis of variance with Tukey",
        verdict,
        headline,
        sentence,
        (),
        numbers,
        (_ranking(r),),
        (_DEFINED,),
    )


def _ranking(r: PointsResult) -> SheetTable:
    columns = (
        ("", "right"),
        ("liquid", "left"),
        ("n", "right"),
        ("wet, g", "right"),
        ("flow, g", "right"),
        ("gap, g", "right"),
        ("interval", "left"),
        ("solids, %", "right"),
        ("may be best", "left"),
    )
    rows = tuple(_row(item) for item in r.liquids)
    about = (
        f"means and deviations; {100 * r.confidence:g} % interval of the mean gap; solids at the "
        "flow point"
    )
    return SheetTable("Ranking", columns, rows, about, widths=(2, 21, 1, 11, 11, 11, 12, 7, 5))


def _with_sd(mean: float, sd: float | None) -> str:
    return number_text(mean) if sd is None else f"{number_text(mean)} ± {number_text(sd, digits=2)}"


def _row(item: LiquidPoints) -> tuple[str, ...]:
    span = ""
    if item.gap_low_g is not None and item.gap_high_g is not None:
        span = f"{number_text(item.gap_low_g)} to {number_text(item.gap_high_g)}"
    return (
        str(item.rank),
        item.liquid,
        str(item.replicates),
        _with_sd(item.wet_g_100g, item.wet_sd_g),
        _with_sd(item.flow_g_100g, item.flow_sd_g),
        _with_sd(item.gap_g_100g, item.gap_sd_g),
        span,
        number_text(item.flowing_solids_percent),
        "yes" if item.as_good_as_best else "",
    )


def pictures(report: MakingReport[PointsResult]) -> tuple[Picture, ...]:
    """Return each liquid's way from wet point to flow point."""
    return (
        Picture(
            "From wet point to flow point",
            points_bars(report.result),
            "Means; the shorter the bar, the better the liquid disperses. Further left, it wets "
            "with less.",
        ),
    )
