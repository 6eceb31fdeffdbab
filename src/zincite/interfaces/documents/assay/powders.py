"""Sheets of grades, sizes and flow curves."""

from __future__ import annotations

from zincite.evaluation.assay.flow import FittedValue, FlowEvaluation, FlowFit
from zincite.evaluation.assay.reading import FlowFile, SizeFile
from zincite.evaluation.assay.reading.screening import ScreeningFile
from zincite.evaluation.assay.screening import GradeScreening
from zincite.evaluation.assay.sizes import SizeEvaluation
from zincite.interfaces.documents.numbers import number_text, percent_text, signed_text
from zincite.interfaces.documents.sheet import (
    Number,
    Sheet,
    SheetTable,
    interval,
    joined,
    value,
)
from zincite.statistics.multiple import Difference
from zincite.workbench.assay.report import AssayReport

__all__ = ["flow_sheet", "screening_sheet", "size_sheet"]


def _p_text(p: float | None) -> str:
    if p is None:
        return "not done"
    return "< 0.001" if p < 0.001 else f"{p:.3f}"


def screening_sheet(report: AssayReport[GradeScreening, ScreeningFile]) -> Sheet:
    """Return the sheet of a screening."""
    r = report.result
    first = r.ranking[0]
    tied = sum(item.not_worse_than_best for item in r.ranking) - 1
    headline = f"{first.grade} is best" if tied == 0 else f"{first.grade} leads, not alone"
    ranks = tuple(
        (
            str(item.rank),
            item.grade,
            str(item.n),
            number_text(item.mean),
            interval(item.low, item.high, percent=round(100 * r.confidence)),
            percent_text(item.probability_best),
            "yes" if item.not_worse_than_best else "",
        )
        for item in r.ranking
    )
    columns = (
        ("", "right"),
        ("grade", "left"),
        ("n", "right"),
        ("mean", "right"),
        ("interval of the mean", "left"),
        ("chance best", "right"),
        ("may be best", "left"),
    )
    tables = [SheetTable("Ranking", columns, ranks, joined([r.quantity, r.unit], ", "))]
    if r.against_control:
        tables.append(_differences(f"Against {r.control}", r.against_control, r.confidence))
    tables.append(_differences("All pairs", r.pairs, r.confidence))
    checks = tuple(
        (check.assumption, check.test, _p_text(check.p), "doubted" if check.doubted else "")
        for check in r.analysis.checks
    )
    check_columns = (("assumption", "left"), ("test", "left"), ("p", "right"), ("", "left"))
    tables.append(SheetTable("Assumptions", check_columns, checks, widths=(42, 30, 9, 12)))
    return Sheet(
        "Grade screening",
        r.method,
        ("passes" if tied == 0 else "short") if r.valid else "fails",
        headline if r.valid else "An assumption is doubted",
        r.sentences[0],
        r.reasons,
        (
            Number("differences among grades", f"p {_p_text(r.analysis.group_p)}", ""),
            Number(
                "scatter of one value",
                value(r.analysis.residual_sd, r.unit),
                f"{r.analysis.residual_df} degrees of freedom",
            ),
        ),
        tuple(tables),
        r.sentences[1:],
    )


def _differences(heading: str, pairs: tuple[Difference, ...], confidence: float) -> SheetTable:
    rows = tuple(
        (
            f"{item.first} less {item.second}",
            signed_text(item.difference, digits=3),
            f"{signed_text(item.low, digits=3)} to {signed_text(item.high, digits=3)}",
            _p_text(item.p),
            "differs" if item.differs else "",
        )
        for item in pairs
    )
    columns = (
        ("", "left"),
        ("difference", "right"),
        ("simultaneous interval", "left"),
        ("p", "right"),
        ("", "left"),
    )
    about = f"{100 * confidence:g} % for all together"
    return SheetTable(heading, columns, rows, about, widths=(42, 11, 24, 8, 8))


def size_sheet(report: AssayReport[SizeEvaluation, SizeFile]) -> Sheet:
    """Return the sheet of a size analysis."""
    r, nano = report.result, report.result.nano
    word = {"nano": "Nano", "not nano": "Not nano", "border": "At the border of nano"}
    split = None if r.constituent else r.aggregates  # constituent particles are no aggregates
    measured = r.percentiles_nm[r.weighting]
    sentence = (
        f"d50 {value(measured['d50_nm'], 'nm')} by {r.weighting}, d10 "
        f"{number_text(measured['d10_nm'])}, d90 {number_text(measured['d90_nm'])}"
    )
    if split is not None:
        sentence += f"; {100 * split.aggregate_fraction:.0f} % of the pigment in aggregates"
    rows = tuple(
        (kind, *(number_text(found[key]) for key in ("d10_nm", "d50_nm", "d90_nm")))
        for kind, found in r.percentiles_nm.items()
    )
    columns = (("by", "left"), ("d10, nm", "right"), ("d50, nm", "right"), ("d90, nm", "right"))
    fit = r.lognormal
    numbers = [
        Number("nano decision", nano.verdict, nano.reason),
        Number("lognormal median", value(fit.median_nm, "nm"), _fit_text(r)),
        Number("surface by volume", value(r.vssa_m2_cm3, "m2/cm3"), "6 / d32, smooth spheres"),
    ]
    if r.specific_surface_m2_g is not None:
        numbers.append(Number("surface per gram", value(r.specific_surface_m2_g, "m2/g"), ""))
    if split is not None:
        numbers += [
            Number(
                "pigment in aggregates",
                value(100 * split.aggregate_fraction, "%"),
                f"{split.method}; {100 * split.aggregate_volume_fraction:.0f} % of the volume "
                "with its pores",
            ),
            Number("aggregate median", value(split.aggregate_median_nm, "nm"), ""),
        ]
    return Sheet(
        "Particle sizes",
        r.method,
        ("passes" if nano.verdict in word else "unknown") if r.valid else "fails",
        word.get(nano.verdict, "Nano not decided") if r.valid else "Not valid",
        f"{sentence}.",
        r.reasons,
        tuple(numbers),
        (SheetTable("Percentiles", columns, rows),),
        (*r.notes, *report.notes),
    )


def _fit_text(r: SizeEvaluation) -> str:
    fit = r.lognormal
    return (
        f"by {fit.weighting}, geometric deviation {fit.gsd:.2f}, at most "
        f"{100 * fit.largest_deviation:.1f} % off"
    )


def flow_sheet(report: AssayReport[FlowEvaluation, FlowFile]) -> Sheet:
    """Return the sheet of a flow curve."""
    r = report.result
    fit = chosen_fit(r)
    n = fit.exponent.value
    kind = "shear thinning" if n < 0.97 else "shear thickening" if n > 1.03 else "Newtonian"
    stress = fit.yield_stress_Pa
    sentence = f"{kind.capitalize()}, exponent {n:.2f}"
    sentence += "." if stress is None else f", yield stress {value(stress.value, 'Pa')}."
    low, high = r.shear_rate_range_1_s
    numbers = [
        Number(f"viscosity at {rate} per s", value(found, "mPa s"), "" if found else "not measured")
        for rate, found in r.viscosity_mPas.items()
    ]
    numbers += [
        Number("consistency K", value(fit.consistency_Pa_s_n.value, "Pa s^n"),
               _fitted(fit.consistency_Pa_s_n)),
        Number("exponent n", number_text(n), _fitted(fit.exponent)),
    ]  # fmt: skip
    if stress is not None:
        numbers.append(Number("yield stress", value(stress.value, "Pa"), _fitted(stress)))
    numbers.append(
        Number(
            "deviation of the stress",
            value(100 * fit.rms_log_stress, "%", decimals=1),
            f"{r.points} points, {low:g} to {high:g} 1/s",
        )
    )
    return Sheet(
        "Flow curve",
        r.method,
        "passes" if r.valid else "fails",
        f"{fit.model[0].upper()}{fit.model[1:]}" if r.valid else "Not described",
        sentence,
        r.reasons,
        tuple(numbers),
        (),
        (*r.notes, *report.notes),
    )


def chosen_fit(r: FlowEvaluation) -> FlowFit:
    """Return the fit that the data ask for."""
    full = r.herschel_bulkley
    return full if full is not None and r.chosen == full.model else r.power_law


def _fitted(found: FittedValue) -> str:
    return interval(found.low, found.high)
