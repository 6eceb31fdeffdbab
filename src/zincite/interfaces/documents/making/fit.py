"""Sheet and pictures of devices fitted to own size analyses."""

from __future__ import annotations

from zincite.data.devices import device
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics
from zincite.evaluation.making.stress.size_file import SizeFit
from zincite.interfaces.documents.figures.making_deagglomeration import fitted_curve
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Picture, Sheet, SheetTable
from zincite.workbench.making.report import MakingReport

__all__ = ["kinetics_rows", "pictures", "sheet"]

_NAMES = {
    "rate": ("rate k, mL/J", 1.0),
    "limit": ("limit of fines, %", 100.0),
    "end_size": ("end size, nm", 1.0),
}


def sheet(report: MakingReport[SizeFit]) -> Sheet:
    """Return the sheet of a fit."""
    result = report.result
    names = ", ".join(device(key).name for key in result.kinetics)
    count = len(result.points)
    columns = (
        ("device", "left"), ("", "left"), ("fitted", "right"), ("90 %", "left"),
        ("assumed before", "right"), ("90 %", "left"),
    )  # fmt: skip
    prior = assumed_kinetics()
    rows = tuple(
        row for key, found in result.kinetics.items() for row in kinetics_rows(found, prior[key])
    )
    off = max(abs(p.expected - p.point.aggregate_fraction) for p in result.points)
    return Sheet(
        "Devices fitted to own sizes",
        "de-agglomeration F = Finf (1 - exp(-k Ev)), assumed devices as prior",
        "passes" if off <= 0.15 else "short",
        "Fitted" if off <= 0.15 else "Fitted, not closely",
        f"{names}: {count} size {'analysis' if count == 1 else 'analyses'}, at most "
        f"{100 * off:.0f} percentage points off the curve.",
        tables=(
            SheetTable("Devices", columns, rows, "at the device's reference stress"),
            _points(result),
        ),
        notes=(
            "Give the kept file (-o FIT.json) to making deagglomeration --fit and to predict "
            "--process-fit.",
            "An end size without measured medians moves only with the rate: it stays assumed.",
        ),
    )


def kinetics_rows(found: DeviceKinetics, prior: DeviceKinetics) -> list[tuple[str, ...]]:
    """Return a row for each parameter: fitted value and interval beside the assumed one."""
    rows: list[tuple[str, ...]] = []
    before = prior.intervals()
    for name, (middle, low, high) in found.intervals().items():
        words, scale = _NAMES[name]
        old = before[name]
        rows.append(
            (
                device(found.device).name if name == "rate" else "",
                words,
                number_text(scale * middle),
                f"{number_text(scale * low)} to {number_text(scale * high)}",
                number_text(scale * old[0]),
                f"{number_text(scale * old[1])} to {number_text(scale * old[2])}",
            )
        )
    return rows


def _points(result: SizeFit) -> SheetTable:
    columns = (
        ("device", "left"), ("Ev, J/mL", "right"), ("in aggregates, %", "right"),
        ("curve, %", "right"), ("median, nm", "right"),
    )  # fmt: skip
    rows = tuple(
        (
            device(item.point.device).name,
            number_text(item.point.energy_J_mL),
            number_text(100 * item.point.aggregate_fraction),
            number_text(100 * item.expected),
            "" if item.point.median_nm is None else number_text(item.point.median_nm),
        )
        for item in result.points
    )
    return SheetTable("Size analyses", columns, rows, "curve from the usual powder")


def pictures(report: MakingReport[SizeFit]) -> tuple[Picture, ...]:
    """Return one picture a device."""
    result, prior = report.result, assumed_kinetics()
    return tuple(
        Picture(
            f"Fit of the {device(key).name}",
            fitted_curve(
                found,
                prior[key],
                [p for p in result.points if p.point.device == key],
                key=f"fit-{key}",
            ),
            "Circles are size analyses; the ochre band is the fit's 90 % interval, the grey one "
            "the assumption before.",
        )
        for key, found in result.kinetics.items()
    )
