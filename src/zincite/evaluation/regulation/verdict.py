"""Judged requirements of a market and their sum."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from zincite.data.provenance import source
from zincite.data.regulation_rows import Provenance
from zincite.evaluation.estimate import Estimate

__all__ = [
    "CAUTIONS",
    "NO_SOURCE",
    "VERDICTS",
    "MarketAssessment",
    "Requirement",
    "Statement",
    "citation",
    "overall_verdict",
    "probability_of",
    "requirement",
    "reservation",
    "shown",
    "statement",
]

VERDICTS = ("fails", "unknown", "needs a test", "passes")
"""From the worst to the best; a sum takes the worst."""

CAUTIONS = (
    "A prediction replaces no in vivo or in vitro test by an accredited laboratory.",
    "No label SPF, UVA or PA statement may rest on a prediction.",
    "Zinc oxide and titanium dioxide powders must not be inhaled: wear respiratory protection, "
    "and make no spray or loose powder without an inhalation assessment.",
    "Local rules decide: check each against its text and date, above all those marked unverified.",
    "The responsible safety assessor signs, not this tool.",
)
"""What every report on a market says."""

NO_SOURCE = Provenance("", "", "", "unverified")
"""For a topic on which no rule is held."""


@dataclass(frozen=True, slots=True)
class Requirement:
    """One requirement of a market, judged.

    Attributes
    ----------
    topic : str
        What is judged.
    verdict : str
        One of `VERDICTS`.
    found, limit : str
        As printed, with unit.
    detail : str
        Why, and what to do.
    source, date, confidence : str
        Where the rule stands, when it was made and whether it was read ("verified") or is
        remembered ("unverified").
    probability : float or None
        Probability that a test would meet the limit, where the caller has one.
    """

    topic: str
    verdict: str
    found: str
    limit: str
    detail: str
    source: str
    date: str
    confidence: str
    probability: float | None = None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        named: dict[str, object] = {name: getattr(self, name) for name in self.__slots__}
        if self.probability is None:
            del named["probability"]
        return named


@dataclass(frozen=True, slots=True)
class Statement:
    """Something a label must or must not say, or a note on the market's rules."""

    kind: str
    text: str
    source: str
    date: str
    confidence: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class MarketAssessment:
    """All requirements of one market.

    Attributes
    ----------
    market, name, product_status : str
        Key, name and what the product is in law there.
    verdict : str
        The worst of the requirements.
    requirements : tuple of Requirement
        In the order of work: ceilings, form, use, claims, efficacy.
    label_statements, notes : tuple of Statement
        Label duties; contradictions and changes of the rules.
    tests_to_order : tuple of Statement
        Methods by quantity.
    warnings : tuple of str
        What a chemist must know about this assessment.
    """

    market: str
    name: str
    product_status: str
    verdict: str
    requirements: tuple[Requirement, ...]
    label_statements: tuple[Statement, ...] = ()
    tests_to_order: tuple[Statement, ...] = ()
    notes: tuple[Statement, ...] = ()
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = field(default=CAUTIONS)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "market": self.market,
            "name": self.name,
            "product_status": self.product_status,
            "verdict": self.verdict,
            "requirements": [r.to_dict() for r in self.requirements],
            "label_statements": [s.to_dict() for s in self.label_statements],
            "tests_to_order": [s.to_dict() for s in self.tests_to_order],
            "notes": [s.to_dict() for s in self.notes],
            "warnings": list(self.warnings),
            "cautions": list(self.cautions),
        }


def overall_verdict(requirements: Iterable[Requirement]) -> str:
    """Return "fails" if any fails, else "unknown", else "needs a test", else "passes"."""
    verdicts = {r.verdict for r in requirements}
    return next((v for v in VERDICTS if v in verdicts), "passes")


def reservation(verdict: str, in_force: str) -> str:
    """Return the verdict that a rule may give: one marked "verify" decides nothing."""
    return "unknown" if in_force == "verify" and verdict in ("passes", "fails") else verdict


def citation(origin: Provenance) -> str:
    """Return a rule's source as printed: title and section."""
    if not origin.key:
        return "no rule found"
    return f"{source(origin.key).title}, {origin.section}"


def requirement(
    topic: str,
    verdict: str,
    origin: Provenance,
    *,
    found: str = "",
    limit: str = "",
    detail: str = "",
    probability: float | None = None,
) -> Requirement:
    """Return a requirement with its source written out."""
    return Requirement(
        topic=topic,
        verdict=verdict,
        found=found,
        limit=limit,
        detail=detail,
        source=citation(origin),
        date=origin.date,
        confidence=origin.confidence,
        probability=probability,
    )


def statement(kind: str, text: str, origin: Provenance) -> Statement:
    """Return a statement with its source written out."""
    return Statement(kind, text, citation(origin), origin.date, origin.confidence)


def shown(estimate: Estimate | None, *, digits: int = 3) -> str:
    """Return an estimate as printed with its 90 % interval."""
    if estimate is None:
        return "no prediction"
    unit = f" {estimate.unit}" if estimate.unit else ""
    low, middle, high = (
        f"{value:.{digits}g}" for value in (estimate.low, estimate.median, estimate.high)
    )
    return f"{middle}{unit} (90 % interval {low} to {high})"


def probability_of(probabilities: Mapping[str, float] | None, quantity: str) -> float | None:
    """Return the probability that the caller holds for a quantity, if any."""
    return None if probabilities is None else probabilities.get(quantity)
