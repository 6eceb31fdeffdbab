"""SPF on people, ISO 24444:2019 with Amd 1:2022: from doses per subject to a judged result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.panel import Panel, evaluate_panel
from zincite.evaluation.assay.panel_advice import PanelAdvice, panel_advice
from zincite.evaluation.assay.panel_labels import panel_label_classes, usa_label_number
from zincite.evaluation.assay.panel_skin import PanelSkin, dose_ratio_reasons, panel_skin
from zincite.evaluation.assay.panel_subjects import PanelSubject
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.reference_sunscreens import reference_sunscreen
from zincite.evaluation.assay.rules import formula_marks, limit

__all__ = ["ReferenceCheck", "SpfInVivo", "check_reference", "evaluate_spf_in_vivo"]

METHOD = "ISO 24444:2019 + Amd 1:2022"
_RULES = "ISO 24444"
_FOR_HIGH_SPF = ("P5", "P6", "P8")


@dataclass(frozen=True, slots=True)
class ReferenceCheck:
    """A reference sunscreen tested along: its mean SPF against the acceptance range.

    Attributes
    ----------
    name : str
        Such as "P2".
    mean_spf, low, high : float
        Found, and the range of ISO 24444 Annex C.
    accepted : bool
    verified : bool
        Whether the range was read in a source; else it is from memory.
    """

    name: str
    mean_spf: float
    low: float
    high: float
    accepted: bool
    verified: bool


def check_reference(name: str, mean_spf: float) -> ReferenceCheck:
    """Return whether a reference sunscreen gave what it should.

    Parameters
    ----------
    name : str
        "P2", "P3", "P5", "P6", "P7" or "P8".
    mean_spf : float
        Its mean in the same test, > 0.

    Raises
    ------
    MissingDataError
        If the reference is not known.
    OutOfRangeError
        If the mean is not above 0.

    Examples
    --------
    >>> check_reference("P2", 16.0).accepted, check_reference("P2", 20.0).accepted
    (True, False)
    """
    known = reference_sunscreen(name)
    if not mean_spf > 0:
        raise OutOfRangeError(f"mean SPF of reference {known.name} is {mean_spf:g}, expected > 0")
    accepted = known.low <= mean_spf <= known.high
    return ReferenceCheck(
        known.name, float(mean_spf), known.low, known.high, accepted, known.verified
    )


@dataclass(frozen=True, slots=True)
class SpfInVivo:
    """A test by ISO 24444 evaluated.

    Attributes
    ----------
    method : str
    panel : Panel
        Subjects and statistics.
    valid : bool
        Whether every criterion that could be checked is met.
    reasons : tuple of str
        Criteria that are not met.
    label_class_if_valid : dict of str to (str or None)
        Label per market that the mean would carry.
    usa_label_number : int or None
        Whole number below the panel's lower limit.
    references : tuple of ReferenceCheck
    skin : PanelSkin or None
    advice : PanelAdvice
    two_panels : str
        How far two valid tests may lie apart, to print beside every SPF.
    notes : tuple of str
        What could not be checked.
    marks : tuple of str
        Equations and limits from memory.
    """

    method: str
    panel: Panel
    valid: bool
    reasons: tuple[str, ...]
    label_class_if_valid: dict[str, str | None]
    usa_label_number: int | None
    references: tuple[ReferenceCheck, ...]
    skin: PanelSkin | None
    advice: PanelAdvice
    two_panels: str
    notes: tuple[str, ...]
    marks: tuple[str, ...]

    @property
    def label_class(self) -> dict[str, str | None]:
        """Label per market; None everywhere while the test is not valid."""
        if self.valid:
            return dict(self.label_class_if_valid)
        return dict.fromkeys(self.label_class_if_valid)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints; `mean_spf` in full, `reported_spf` truncated to 0.1."""
        panel = self.panel
        shown: dict[str, object] = plain(
            {
                "method": self.method,
                "mean_spf": panel.mean,
                "reported_spf": panel.reported,
                "sd": panel.sd,
                "n": panel.n,
                "ci95_low": panel.ci_low,
                "ci95_high": panel.ci_high,
                "ci95_half_width_percent": panel.half_width_percent,
                "cv_percent": panel.cv_percent,
                "valid": self.valid,
                "reasons": self.reasons,
                "label_class": self.label_class,
                "label_class_if_valid": self.label_class_if_valid,
                "usa_label_number": self.usa_label_number,
                "rejected": [
                    {"subject": item.subject, "reason": item.reason} for item in panel.rejected
                ],
                "subjects": [item.to_dict("spf") for item in panel.subjects],
                "references": self.references,
                "skin": None if self.skin is None else self.skin.to_dict(),
                "advice": self.advice.to_dict(),
                "two_panels": self.two_panels,
                "notes": self.notes,
                "marks": self.marks,
            }
        )
        return shown


def evaluate_spf_in_vivo(
    subjects: Sequence[PanelSubject],
    *,
    references: Mapping[str, float] | None = None,
    expected_spf: float | None = None,
    seed: int = 0,
) -> SpfInVivo:
    """Evaluate a panel by ISO 24444:2019 with Amd 1:2022.

    Parameters
    ----------
    subjects : sequence of PanelSubject
        MED without and with product of each subject, both in one unit, or ladders read by
        `subject_from_ladders`.
    references : mapping of str to float, optional
        Mean SPF of the reference sunscreens of the same test by name, such as {"P5": 30.1}.
    expected_spf : float, optional
        SPF that the dose ladders were planned for; left out, the mean found.
    seed : int
        Of the simulation behind the advice.

    Returns
    -------
    SpfInVivo

    Raises
    ------
    InputError
        If a subject occurs twice or all ratios are below 1 (columns swapped).
    MissingDataError
        If no subject has a usable pair of MED, or a reference is not known.

    Notes
    -----
    SPFi = MED protected / MED unprotected (from memory); SPF = mean of SPFi, truncated to one
    decimal (clause 3.6, as quoted in AS/NZS 2604:2021); 95 % interval mean +/- t s/sqrt(n) within
    17 % of the mean for 10 to 20 subjects (as read for the 2010 edition).
    """
    panel = evaluate_panel(subjects, _RULES, "MED")
    checks = tuple(check_reference(name, mean) for name, mean in (references or {}).items())
    skin = panel_skin(panel.subjects)
    coarse, coarse_marks = dose_ratio_reasons(
        subjects, panel.mean if expected_spf is None else expected_spf
    )
    reasons = (
        *panel.reasons,
        *((skin.reasons) if skin else ()),
        *coarse,
        *_reference_reasons(checks, panel.mean),
    )
    labels, label_marks = panel_label_classes(panel)
    marks = (
        *formula_marks(_RULES),
        *panel.marks,
        *(skin.marks if skin else ()),
        *coarse_marks,
        *(f"range of reference {x.name}: from memory" for x in checks if not x.verified),
        *label_marks,
    )
    return SpfInVivo(
        method=METHOD,
        panel=panel,
        valid=not reasons,
        reasons=reasons,
        label_class_if_valid=labels,
        usa_label_number=usa_label_number(panel),
        references=checks,
        skin=skin,
        advice=panel_advice(panel.values, _RULES, seed=seed),
        two_panels=_two_panels(),
        notes=_notes(subjects, skin, checks),
        marks=marks,
    )


def _reference_reasons(checks: Sequence[ReferenceCheck], mean: float) -> list[str]:
    reasons = [
        f"reference {x.name} gave SPF {x.mean_spf:.1f}, expected {x.low:g} to {x.high:g}"
        for x in checks
        if not x.accepted
    ]
    high = limit(_RULES, "reference_for_high_spf")
    if checks and mean >= high.low and not any(x.name in _FOR_HIGH_SPF for x in checks):
        tested = ", ".join(x.name for x in checks)
        reasons.append(
            f"reference {tested} was tested along, expected P5, P6 or P8 from SPF {high.low:g} on"
        )
    return reasons


def _two_panels() -> str:
    ratio = limit(_RULES, "two_panels_ratio").high
    return (
        f"Two valid tests of ten subjects each on one product may differ by a factor {ratio:g}: "
        "a single SPF is weak evidence."
    )


def _notes(
    subjects: Sequence[PanelSubject], skin: PanelSkin | None, checks: Sequence[ReferenceCheck]
) -> tuple[str, ...]:
    notes = []
    if skin is None:
        given = sum(item.ita_deg is not None for item in subjects)
        notes.append(
            f"Skin colour of the panel is not checked: typology angles of {given} of "
            f"{len(subjects)} subjects are given."
        )
    if not checks:
        notes.append("No reference sunscreen is given; the standard asks for one in each test.")
    if all(item.protected_ratio is None for item in subjects):
        notes.append("Steps of the dose ladders are not checked: only MED are given.")
    return tuple(notes)
