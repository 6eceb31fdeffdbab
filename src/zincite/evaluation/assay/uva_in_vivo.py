"""UVA protection factor on people, ISO 24442:2022: pigment-darkening doses to a judged result."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.panel import Panel, evaluate_panel
from zincite.evaluation.assay.panel_advice import PanelAdvice, panel_advice
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.rules import formula_marks
from zincite.evaluation.regulation import pa_grade

__all__ = ["UvaInVivo", "evaluate_uva_in_vivo"]

METHOD = "ISO 24442:2022"
_RULES = "ISO 24442"


@dataclass(frozen=True, slots=True)
class UvaInVivo:
    """A test by ISO 24442 evaluated.

    Attributes
    ----------
    method : str
    panel : Panel
        Subjects and statistics of the UVA-PF.
    valid : bool
    reasons : tuple of str
        Criteria that are not met.
    pa_grade_if_valid : str or None
        PA grade that the reported mean would carry; None below 2.
    label_spf : float or None
        SPF on the label.
    uva_pf_to_label_spf : float or None
        Ratio that the third of the European recommendation is asked of.
    advice : PanelAdvice
    notes, marks : tuple of str
        What could not be checked; equations and limits from memory.
    """

    method: str
    panel: Panel
    valid: bool
    reasons: tuple[str, ...]
    pa_grade_if_valid: str | None
    label_spf: float | None
    uva_pf_to_label_spf: float | None
    advice: PanelAdvice
    notes: tuple[str, ...]
    marks: tuple[str, ...]

    @property
    def pa_grade(self) -> str | None:
        """PA grade; None while the test is not valid."""
        return self.pa_grade_if_valid if self.valid else None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints; `mean_uva_pf` in full, `reported_uva_pf` truncated."""
        panel = self.panel
        shown: dict[str, object] = plain(
            {
                "method": self.method,
                "mean_uva_pf": panel.mean,
                "reported_uva_pf": panel.reported,
                "sd": panel.sd,
                "n": panel.n,
                "ci95_low": panel.ci_low,
                "ci95_high": panel.ci_high,
                "ci95_half_width_percent": panel.half_width_percent,
                "cv_percent": panel.cv_percent,
                "valid": self.valid,
                "reasons": self.reasons,
                "pa_grade": self.pa_grade,
                "pa_grade_if_valid": self.pa_grade_if_valid,
                "label_spf": self.label_spf,
                "uva_pf_to_label_spf": self.uva_pf_to_label_spf,
                "rejected": [
                    {"subject": item.subject, "reason": item.reason} for item in panel.rejected
                ],
                "subjects": [item.to_dict("uva_pf") for item in panel.subjects],
                "advice": self.advice.to_dict(),
                "notes": self.notes,
                "marks": self.marks,
            }
        )
        return shown


def evaluate_uva_in_vivo(
    subjects: Sequence[PanelSubject], *, label_spf: float | None = None, seed: int = 0
) -> UvaInVivo:
    """Evaluate a panel by ISO 24442:2022.

    Parameters
    ----------
    subjects : sequence of PanelSubject
        Minimal persistent pigment-darkening dose without and with product, both in one unit.
    label_spf : float, optional
        SPF on the label, > 0, for the ratio.
    seed : int
        Of the simulation behind the advice.

    Returns
    -------
    UvaInVivo

    Raises
    ------
    InputError, MissingDataError
        As `evaluate_panel`.
    OutOfRangeError
        If the label SPF is not above 0.

    Notes
    -----
    UVA-PFi = MPPDD protected / MPPDD unprotected; 10 to 20 subjects, 95 % interval within 17 % of
    the mean; all from memory. PA grades: `zincite.evaluation.regulation.pa_grade`.
    """
    if label_spf is not None and not label_spf > 0:
        raise OutOfRangeError(f"label SPF is {label_spf:g}, expected above 0")
    panel = evaluate_panel(subjects, _RULES, "MPPDD")
    return UvaInVivo(
        method=METHOD,
        panel=panel,
        valid=not panel.reasons,
        reasons=panel.reasons,
        pa_grade_if_valid=pa_grade(panel.reported),
        label_spf=label_spf,
        uva_pf_to_label_spf=None if label_spf is None else panel.reported / label_spf,
        advice=panel_advice(panel.values, _RULES, seed=seed),
        notes=("Reference sunscreen and skin colours are not checked: their limits are not held.",),
        marks=(*formula_marks(_RULES), *panel.marks),
    )
