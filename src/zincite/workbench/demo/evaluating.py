"""Raw files of the demo evaluated by the product's own assays, as the notebook keeps results."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.evaluation.assay.plain import plain
from zincite.notebook.measured import measured_values, plain_value
from zincite.notebook.quantities import MeasuredValue
from zincite.workbench.assay import appearance, panels, plates, powders
from zincite.workbench.demo.readings import READ_QUANTITIES, evaluate_drops, evaluate_readings

__all__ = ["Evaluated", "evaluated"]

_IMMERSION_MIN = 40.0


@dataclass(frozen=True, slots=True)
class Evaluated:
    """An evaluated file.

    Attributes
    ----------
    kind : str
        As the notebook calls it.
    method : str
    valid : bool
    values : tuple of MeasuredValue
    evaluation : dict
        Whole result as JSON shows it.
    """

    kind: str
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
        return Evaluated(kind, read.method, True, (value,), read.to_dict())
    if kind == "drops":
        counted = evaluate_drops(path)
        value = plain_value("droplet size", counted.d32_um, "um")
        return Evaluated("droplet size", counted.method, True, (value,), counted.to_dict())
    shown = plain(_ASSAYS[kind](path, label_spf, material).to_dict())
    values = measured_values(kind, shown)
    return Evaluated(kind, shown["method"], shown["valid"], values, shown)


_ASSAYS: dict[str, Callable[[Path, float, str], Any]] = {
    "uva": lambda path, spf, _: plates.uva(path, label_spf=spf),
    "spf": lambda path, spf, _: panels.spf(path, label_spf=spf),
    "uva-pf": lambda path, spf, _: panels.uva_pf(path, label_spf=spf),
    "water": lambda path, *_: panels.water(path, immersion_min=_IMMERSION_MIN),
    "colour": lambda path, *_: appearance.colour(path),
    "contrast": lambda path, *_: appearance.contrast(path),
    "size": lambda path, _, material: powders.size(path, material=material),
    "flow": lambda path, *_: powders.flow(path),
}
