"""Acids that zinc oxide takes, and the zinc soaps that fatty acids become."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.chemistry import acids, molar_mass_g_mol
from zincite.errors import OutOfRangeError
from zincite.formula.formula import Formula
from zincite.formula.substances import Substance, leaves, resolve

__all__ = ["STRUCTURING_SOAP_PERCENT", "AcidTaken", "acids_taken", "zinc_oxide_consumed_g_g"]

STRUCTURING_SOAP_PERCENT = 0.5
"""Zinc stearate from which a light oil gel is made on purpose (trade source S57: 0.5-0.7 %)."""


@dataclass(frozen=True, slots=True)
class AcidTaken:
    """An acid of the formula and the zinc oxide it turns into salt.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    zinc_oxide_g_g : float
        Zinc oxide per gram of acid. [g/g]
    zinc_oxide_percent : float
        Zinc oxide taken, of the formula. [%]
    zinc_salt_percent : float
        Zinc salt formed, of the formula. [%]
    is_fatty, is_coating, is_assumed : bool
        Whether the salt is a soap; whether it sits on the pigment already; whether its acid
        content is from memory.
    """

    inci: str
    percent: float
    zinc_oxide_g_g: float
    zinc_oxide_percent: float
    zinc_salt_percent: float
    is_fatty: bool
    is_coating: bool
    is_assumed: bool

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "inci": self.inci,
            "percent": self.percent,
            "zinc_oxide_g_g": self.zinc_oxide_g_g,
            "zinc_oxide_percent": self.zinc_oxide_percent,
            "zinc_salt_percent": self.zinc_salt_percent,
            "fatty": self.is_fatty,
            "coating": self.is_coating,
            "assumed": self.is_assumed,
        }


def zinc_oxide_consumed_g_g(inci: str) -> float:
    """Return the zinc oxide that one gram of an acid turns into its salt (trade relation R37).

    Raises
    ------
    OutOfRangeError
        If the acid is not in data/chemistry/acids.csv.

    Examples
    --------
    >>> round(zinc_oxide_consumed_g_g("Citric Acid"), 3)
    0.635
    """
    acid = acids().get(inci.lower())
    if acid is None:
        raise OutOfRangeError(f"{inci!r} is no acid known here, expected one of data/chemistry")
    return acid.protons_mol_g * molar_mass_g_mol("ZnO") / 2


def _on_other_pigment(formula: Formula, part: Substance) -> bool:
    """Whether an acid coats a pigment that is no zinc oxide."""
    cards = {card.id: card for card, _ in leaves(formula)}
    grade = cards[part.material].grade
    return part.role == "coating" and grade is not None and grade.core != "zinc-oxide"


def acids_taken(formula: Formula) -> tuple[AcidTaken, ...]:
    """Return the acids of a formula, those on pigments marked as coatings, by zinc oxide taken."""
    found = []
    for part in resolve(formula):
        acid = acids().get(part.inci.lower())
        if acid is None or part.percent <= 0 or _on_other_pigment(formula, part):
            continue
        each = zinc_oxide_consumed_g_g(part.inci)
        gained = acid.protons_mol_g * (molar_mass_g_mol("Zn") / 2 - molar_mass_g_mol("H"))
        found.append(AcidTaken(
            acid.inci, part.percent, each, part.percent * each, part.percent * (1 + gained),
            acid.is_fatty, part.role == "coating", acid.is_assumed,
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda taken: -taken.zinc_oxide_percent))
