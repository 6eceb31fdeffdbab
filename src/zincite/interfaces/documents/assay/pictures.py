"""Pictures of an evaluated test: which figure shows what."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from zincite.evaluation.assay.panel import Panel
from zincite.interfaces.documents.figures.assay_dots import (
    Bar,
    Dot,
    DotRow,
    dot_plot,
    dot_rows,
    predicted_bar,
)
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Picture
from zincite.workbench.assay.report import AssayReport

__all__ = ["pictures_of"]

Report = AssayReport[Any, Any]
_PA = ((2.0, "PA+"), (4.0, "PA++"), (8.0, "PA+++"), (16.0, "PA++++"))


def pictures_of(report: Report) -> tuple[Picture, ...]:
    """Return the pictures of an evaluated test, the telling one first."""
    return _PICTURES[report.kind](report)


def _mean_bar(
    mean: float, low: float | None, high: float | None, *, name: str = "mean, 95 %"
) -> Bar:
    ends = "" if low is None or high is None else f" ({number_text(low)} to {number_text(high)})"
    return Bar(name, mean, low, high, f"{number_text(mean)}{ends}")


def _predicted(report: Report, key: str) -> list[Bar]:
    item = None if report.overlay is None else report.overlay.of(key)
    return [] if item is None else [predicted_bar(item.predicted)]


def _uva(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.figures.assay_spectra import plate_absorbance

    r, overlay = report.result, report.overlay
    band = None if overlay is None else overlay.absorbance
    told = "Thin lines are plates, the bold one their mean, C = 1."
    if band is not None:
        told += " The band is the predicted 90 % interval, its dotted line the median."
    done = r.uva_pf is not None
    name, figure = ("UVA-PF", "uva_pf") if done else ("UVA-PF0", "uva_pf0")
    found = r.intervals[figure]
    return (
        Picture("Absorbance of the plates", plate_absorbance(report.readings, band), told),
        Picture(
            f"{name} of each plate",
            dot_plot(
                [
                    Dot(f"plate {label}", getattr(row, figure))
                    for label, row in zip(report.readings.plates, r.plates, strict=True)
                ],
                [_mean_bar(found.mean, found.low, found.high), *_predicted(report, figure)],
                axis=f"{name}, scaled to SPF {r.in_vivo_spf:g}",
                title=f"{name} of each plate",
                limits=[(r.label_spf / 3, f"{r.label_spf:g}/3")],
                reach_limits=True,
                key="plate-uva-pf",
            ),
            "Dots are plates. The dashed line is a third of the label SPF.",
        ),
    )


def _photostability(report: Report) -> tuple[Picture, ...]:
    from zincite.evaluation.assay.photostability import FIGURES
    from zincite.interfaces.documents.figures.assay_spectra import plate_absorbance

    r = report.result
    rows = [
        DotRow(FIGURES[key], (), (_mean_bar(loss.mean, loss.low, loss.high),))
        for key, loss in r.loss_percent.items()
    ]
    limits = [] if r.limit_percent is None else [(r.limit_percent, "limit")]
    return (
        Picture(
            "Absorbance before and after",
            plate_absorbance(report.readings),
            "Thin lines are plates, the bold ones their means.",
        ),
        Picture(
            "What is lost",
            dot_rows(rows, axis="lost, %", title="Losses", limits=limits, key="losses"),
            "Mean loss over plates with its 95 % interval; below 0 is a gain.",
        ),
    )


def _broad_spectrum(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.figures.assay_spectra import plate_absorbance

    r = report.result
    band = None if report.overlay is None else report.overlay.absorbance
    found = r.interval
    return (
        Picture(
            "Absorbance of the plates",
            plate_absorbance(report.readings, band, mark_nm=r.critical_wavelength_nm),
            "Nine tenths of the area lie below the dashed wavelength, the mean critical one.",
        ),
        Picture(
            "Critical wavelength of each plate",
            dot_plot(
                [
                    Dot(f"plate {label}", nm)
                    for label, nm in zip(report.readings.plates, r.plates_nm, strict=True)
                ],
                [
                    _mean_bar(found.mean, found.low, found.high),
                    *_predicted(report, "critical_wavelength_nm"),
                ],
                axis="critical wavelength, nm",
                title="Critical wavelength of each plate",
                limits=[(370.0, "370 nm")],
                reach_limits=True,
                key="plate-critical",
            ),
            "Dots are plates. The rule asks the mean for at least 370 nm.",
        ),
    )


def _panel_picture(
    report: Report, panel: Panel, what: str, key: str, limits: Sequence[tuple[float, str]]
) -> Picture:
    dots = [Dot(x.subject, x.value, x.used) for x in panel.subjects if x.value is not None]
    return Picture(
        f"{what} of each subject",
        dot_plot(
            dots,
            [_mean_bar(panel.mean, panel.ci_low, panel.ci_high), *_predicted(report, key)],
            axis=f"individual {what}",
            title=f"{what} of each subject",
            limits=limits,
            key="panel",
        ),
        "Dots are subjects, hollow ones do not count. Dashed lines are what labels need"
        + (" in the EU." if key == "spf" else "."),
    )


def _spf(report: Report) -> tuple[Picture, ...]:
    from zincite.data.regulation_tables import label_rows

    limits = [
        (max(row.tested_min, float(text.rstrip("+"))), f"label {text}")
        for row in label_rows("eu")
        for text in row.labels
        if text.rstrip("+").isdigit()
    ]
    return (_panel_picture(report, report.result.panel, "SPF", "spf", limits),)


def _uva_pf(report: Report) -> tuple[Picture, ...]:
    return (_panel_picture(report, report.result.panel, "UVA-PF", "uva_pf", _PA),)


def _water(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.figures.assay_water import water_pairs

    r = report.result
    dots = [
        Dot(x.subject, x.retention_percent, x.used)
        for x in r.subjects
        if x.retention_percent is not None
    ]
    low = r.lower_limit_percent
    bar = Bar(
        "mean, 90 % limit",
        r.mean_retention_percent,
        low,
        r.mean_retention_percent if low is not None else None,
        f"{number_text(r.mean_retention_percent)} %, lower limit {number_text(low)} %",
    )
    return (
        Picture(
            "What water leaves",
            dot_plot(
                dots,
                [bar],
                axis="retention of SPF - 1, %",
                title="Retention of each subject",
                limits=[(50.0, "50 %")],
                reach_limits=True,
                key="retention",
            ),
            "Dots are subjects. The bar reaches from the mean down to its one-sided 90 % limit, "
            "which must lie at 50 % or above.",
        ),
        Picture(
            "Before and after immersion",
            water_pairs(r),
            "One line a subject; ochre are the means.",
        ),
    )


def _reported(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.assay.recorded import FIGURE_NAMES

    found = []
    for key, mean in report.result.figures.items():
        name, unit = FIGURE_NAMES[key]
        values = report.result.values.get(key, ())
        found.append(
            Picture(
                f"{name} as reported",
                dot_plot(
                    [Dot(f"value {n}", v) for n, v in enumerate(values, start=1)],
                    [_mean_bar(mean.mean, mean.low, mean.high), *_predicted(report, key)],
                    axis=f"{name}, {unit}" if unit else name,
                    title=f"{name} as reported",
                    key=f"reported-{key}",
                ),
                "Values as the laboratory reported them; only mean and interval were worked out.",
            )
        )
    return tuple(found)


def _colour(report: Report) -> tuple[Picture, ...]:
    from zincite.physics.colour import delta_e00

    r = report.result
    limit = r.limit
    found = []
    for key, name in (("delta_e00", "dE00"), ("delta_l", "dL*")):
        rows = []
        for item in r.classes:
            pairs = [pair for pair in r.pairs if pair.skin_class == item.name]
            before = np.array([pair.before for pair in pairs])
            after = np.array([pair.after for pair in pairs])
            values = delta_e00(before, after) if key == "delta_e00" else (after - before)[:, 0]
            change = getattr(item, key)
            bars = [_mean_bar(change.mean, change.low, change.high)]
            bars += _predicted(report, f"{key} {item.name}")
            title = f"{item.name} skin" if r.surface == "skin" else item.name
            rows.append(DotRow(title, tuple(float(v) for v in values), tuple(bars)))
        limits = [(limit.at_most, "limit")] if limit is not None and limit.quantity == key else []
        predicted = " The grey bar below is the prediction, 90 %." if report.overlay else ""
        found.append(
            Picture(
                f"{name} of each subject",
                dot_rows(
                    rows, axis=f"{name}, with the film less bare", title=name, limits=limits,
                    key=key,
                ),
                f"Rings are subjects, the bar is their mean with its 95 % interval.{predicted}",
            )
        )  # fmt: skip
    return tuple(found)


def _contrast(report: Report) -> tuple[Picture, ...]:
    r = report.result
    return (
        Picture(
            "Contrast ratio of each card",
            dot_plot(
                [Dot(f"card {n}", v) for n, v in enumerate(r.ratios_percent, start=1)],
                [
                    _mean_bar(r.mean_percent, r.low_percent, r.high_percent),
                    *_predicted(report, "contrast_ratio_percent"),
                ],
                axis="contrast ratio, %",
                title="Contrast ratio of each card",
                key="contrast",
            ),
            "Dots are cards.",
        ),
    )


def _screening(report: Report) -> tuple[Picture, ...]:
    r = report.result
    rows = [
        DotRow(
            item.grade,
            tuple(p.value for p in r.points if p.grade == item.grade),
            (_mean_bar(item.mean, item.low, item.high),),
        )
        for item in r.ranking
    ]
    quantity = f"{r.quantity}, {r.unit}" if r.unit else r.quantity
    pairs = r.against_control or r.pairs
    about = f"less {r.control}" if r.against_control else "all pairs"
    return (
        Picture(
            "Every value, best grade first",
            dot_rows(rows, axis=quantity, title="Values of each grade", key="grades"),
            f"Rings are values as measured; the bar is the mean with its own "
            f"{100 * r.confidence:g} % interval"
            + (", blocks averaged evenly." if r.analysis.blocks else "."),
        ),
        Picture(
            "Which grades differ",
            dot_rows(
                [
                    DotRow(
                        f"{p.first} less {p.second}",
                        (),
                        (_mean_bar(p.difference, p.low, p.high, name="difference"),),
                    )
                    for p in pairs
                ],
                axis=f"difference of {quantity}, {about}",
                title="Differences of grades",
                limits=[(0.0, "no difference")],
                key="differences",
            ),
            f"Intervals that hold for all together with {100 * r.confidence:g} %: one that leaves "
            "out 0 is a difference.",
        ),
    )


def _size(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.figures.assay_sizes import size_histogram

    return (
        Picture(
            "Sizes as measured",
            size_histogram(report.readings, report.result),
            "Equal areas are equal shares. Only a count of constituent particles decides on nano.",
        ),
    )


def _flow(report: Report) -> tuple[Picture, ...]:
    from zincite.interfaces.documents.assay.powders import chosen_fit
    from zincite.interfaces.documents.figures.assay_flow import flow_curve

    r = report.result
    item = None if report.overlay is None else report.overlay.of("viscosity_mPas")
    at = next((float(rate) for rate, v in r.viscosity_mPas.items() if v is not None), 1.0)
    predicted = None if item is None else (at, item.predicted)
    return (
        Picture(
            "Flow curve",
            flow_curve(report.readings, r, chosen_fit(r), predicted),
            "Rings are points as measured, up and down ramps alike.",
        ),
    )


_PICTURES: dict[str, Callable[[Report], tuple[Picture, ...]]] = {
    "uva": _uva,
    "photostability": _photostability,
    "broad-spectrum": _broad_spectrum,
    "spf": _spf,
    "uva-pf": _uva_pf,
    "water": _water,
    "double-plate": _reported,
    "hybrid": _reported,
    "colour": _colour,
    "contrast": _contrast,
    "screening": _screening,
    "size": _size,
    "flow": _flow,
}
