"""The lines of a brief as measurements can meet them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from zincite.evaluation.assay import rules
from zincite.evaluation.brief_lines import formula_lines, protection_needed
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.judgement import BriefLine
from zincite.formula.brief import Brief, skins_asked
from zincite.formula.formula import Formula
from zincite.notebook.questions.readings import Reading, latest_of

__all__ = ["CALCULATED", "Calculated", "JudgedLine", "Requirement", "judge", "judge_formula",
           "requirements_of"]  # fmt: skip

AT_LEAST, AT_MOST = "at least", "at most"
CALCULATED = ("natural_origin_percent", "cost_per_kg")
"""Figures that no test gives: they follow from formula and cards, and are kept as predicted."""


@dataclass(frozen=True, slots=True)
class Requirement:
    """One line of a brief.

    Attributes
    ----------
    topic : str
        What is asked, in words.
    sense : str
        "at least" or "at most".
    limit : float
    unit : str
    quantity : str
        Figure that answers it. Of SPF only a test on people or by a method that stands for it:
        the SPF on plates before scaling is another figure.
    note : str
        Why the limit is what it is.
    """

    topic: str
    sense: str
    limit: float
    unit: str
    quantity: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Calculated:
    """A figure that follows from the formula.

    Attributes
    ----------
    value : float
    low, high : float or None
    source : str
        Prediction that holds it, such as "K-07@2/1".
    """

    value: float
    low: float | None
    high: float | None
    source: str


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """A line of a brief with what was found.

    Attributes
    ----------
    topic, sense : str
    limit : float
    unit : str
    verdict : str
        "passes", "short" (it misses, but the interval reaches the limit), "fails" or "unknown".
    value, low, high : float or None
    margin : float or None
        How far the value is on the good side, negative where it misses. [unit]
    evidence : str
        "measured", "calculated", or "" where nothing is known.
    source : str
        Result or prediction.
    note : str
    """

    topic: str
    sense: str
    limit: float
    unit: str
    verdict: str
    value: float | None
    low: float | None
    high: float | None
    margin: float | None
    evidence: str
    source: str
    note: str


def requirements_of(brief: Brief) -> tuple[Requirement, ...]:
    """Return the lines of a brief that a test or a calculated figure answers, in its order."""
    found = _protection(brief)
    for key, symbol, limit in (
        ("delta_e00", "dE00", brief.white_cast_max_delta_e00),
        ("delta_l", "dL*", brief.white_cast_max_delta_l),
    ):
        if limit is not None:
            found += [
                Requirement(f"white cast {symbol}, {skin} skin", AT_MOST, limit, "",
                            f"{key} {skin}")
                for skin in skins_asked(brief)
            ]  # fmt: skip
    for topic, limit, sense, unit, quantity in (
        ("natural origin content, water included", brief.natural_origin_min_percent, AT_LEAST,
         "%", "natural_origin_percent"),
        ("raw-material cost", brief.cost_max_per_kg, AT_MOST, f"{brief.currency}/kg",
         "cost_per_kg"),
        ("viscosity", brief.viscosity_min_mPas, AT_LEAST, "mPa s", "viscosity_mPas"),
        ("viscosity", brief.viscosity_max_mPas, AT_MOST, "mPa s", "viscosity_mPas"),
    ):  # fmt: skip
        if limit is not None:
            found.append(Requirement(topic, sense, limit, unit, quantity))
    if brief.water_resistant:
        least = rules.limit("ISO 18861", "lower_limit_percent")
        note = "" if least.verified else "the limit is from memory"
        found.append(
            Requirement("SPF kept in water, mean", AT_LEAST, least.low, "%",
                        "retention_percent", note)
        )  # fmt: skip
    return tuple(found)


def _protection(brief: Brief) -> list[Requirement]:
    found = []
    if brief.label_spf is not None:
        needed, why, uva = protection_needed(brief)
        found.append(Requirement("SPF", AT_LEAST, needed, "", "spf", why))
        if uva is not None:
            note = "a third of the label SPF, or the brief's own share"
            found.append(Requirement("UVA-PF", AT_LEAST, uva, "", "uva_pf", note))
    if brief.critical_wavelength_min_nm is not None:
        limit = brief.critical_wavelength_min_nm
        quantity = "critical_wavelength_nm"
        found.append(Requirement("critical wavelength", AT_LEAST, limit, "nm", quantity))
    return found


def judge(
    requirement: Requirement,
    readings: Sequence[Reading],
    calculated: Mapping[str, Calculated],
) -> JudgedLine:
    """Judge a requirement by the latest reading of its figure.

    Parameters
    ----------
    requirement : Requirement
    readings : sequence of Reading
        Of all trials of a version.
    calculated : mapping of str to Calculated
        By quantity.
    """
    quantity = requirement.quantity
    reading = latest_of(one for one in readings if one.quantity == quantity)
    if reading is not None:
        figures = (reading.value, reading.low, reading.high)
        return _judged(requirement, figures, "measured", reading.result)
    known = calculated.get(quantity) if quantity in CALCULATED else None
    if known is not None:
        return _judged(
            requirement, (known.value, known.low, known.high), "calculated", known.source
        )
    return _judged(requirement, None, "", "")


def _judged(
    asked: Requirement,
    figures: tuple[float, float | None, float | None] | None,
    evidence: str,
    source: str,
) -> JudgedLine:
    value, low, high = figures or (None, None, None)
    verdict, margin = "unknown", None
    if value is not None:
        wanted_more = asked.sense == AT_LEAST
        margin = value - asked.limit if wanted_more else asked.limit - value
        edge = high if wanted_more else low
        reaches = edge is not None and (edge >= asked.limit if wanted_more else edge <= asked.limit)
        verdict = "passes" if margin >= -1e-9 else "short" if reaches else "fails"
    return JudgedLine(
        asked.topic, asked.sense, asked.limit, asked.unit, verdict, value, low, high, margin,
        evidence, source, asked.note,
    )  # fmt: skip


def judge_formula(brief: Brief, formula: Formula, source: str) -> tuple[JudgedLine, ...]:
    """Return the lines that the formula alone decides: temperatures and what is in it.

    Parameters
    ----------
    brief : Brief
    formula : Formula
    source : str
        Version, such as "K-07@2".
    """
    return tuple(_of_line(line, source) for line in formula_lines(brief, formula))


def _of_line(line: BriefLine, source: str) -> JudgedLine:
    found = line.found
    value: float | None
    low = high = None
    if isinstance(found, Estimate):
        value, low, high = found.median, found.low, found.high
    else:
        value = found.value
    how, where = ("", "") if value is None else ("calculated", source)
    return JudgedLine(
        line.topic, line.sense, line.limit, line.unit, line.verdict, value, low, high, line.margin,
        how, where, line.note,
    )  # fmt: skip
