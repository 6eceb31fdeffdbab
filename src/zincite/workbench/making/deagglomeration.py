"""Acts on the dispersion state: what the process leaves, what a change does, fitting own sizes."""

from __future__ import annotations

from pathlib import Path

from zincite.evaluation.making.stress.kinetics import DeviceKinetics
from zincite.evaluation.making.stress.process_cases import Deagglomeration
from zincite.evaluation.making.stress.process_change import ProcessChange
from zincite.evaluation.making.stress.size_file import SizeFit, fit_sizes
from zincite.evaluation.making.stress.size_fit_file import load_size_fit, save_size_fit
from zincite.evaluation.making.stress.what_if import what_if
from zincite.workbench.formulas import FormulaSource, open_formula
from zincite.workbench.making.report import MakingReport

__all__ = ["deagglomeration", "fit", "open_fit"]


def open_fit(path: str | Path) -> dict[str, DeviceKinetics]:
    """Return the devices that a file of `fit` holds."""
    return load_size_fit(path)


def deagglomeration(
    path: FormulaSource,
    change: ProcessChange | None = None,
    *,
    fitted: str | Path | None = None,
    optics: bool = True,
    cards: str | Path | None = None,
) -> MakingReport[Deagglomeration]:
    """Return what a formula's process leaves of the aggregates, and what changes of it do.

    Parameters
    ----------
    path : str, Path or Formula
        Formula file.
    change : ProcessChange, optional
        Asked for; five minutes more and two mills when left out.
    fitted : str or Path, optional
        File that `fit` wrote.
    optics : bool
        Whether SPF and whiteness are worked out.
    cards : str or Path, optional
        Material cards used before the library's.
    """
    formula = open_formula(path, cards=cards)
    known = None if fitted is None else load_size_fit(fitted)
    files = () if fitted is None else (Path(fitted).name,)
    result = what_if(formula, change, kinetics=known, optics=optics)
    return MakingReport("deagglomeration", result, formula, files)


def fit(
    path: str | Path, *, target: str | Path | None = None, decimal: str | None = None
) -> MakingReport[SizeFit]:
    """Return the kinetics of devices fitted to a file of size analyses, written to `target`."""
    result = fit_sizes(path, decimal=decimal)
    if target is not None:
        save_size_fit(result.kinetics, target)
    return MakingReport("fit", result, None, (result.file,))
