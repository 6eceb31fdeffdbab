"""What the rules ask of a formula: how much of which mineral filter, in which form, for which use.

Ceilings are assessed on the mass of the oxide, the coating left out: the lists name the oxide as
the filter and its coatings as substances of their own, and the ingredient list prints them apart.
An authority may read the powder as supplied instead; where that reading would exceed a ceiling the
assessment warns. This choice is ours, no source states it.
"""

from __future__ import annotations

from dataclasses import dataclass

from zincite.evaluation.regulation.number_sizes import size_range
from zincite.formula.brief import Brief
from zincite.formula.formula import Formula
from zincite.formula.ingredient_list import NANO_LIMIT_NM, nano_decision
from zincite.formula.material import Grade, Material
from zincite.formula.substances import leaves
from zincite.sources import Evidence

__all__ = ["FILTERS", "PigmentUse", "pigment_uses", "product_kinds"]

FILTERS = {"zinc-oxide": "zinc oxide", "titanium-dioxide": "titanium dioxide"}
"""Mineral filters by key, as printed."""

_INCI_OF_FILTER = {
    "zinc oxide": "zinc-oxide",
    "ci 77947": "zinc-oxide",
    "titanium dioxide": "titanium-dioxide",
    "ci 77891": "titanium-dioxide",
}
_COLOUR_WORDS = ("colour", "color", "opacif", "pigmentary", "ci 77891", "ci 77947")


@dataclass(frozen=True, slots=True)
class PigmentUse:
    """One pigment powder of the formula.

    Attributes
    ----------
    material : Material
        Its card.
    filter : str
        Key of `FILTERS`, or "" for another pigment.
    form : str
        "nano", "not nano", "border" or "unknown" (no size on the card).
    form_detail : str
        Why.
    oxide_percent : float
        Core oxide, coating left out. [% of the formula]
    supplied_percent : float
        Powder as supplied. [% of the formula]
    is_colourant : bool
        Whether the card names it as colour or opacifier and not as a UV filter.
    """

    material: Material
    filter: str
    form: str
    form_detail: str
    oxide_percent: float
    supplied_percent: float
    is_colourant: bool

    @property
    def name(self) -> str:
        """The pigment as printed in a topic."""
        return FILTERS.get(self.filter, self.material.inci)


def _filter_of(material: Material) -> str:
    if material.grade is not None:
        return next((key for key in FILTERS if material.grade.core.startswith(key)), "")
    return _INCI_OF_FILTER.get(material.inci.strip().lower(), "")


def _is_colourant(material: Material) -> bool:
    words = " ".join((material.inci, *material.functions)).lower()
    return "uv filter" not in words and any(word in words for word in _COLOUR_WORDS)


def _form(grade: Grade) -> tuple[str, str]:
    """Return the nano decision; assumed sizes that allow both forms leave it open.

    Half of the particles are below 100 nm where the number median is.
    """
    decision = nano_decision(grade)
    if grade.evidence is Evidence.ASSUMED:
        low, high = size_range(grade)
        if low.median_nm < NANO_LIMIT_NM <= high.median_nm:
            return "border", f"{decision.reason}; the card's sizes are assumed and allow both forms"
    return decision.verdict, decision.reason


def _use(material: Material, percent: float) -> PigmentUse:
    grade = material.grade
    form, detail, core_share = "unknown", "the card gives no particle size", 1.0
    if grade is not None:
        form, detail = _form(grade)
        core_share = grade.core_mass_fraction
    return PigmentUse(
        material=material,
        filter=_filter_of(material),
        form=form,
        form_detail=detail,
        oxide_percent=percent * core_share,
        supplied_percent=percent,
        is_colourant=_is_colourant(material),
    )


def pigment_uses(formula: Formula) -> tuple[PigmentUse, ...]:
    """Return every pigment powder of a formula, those inside dispersions included."""
    return tuple(
        _use(material, percent)
        for material, percent in leaves(formula)
        if material.grade is not None or _filter_of(material)
    )


def product_kinds(brief: Brief | None) -> tuple[str, ...]:
    """Return which restricted kinds of product the brief names: spray, powder, lip."""
    words = "" if brief is None else brief.product.lower()
    kinds = []
    if "spray" in words or "aerosol" in words or "mist" in words:
        kinds.append("spray")
    if "powder" in words:
        kinds.append("powder")
    if "lip" in words:
        kinds.append("lip")
    return tuple(kinds)
