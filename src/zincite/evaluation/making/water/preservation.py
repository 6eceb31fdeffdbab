"""Whether preservatives work at the pH of the water phase."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.chemistry import complexes, preservatives
from zincite.formula.formula import Formula
from zincite.formula.substances import leaves

__all__ = ["USELESS_BELOW", "PreservativeFit", "preservative_fits", "undissociated_share"]

USELESS_BELOW = 0.05
"""Undissociated share below which an acid preservative counts as lost (common practice)."""
_LEAST_SHOWN = 1e-4


@dataclass(frozen=True, slots=True)
class PreservativeFit:
    """A preservative at a pH.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    undissociated_share : float or None
        Part of an acid that works; None where it is no acid. [-]
    ph_low, ph_high : float or None
        Range in which it works, where it is no acid.
    verdict : str
        "works", "weak" or "lost".
    reason : str
        One sentence.
    """

    inci: str
    percent: float
    undissociated_share: float | None
    ph_low: float | None
    ph_high: float | None
    verdict: str
    reason: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "inci": self.inci,
            "percent": self.percent,
            "undissociated_share": self.undissociated_share,
            "ph_low": self.ph_low,
            "ph_high": self.ph_high,
            "verdict": self.verdict,
            "reason": self.reason,
        }


def undissociated_share(acid: str, ph: float) -> float:
    """Return the share of a one-proton acid that holds its proton.

    Parameters
    ----------
    acid : str
        Component, such as "benzoate".
    ph : float

    Returns
    -------
    float
        1/(1 + 10^(pH - pKa)). [-]

    Examples
    --------
    >>> round(undissociated_share("benzoate", 4.2), 3)
    0.5
    """
    pka = next(c.log10_beta for c in complexes() if dict(c.parts) == {acid: 1, "H": 1})
    return float(1 / (1 + 10.0 ** (ph - pka)))


def preservative_fits(formula: Formula, ph: float) -> tuple[PreservativeFit, ...]:
    """Return how each preservative and multifunctional of a formula fits a pH."""
    found = []
    for card, percent in leaves(formula):
        known = preservatives().get(card.inci.lower())
        if known is None or percent <= 0:
            continue
        low, high = known.ph_low, known.ph_high
        if known.acid:
            share = undissociated_share(known.acid, ph)
            verdict = "lost" if share < USELESS_BELOW else "weak" if share < 0.5 else "works"
            shown = "less than 0.01" if share < _LEAST_SHOWN else f"{100 * share:.2g}"
            reason = f"{shown} % of it is undissociated at pH {ph:.1f}, the part that works"
        else:
            share = None
            outside = (low is not None and ph < low) or (high is not None and ph > high)
            verdict = "weak" if outside else "works"
            reason = f"works at pH {low:g} to {high:g}" if low and high else "does not depend on pH"
            reason += f"; {known.remark}" if known.remark else ""
        found.append(PreservativeFit(card.inci, percent, share, low, high, verdict, reason))
    return tuple(found)
