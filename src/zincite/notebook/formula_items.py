"""What a version weighs: each ingredient with the core and coating of the pigments in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass

from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves_of
from zincite.notebook.records import join_words

__all__ = ["BETWEEN_GRADES", "BETWEEN_LAYERS", "FormulaItem", "formula_words", "items_of"]

BETWEEN_LAYERS = " + "
"""Between the layers of a coating, from the core outwards."""
BETWEEN_GRADES = "; "
"""Between the pigments of a blend, in order of its card."""


@dataclass(frozen=True, slots=True)
class FormulaItem:
    """One ingredient as weighed.

    Attributes
    ----------
    phase, material_key : str
    percent : float
        Mass share of the formula. [%]
    core, coating : str
        Of the pigment, or of the pigments in a blend, as "Silica + Dimethicone"; "" without.
    """

    phase: str
    material_key: str
    percent: float
    core: str
    coating: str

    def to_dict(self) -> dict[str, object]:
        """Return the row of the child table, and what `--json` prints."""
        return asdict(self)


def items_of(formula: Formula) -> tuple[FormulaItem, ...]:
    """Return the ingredients of a formula in order of its phases."""
    return tuple(
        FormulaItem(
            phase.name,
            item.material,
            float(item.percent),
            *_pigments(formula.materials[item.material], formula.materials),
        )
        for phase in formula.phases
        for item in phase.ingredients
    )


def _pigments(card: Material, cards: dict[str, Material]) -> tuple[str, str]:
    """Return cores and coatings of a material and of the pigments inside a blend."""
    grades = [leaf.grade for leaf, _ in leaves_of(card, cards) if leaf.grade is not None]
    cores = (grade.core for grade in grades)
    coatings = (BETWEEN_LAYERS.join(layer.inci for layer in grade.coatings) for grade in grades)
    return _joined(cores), _joined(coatings)


def _joined(texts: Iterable[str]) -> str:
    return BETWEEN_GRADES.join(dict.fromkeys(text for text in texts if text))


def formula_words(formula: Formula, called: str, reason: str, items: Iterable[FormulaItem]) -> str:
    """Return what the search finds a version by."""
    listed = list(items)
    return join_words(
        formula.code,
        called,
        formula.name,
        formula.note,
        reason,
        *(item.material_key for item in listed),
        *(formula.materials[item.material_key].inci for item in listed),
        *(item.core for item in listed),
        *(item.coating for item in listed),
    )
