"""Regulation: a formula against the dated rules of each market."""

from zincite.evaluation.regulation.assessment import assess_market
from zincite.evaluation.regulation.labels import label_class, label_target, pa_grade, uva_pf_needed
from zincite.evaluation.regulation.verdict import (
    CAUTIONS,
    VERDICTS,
    MarketAssessment,
    Requirement,
    Statement,
)

__all__ = [
    "CAUTIONS",
    "VERDICTS",
    "MarketAssessment",
    "Requirement",
    "Statement",
    "assess_market",
    "label_class",
    "label_target",
    "pa_grade",
    "uva_pf_needed",
]
