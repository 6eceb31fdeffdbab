"""Acts on results: evaluate a file and keep it with its evaluation, or keep a plain reading."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from importlib import import_module
from pathlib import Path
from typing import Any

from zincite.errors import InputError
from zincite.evaluation.assay.plain import plain
from zincite.notebook.attachments import add_attachment
from zincite.notebook.measured import plain_value
from zincite.notebook.results import add_result
from zincite.workbench.assay.report import AssayReport
from zincite.workbench.notebook.files import read_kept
from zincite.workbench.notebook.finding import entered
from zincite.workbench.notebook.opening import Entered, Where, opened

__all__ = ["enter_value", "keep_report", "run_and_add"]

_ACTS = {
    "uva": ("plates", "uva"),
    "spf": ("panels", "spf"),
    "uva-pf": ("panels", "uva_pf"),
    "water": ("panels", "water"),
    "photostability": ("plates", "photostability"),
    "double-plate": ("recorded", "double_plate"),
    "hybrid": ("recorded", "hybrid"),
    "broad-spectrum": ("plates", "broad_spectrum"),
    "colour": ("appearance", "colour"),
    "contrast": ("appearance", "contrast"),
    "screening": ("powders", "screening"),
    "size": ("powders", "size"),
    "flow": ("powders", "flow"),
}


def run_and_add(
    where: Where,
    trial: str,
    kind: str,
    path: str | Path,
    *,
    who: str,
    measured_on: str = "",
    **settings: Any,
) -> Entered:
    """Evaluate a file as `zincite assay` does, and keep it with its evaluation.

    Parameters
    ----------
    where : str, Path or Notebook
    trial : str
        Code.
    kind : str
        Name of the assay, such as "spf".
    path : str or Path
        The file; of plates that before irradiation.
    who : str
    measured_on : str
        Date; today when left out.
    **settings
        What the act of `zincite.workbench.assay` takes, such as `label_spf` or `after`.

    Raises
    ------
    InputError
        If there is no such assay, the file cannot be evaluated, or the notebook refuses it.
    """
    if kind not in _ACTS:
        raise InputError(f"the kind of result is {kind[:40]!r}, expected one of {', '.join(_ACTS)}")
    module, name = _ACTS[kind]
    act: Callable[..., AssayReport[Any, Any]] = getattr(
        import_module(f"zincite.workbench.assay.{module}"), name
    )
    report = act(path, **settings)
    more = [settings[key] for key in ("after",) if settings.get(key) is not None]
    return keep_report(where, trial, report, [path, *more], who=who, measured_on=measured_on)


def keep_report(
    where: Where,
    trial: str,
    report: AssayReport[Any, Any],
    paths: Iterable[str | Path],
    *,
    who: str,
    measured_on: str = "",
) -> Entered:
    """Keep an evaluated test of a trial.

    Parameters
    ----------
    where : str, Path or Notebook
    trial : str
        Code.
    report : AssayReport
    paths : iterable of str or Path
        The files that were evaluated: the first is the result's, the others hang on it.
    who : str
    measured_on : str
        Date; today when left out.

    Raises
    ------
    InputError
        If a file cannot be read again, or the notebook refuses the result.
    """
    first, *others = [read_kept(path) for path in paths]
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_result(
                writer,
                trial,
                report.kind,
                measured_on=measured_on or _today(),
                evaluation=plain(report.to_dict()),
                raw=first,
            )
            for other in others:
                add_attachment(writer, "result", id, other.name, other.data)
        why = () if report.result.valid else report.result.reasons
        notes = [*(f"not valid: {reason}" for reason in why), *report.missed]
        return entered(notebook, "result", id, notes=notes)


def enter_value(
    where: Where,
    trial: str,
    quantity: str,
    value: float,
    unit: str = "",
    *,
    who: str,
    measured_on: str = "",
    method: str = "",
) -> Entered:
    """Keep a plain reading of a trial, such as a viscosity; see `plain_value`.

    Parameters
    ----------
    where : str, Path or Notebook
    trial : str
        Code.
    quantity : str
        Such as "viscosity", "density", "ph" or "droplet size", or any other name.
    value : float
    unit : str
    who : str
    measured_on : str
        Date; today when left out.
    method : str
        How it was measured.
    """
    found = plain_value(quantity, value, unit)
    with opened(where) as notebook:
        with notebook.write(who) as writer:
            id = add_result(
                writer,
                trial,
                " ".join(quantity.lower().split()),
                measured_on=measured_on or _today(),
                values=[found],
                method=method,
            )
        return entered(notebook, "result", id)


def _today() -> str:
    return datetime.date.today().isoformat()
