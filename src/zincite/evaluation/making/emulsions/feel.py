"""Indicators of feel: how fast the oils spread, and how much oil the powders leave free."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.dispersing import oil_absorption_default_g_100g
from zincite.evaluation.density import is_powder
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.viscosity import oil_viscosity_mPas
from zincite.formula.defaults import density_g_ml_of
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves
from zincite.physics.rheology import log_mixed_viscosity
from zincite.sources import Sourced

__all__ = ["SPREADING_CLASSES", "FeelOutlook", "FreeOil", "SpreadingOil", "judge_feel"]

SPREADING_CLASSES = ("fast", "medium", "slow")
"""Classes of spreading, the fastest first."""

_FAST, _SLOW = 1000.0, 500.0  # mm2/10 min, trade relation R53, from memory
_OILS = {"emollient", "plant oil", "butter"}


@dataclass(frozen=True, slots=True)
class SpreadingOil:
    """An oil in the cascade.

    Attributes
    ----------
    inci : str
    percent : float
        Of the formula. [%]
    spreading : Sourced or None
        [mm2/10 min]
    volatile : bool
    """

    inci: str
    percent: float
    spreading: Sourced | None
    volatile: bool

    @property
    def spread_class(self) -> str:
        """Return "fast", "medium", "slow", or "" where the spreading is not known."""
        if self.spreading is None:
            return ""
        value = self.spreading.value
        return "fast" if value > _FAST else "medium" if value >= _SLOW else "slow"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        found = self.spreading
        return {
            "inci": self.inci,
            "percent": self.percent,
            "spreading_mm2_10min": None if found is None else found.value,
            "evidence": None if found is None else found.evidence.value,
            "class": self.spread_class or None,
            "volatile": self.volatile,
        }


@dataclass(frozen=True, slots=True)
class FreeOil:
    """Oil that the powders do not hold, all by mass of the formula.

    Attributes
    ----------
    oil_percent, volatile_percent : float
        Liquid oil that stays, and that leaves. [%]
    held_percent, held_low_percent, held_high_percent : float
        What the powders can take, with the range of assumed oil absorptions. [%]
    powders : tuple of (str, float, Sourced)
        Name, percent, oil absorption. [g/100 g]
    """

    oil_percent: float
    volatile_percent: float
    held_percent: float
    held_low_percent: float
    held_high_percent: float
    powders: tuple[tuple[str, float, Sourced], ...]

    @property
    def free_percent(self) -> float:
        """Oil that stays less what the powders take; negative where they could take more. [%]"""
        return self.oil_percent - self.held_percent

    @property
    def tendency(self) -> str:
        """Return "dry", "oily" or "undecided": on which side of the powders' capacity oil lies."""
        if self.oil_percent > self.held_high_percent:
            return "oily"
        return "dry" if self.oil_percent < self.held_low_percent else "undecided"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "non_volatile_oil_percent": self.oil_percent,
            "volatile_oil_percent": self.volatile_percent,
            "powder_capacity_percent": {
                "median": self.held_percent,
                "low": self.held_low_percent,
                "high": self.held_high_percent,
            },
            "free_oil_percent": {
                "median": self.free_percent,
                "low": self.oil_percent - self.held_high_percent,
                "high": self.oil_percent - self.held_low_percent,
            },
            "tendency": self.tendency,
            "powders": [
                {
                    "inci": name,
                    "percent": share,
                    "oil_absorption_g_100g": oil.value,
                    "evidence": oil.evidence.value,
                }
                for name, share, oil in self.powders
            ],
        }


@dataclass(frozen=True, slots=True)
class FeelOutlook:
    """Indicators of feel.

    Attributes
    ----------
    oils : tuple of SpreadingOil
        Fastest first, unknown last.
    free_oil : FreeOil
    oil_viscosity_mPas : float or None
        Of the oils' blend. [mPa s]
    basis : Basis
    """

    oils: tuple[SpreadingOil, ...]
    free_oil: FreeOil
    oil_viscosity_mPas: float | None
    basis: Basis

    @property
    def oil_percent(self) -> float:
        """All oils, of the formula. [%]"""
        return math.fsum(oil.percent for oil in self.oils)

    @property
    def class_percent(self) -> dict[str, float]:
        """Return each class's share of the formula; "" is not known. [%]"""
        return {
            name: math.fsum(o.percent for o in self.oils if o.spread_class == name)
            for name in (*SPREADING_CLASSES, "")
        }

    @property
    def known_percent(self) -> float:
        """Share of the oils whose spreading is known. [% of the oil]"""
        whole = self.oil_percent
        return 100 * (1 - self.class_percent[""] / whole) if whole > 0 else 0.0

    @property
    def missing_classes(self) -> tuple[str, ...]:
        """Return the classes in which no known oil lies."""
        return tuple(n for n, share in self.class_percent.items() if n and share <= 0)

    @property
    def verdict(self) -> str:
        """Return "passes" for a whole cascade, "short" for a gap in a known one, else "unknown"."""
        if not self.oils:
            return "unknown"
        if not self.missing_classes:
            return "passes"
        return "short" if self.known_percent > 100 - 1e-9 else "unknown"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        shares = self.class_percent
        return {
            "verdict": self.verdict,
            "cascade": {
                "oil_percent": self.oil_percent,
                **{f"{name}_percent": shares[name] for name in SPREADING_CLASSES},
                "unknown_percent": shares[""],
                "known_percent_of_oil": self.known_percent,
                "missing_classes": list(self.missing_classes),
                "oils": [oil.to_dict() for oil in self.oils],
            },
            "free_oil": self.free_oil.to_dict(),
            "oil_viscosity_mPas": self.oil_viscosity_mPas,
        }


def judge_feel(formula: Formula) -> FeelOutlook:
    """Return the indicators of a formula's feel.

    Parameters
    ----------
    formula : Formula

    Notes
    -----
    Oils are emollients, plant oils and butters; emulsifiers, waxes and gellants are not. Free oil
    is the oil that stays less sum(powder OA/100), trade relation R55. There is no score: Parente
    2005 (trade source S17) finds that viscosity, surface tension and spreading predict a panel's
    words, and the abstract gives no coefficients.
    """
    parts = [(m, share) for m, share in leaves(formula) if share > 0]
    oils = [(m, share) for m, share in parts if _is_oil(m)]
    spreading = tuple(
        SpreadingOil(m.inci, share, m.properties.get("spreading_mm2_10min"), m.volatile)
        for m, share in oils
    )
    ranked = sorted(
        spreading, key=lambda o: -math.inf if o.spreading is None else o.spreading.value,
        reverse=True,
    )  # fmt: skip
    volume = [share / density_g_ml_of(m, formula.materials).value for m, share in oils]
    blend = [oil_viscosity_mPas(m).value for m, _ in oils]
    free = _free_oil(parts, oils)
    return FeelOutlook(
        tuple(ranked),
        free,
        log_mixed_viscosity(blend, volume) if oils else None,
        _basis(tuple(ranked), free, [m for m, _ in oils if "viscosity_mPas" not in m.properties]),
    )


def _is_oil(material: Material) -> bool:
    return bool(_OILS & set(material.functions)) and not is_powder(material)


def _free_oil(parts: list[tuple[Material, float]], oils: list[tuple[Material, float]]) -> FreeOil:
    powders = tuple((m.inci, share, _oil_absorption(m)) for m, share in parts if is_powder(m))
    return FreeOil(
        math.fsum(share for m, share in oils if not m.volatile),
        math.fsum(share for m, share in oils if m.volatile),
        math.fsum(share * oil.value / 100 for _, share, oil in powders),
        math.fsum(share * _low(oil) / 100 for _, share, oil in powders),
        math.fsum(share * _high(oil) / 100 for _, share, oil in powders),
        powders,
    )


def _oil_absorption(material: Material) -> Sourced:
    own = material.properties.get("oil_absorption_g_100g")
    if own is not None:
        return own
    grade = material.grade
    core, median = (grade.core, grade.primary_median_nm) if grade else (None, None)
    return oil_absorption_default_g_100g(core, median)


def _low(found: Sourced) -> float:
    return found.value if found.low is None else found.low


def _high(found: Sourced) -> float:
    return found.value if found.high is None else found.high


def _basis(oils: tuple[SpreadingOil, ...], free: FreeOil, thin: list[Material]) -> Basis:
    assumed = ["Spreading classes: fast above 1000, medium from 500, slow below, mm2 in 10 min."]
    remembered = [o.inci for o in oils if o.spreading is not None and o.spreading.is_assumed]
    if remembered:
        assumed.append(f"Spreading from memory: {', '.join(remembered)}.")
    guessed = list(dict.fromkeys(name for name, _, oil in free.powders if oil.is_assumed))
    if guessed:
        assumed.append(f"Oil absorption by class, no card value: {', '.join(guessed)}.")
    if thin:
        names = ", ".join(m.inci for m in thin)
        assumed.append(f"Viscosity of {names}: 15 mPa s, no card value.")
    relations = ["R53", "R61"] if oils else []
    return Basis((*relations, "R55"), tuple(assumed))
