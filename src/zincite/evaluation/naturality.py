"""Natural and natural origin content by ISO 16128, with and without formulation water."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.evaluation.estimate import Exact
from zincite.formula.formula import Formula
from zincite.formula.library import card_id, library
from zincite.formula.material import Material
from zincite.formula.substances import Substance, resolve
from zincite.sources import Evidence

__all__ = ["Naturality", "NaturalityLine", "naturality"]

_WATER = ("aqua", "water")
_THRESHOLD = 0.5
"""A derived natural substance must be above this, else it counts 0 (ISO 16128-1, from memory)."""


@dataclass(frozen=True, slots=True)
class NaturalityLine:
    """One substance's share in the natural origin content.

    Attributes
    ----------
    inci, material : str
        Substance, and the card it comes with.
    percent : float
        Mass share of the formula. [%]
    natural_origin_index : float or None
        As counted; None where no card gives one, which counts 0. [-]
    contribution_percent : float
        `percent` times the index. [%]
    natural_index : float or None
        Natural index; None where no card gives one, which counts 0. [-]
    basis, evidence, source : str
        Why the index is what it is, and how it is known.
    """

    inci: str
    material: str
    percent: float
    natural_origin_index: float | None
    contribution_percent: float
    natural_index: float | None
    basis: str
    evidence: str
    source: str

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


@dataclass(frozen=True, slots=True)
class Naturality:
    """Contents by ISO 16128.

    Attributes
    ----------
    natural_origin_percent, natural_origin_percent_without_water : Exact
        Natural origin content; the second leaves formulation water out of both sums. [%]
    natural_percent : Exact
        Natural content, water included. [%]
    unknown : tuple of str
        Substances without natural origin index: they count 0.
    unknown_percent : float
        Their share of the formula. [%]
    assumed_percent : float
        Share of the formula whose index is an assumption and no certificate. [%]
    lines : tuple of NaturalityLine
        One per substance and card.
    """

    natural_origin_percent: Exact
    natural_origin_percent_without_water: Exact
    natural_percent: Exact
    unknown: tuple[str, ...]
    unknown_percent: float
    assumed_percent: float
    lines: tuple[NaturalityLine, ...]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "natural_origin_percent": self.natural_origin_percent.to_dict(),
            "natural_origin_percent_without_water": (
                self.natural_origin_percent_without_water.to_dict()
            ),
            "natural_percent": self.natural_percent.to_dict(),
            "unknown": list(self.unknown),
            "unknown_percent": self.unknown_percent,
            "assumed_percent": self.assumed_percent,
            "lines": [line.to_dict() for line in self.lines],
        }


def naturality(formula: Formula) -> Naturality:
    """Return the natural and natural origin content of a formula.

    Parameters
    ----------
    formula : Formula
        Its cards carry `natural_origin_index` and, for natural substances, `natural_index`.

    Returns
    -------
    Naturality

    Notes
    -----
    Content = sum of mass share times index over all substances, coatings and the parts of blends
    on their own. Without formulation water both the sum and the mass leave water out; water that
    comes inside a blend is treated alike. An unknown index counts 0 and is listed. A single
    substance whose index is at or below 0.5 counts 0 (derived natural starts above it, from
    memory); a card that names several substances keeps its mass mean.

    References
    ----------
    reg-iso-16128: ISO 16128-2:2017, product content clause (read second-hand).
    """
    lines = tuple(_line(part, formula) for part in resolve(formula) if part.percent > 0)
    total = math.fsum(line.percent for line in lines)
    dry = [line for line in lines if line.inci.strip().lower() not in _WATER]
    missing = tuple(dict.fromkeys(line.inci for line in lines if line.natural_origin_index is None))
    no_natural = tuple(dict.fromkeys(line.inci for line in lines if line.natural_index is None))
    natural = math.fsum(line.percent * (line.natural_index or 0.0) for line in lines)
    return Naturality(
        natural_origin_percent=Exact(_content(lines, total), "%", missing),
        natural_origin_percent_without_water=Exact(
            _content(dry, math.fsum(line.percent for line in dry)), "%", missing
        ),
        natural_percent=Exact(100.0 * natural / total, "%", no_natural),
        unknown=missing,
        unknown_percent=math.fsum(
            line.percent for line in lines if line.natural_origin_index is None
        ),
        assumed_percent=math.fsum(
            line.percent for line in lines if line.evidence == Evidence.ASSUMED.value
        ),
        lines=lines,
    )


def _content(lines: tuple[NaturalityLine, ...] | list[NaturalityLine], mass: float) -> float | None:
    """Return 100 times contribution per mass, None where there is no mass."""
    if mass <= 0:
        return None
    return 100.0 * math.fsum(line.contribution_percent for line in lines) / mass


def _line(part: Substance, formula: Formula) -> NaturalityLine:
    card = formula.materials.get(part.material) or library().get(part.material)
    stated = part.natural_origin_index
    basis = "" if card is None or part.role == "coating" else card.natural_basis
    index = None if stated is None else stated.value
    if index is not None and 0 < index <= _THRESHOLD and _is_single(card, part):
        basis = f"index {index:g} is not above 0.5, so not derived natural: counts 0"
        index = 0.0
    return NaturalityLine(
        inci=part.inci,
        material=part.material,
        percent=part.percent,
        natural_origin_index=index,
        contribution_percent=part.percent * (index or 0.0),
        natural_index=_natural_index(part, card),
        basis=basis or ("no index on the card, counts 0" if stated is None else ""),
        evidence="" if stated is None else stated.evidence.value,
        source="" if stated is None else stated.source,
    )


def _is_single(card: Material | None, part: Substance) -> bool:
    """Return whether an index belongs to one substance and is no mean over a blend."""
    if card is None or part.role != "whole" or "(and)" in card.inci.lower():
        return False
    return card.properties.get("natural_origin_index") is part.natural_origin_index


def _natural_index(part: Substance, card: Material | None) -> float | None:
    """Return the natural index of the substance's own card.

    Cards state it for what is natural; where they do not, a known origin index means derived or
    not natural, so 0. A mineral core is a derived mineral.
    """
    own = library().get(card_id(part.inci)) if part.role == "coating" else card
    found = None if own is None or part.role == "core" else own.properties.get("natural_index")
    if found is not None:
        return found.value
    return None if part.natural_origin_index is None else 0.0
