"""The demo's work: predict and check four formulas, write the report, fill the notebook."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from zincite.evaluation.prediction import Prediction
from zincite.evaluation.regulation import MarketAssessment
from zincite.interfaces.cli.demo_files import (
    FORMULA_FILES,
    INVENTED,
    REPORT_FILE,
    write_demo,
)
from zincite.interfaces.cli.options import write_text
from zincite.interfaces.cli.progress import Progress
from zincite.interfaces.documents.judged import reasons_against
from zincite.workbench.formulas import check, open_formula, predict

if TYPE_CHECKING:
    from zincite.workbench.demo.notebook_file import DemoNotebook

__all__ = ["DemoFormula", "DemoRun", "demo_in", "run_demo"]


@dataclass(frozen=True, slots=True)
class DemoFormula:
    """One formula of the demo: its file, prediction, markets and what speaks against it."""

    file: str
    made: Prediction
    markets: tuple[MarketAssessment, ...]
    reasons: tuple[str, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.file,
            "verdict": self.made.verdict,
            "markets": {market.market: market.verdict for market in self.markets},
            "reasons_against": list(self.reasons),
            "prediction": self.made.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class DemoRun:
    """What the demo found: the chosen formula first."""

    folder: Path
    report: Path
    formulas: tuple[DemoFormula, ...]
    notebook: DemoNotebook | None = None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "note": INVENTED,
            "folder": str(self.folder),
            "report": str(self.report),
            "formulas": [formula.to_dict() for formula in self.formulas],
            "notebook": None if self.notebook is None else self.notebook.to_dict(),
        }


def demo_in(folder: str, *, replace: bool = False, with_notebook: bool = True) -> DemoRun:
    """Run the whole demo in a folder.

    Parameters
    ----------
    folder : str
        Made where it is missing.
    replace : bool
        Whether what the user changed since may be replaced.
    with_notebook : bool
        Whether the notebook is filled too.

    Raises
    ------
    InputError
        If the folder cannot be written, or holds what the demo may not replace.
    """
    if not with_notebook:
        return run_demo(write_demo(folder, replace=replace))
    from zincite.workbench.demo.notebook_file import check_place, make_notebook

    check_place(Path(folder), replace=replace)
    run = run_demo(write_demo(folder, replace=replace))
    with Progress() as shown:
        made = make_notebook(
            run.folder,
            progress=lambda done, whole: shown.tell("Filling the notebook", done, whole),
        )
    return DemoRun(run.folder, run.report, run.formulas, made)


def run_demo(folder: Path) -> DemoRun:
    """Predict and check the formulas in a folder and write the report beside them.

    Parameters
    ----------
    folder : Path
        As `write_demo` leaves it.

    Returns
    -------
    DemoRun
    """
    predictions = [predict(open_formula(folder / name)) for name in FORMULA_FILES]
    chosen = predictions[0]
    formulas = tuple(
        DemoFormula(
            name,
            made,
            check(made.formula, prediction=made),
            () if made is chosen else reasons_against(made, chosen),
        )
        for name, made in zip(FORMULA_FILES, predictions, strict=True)
    )
    report = folder / REPORT_FILE
    write_text(str(report), _report(formulas), what="the report")
    return DemoRun(folder, report, formulas)


def _report(formulas: tuple[DemoFormula, ...]) -> str:
    from zincite.interfaces.documents.report import report_html
    from zincite.workbench.making.overview import overview

    chosen, *others = formulas
    return report_html(
        chosen.made,
        chosen.markets,
        compared=[other.made for other in others],
        making=overview(chosen.made.formula),
    )
