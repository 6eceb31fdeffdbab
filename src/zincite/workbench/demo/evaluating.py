"""Raw files of the demo evaluated by the product's own assays, as the notebook keeps results."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.notebook.quantities import MeasuredValue
from zincite.workbench.assay import appearance, panels, plates, powders
from zincite.workbench.demo.readings import READ_QUANTITIES, evaluate_readings

__all__ = ["Evaluated", "evaluated"]

_IMMERSION_MIN = 40.0
_SKIN_CHANGES = {"delta_l": "", "delta_e00": "", "delta_ita_deg": "deg"}
_PLATE_FIGURES = {
    "spf_in_vitro": "",
    "uva_pf": "",
    "critical_wavelength_nm": "nm",
    "uva_to_uvb": "",
}


@dataclass(frozen=True, slots=True)
class Evaluated:
    """An evaluated file.

    Attributes
    ----------
    method : str
    valid : bool
    values : tuple of MeasuredValue
        Keys as a prediction has them where it is the same figure.
    evaluation : dict
        Whole result as JSON shows it.
    """

    method: str
    valid: bool
    values: tuple[MeasuredValue, ...]
    evaluation: dict[str, Any]


def evaluated(kind: str, path: Path, *, label_spf: float, material: str = "") -> Evaluated:
    """Return a raw file's result.

    Parameters
    ----------
    kind : str
        One of `zincite.workbench.demo.instruments.INSTRUMENTS`.
    path : Path
    label_spf : float
        SPF that plates are scaled to.
    material : str
        Id of the card whose sizes were analysed.
    """
    if kind in READ_QUANTITIES:
        read = evaluate_readings(path, kind)
        value = MeasuredValue(read.quantity, read.mean, read.low, read.high, read.unit)
        return Evaluated(read.method, True, (value,), read.to_dict())
    return _ASSAYS[kind](path, label_spf, material)


def _whole(report: Any, values: list[MeasuredValue]) -> Evaluated:
    found = report.result
    return Evaluated(found.method, found.valid, tuple(values), report.to_dict())


def _uva(path: Path, label_spf: float, _: str) -> Evaluated:
    report = plates.uva(path, label_spf=label_spf)
    values = []
    for key, unit in _PLATE_FIGURES.items():
        mean = report.result.intervals[key]
        if mean is not None:
            values.append(MeasuredValue(key, mean.mean, mean.low, mean.high, unit))
    return _whole(report, values)


def _spf(path: Path, label_spf: float, _: str) -> Evaluated:
    report = panels.spf(path, label_spf=label_spf)
    panel = report.result.panel
    return _whole(report, [MeasuredValue("spf", panel.mean, panel.ci_low, panel.ci_high)])


def _uva_pf(path: Path, label_spf: float, _: str) -> Evaluated:
    report = panels.uva_pf(path, label_spf=label_spf)
    panel = report.result.panel
    return _whole(report, [MeasuredValue("uva_pf", panel.mean, panel.ci_low, panel.ci_high)])


def _water(path: Path, *_: object) -> Evaluated:
    report = panels.water(path, immersion_min=_IMMERSION_MIN)
    found = report.result
    value = MeasuredValue(
        "retention_percent", found.mean_retention_percent, found.lower_limit_percent, None, "%"
    )
    return _whole(report, [value])


def _colour(path: Path, *_: object) -> Evaluated:
    report = appearance.colour(path)
    values = []
    for item in report.result.classes:
        for key, unit in _SKIN_CHANGES.items():
            change = getattr(item, key)
            if change is not None:
                low, high = change.low, change.high
                values.append(MeasuredValue(f"{key} {item.name}", change.mean, low, high, unit))
    return _whole(report, values)


def _contrast(path: Path, *_: object) -> Evaluated:
    report = appearance.contrast(path)
    found = report.result
    value = MeasuredValue(
        "contrast_ratio_percent", found.mean_percent, found.low_percent, found.high_percent, "%"
    )
    return _whole(report, [value])


def _size(path: Path, _: float, material: str) -> Evaluated:
    report = powders.size(path, material=material)
    found = report.result
    values = [MeasuredValue("d50_nm", found.percentiles_nm["volume"]["d50_nm"], unit="nm")]
    if found.aggregates is not None:
        split = found.aggregates
        values.append(MeasuredValue("aggregate_fraction", split.aggregate_fraction))
        values.append(MeasuredValue("aggregate_median_nm", split.aggregate_median_nm, unit="nm"))
    return _whole(report, values)


def _drops(path: Path, *_: object) -> Evaluated:
    report = powders.size(path)
    sauter = report.result.sauter_diameter_nm
    d32 = None if sauter is None else sauter / 1000
    return _whole(report, [MeasuredValue("d32_um", d32, unit="um")])


def _flow(path: Path, *_: object) -> Evaluated:
    report = powders.flow(path)
    found = report.result
    values = [
        MeasuredValue(f"viscosity_mPas at {rate} 1/s", value, unit="mPa s")
        for rate, value in found.viscosity_mPas.items()
        if value is not None
    ]
    best = found.herschel_bulkley if found.chosen == "Herschel-Bulkley" else None
    if best is not None and best.yield_stress_Pa is not None:
        limit = best.yield_stress_Pa
        values.append(MeasuredValue("yield_stress_Pa", limit.value, limit.low, limit.high, "Pa"))
    return _whole(report, values)


_ASSAYS: dict[str, Callable[[Path, float, str], Evaluated]] = {
    "uva": _uva,
    "spf": _spf,
    "uva-pf": _uva_pf,
    "water": _water,
    "colour": _colour,
    "contrast": _contrast,
    "size": _size,
    "drops": _drops,
    "flow": _flow,
}
