"""Whether each wax of a formula melts, and which cool-down or volatile phases get too hot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from zincite.data.plant_defaults import plant_default
from zincite.evaluation.making.process.course import StepTemperature, phase_temperature_C
from zincite.evaluation.making.steps import StepContents, leaves_in
from zincite.formula.formula import Formula, Phase
from zincite.formula.material import Material

__all__ = ["Melting", "melting_checks", "stays_solid", "unknown_melting"]

_USUALLY_SOLID = {"wax", "butter", "fatty alcohol", "oil gellant", "W/O stabiliser",
                  "O/W emulsifier", "structurant"}  # fmt: skip
_NEVER_MELTS = {
    "silica-dimethyl-silylate",  # a mineral: dispersed
    "ethylcellulose",  # softens and dissolves in the hot oil, no melting point
    "polysorbate-80",  # liquid at room temperature
}


@dataclass(frozen=True, slots=True)
class Melting:
    """One solid of a formula against the heat it sees.

    Attributes
    ----------
    material, phase : str
        Id of the card and name of the phase.
    percent : float
        Of the formula. [%]
    melting_C : float
        Melting point. [degC]
    low_C, high_C : float or None
        Its range. [degC]
    is_assumed : bool
        Whether the melting point is assumed.
    phase_C : float
        Of the phase before it is combined. [degC]
    hottest_C : float
        Highest planned temperature of anything it is in. [degC]
    """

    material: str
    phase: str
    percent: float
    melting_C: float
    low_C: float | None
    high_C: float | None
    is_assumed: bool
    phase_C: float
    hottest_C: float

    @property
    def needed_C(self) -> float:  # noqa: N802
        """Return what its phase should reach: melting point and a margin. [degC]"""
        return self.melting_C + plant_default("melting_margin_K").value

    @property
    def verdict(self) -> str:
        """Return "melts", "close" (within the margin), "melts later" or "stays solid"."""
        if self.phase_C >= self.needed_C:
            return "melts"
        if self.phase_C >= self.melting_C:
            return "close"
        return "melts later" if self.hottest_C >= self.melting_C else "stays solid"

    @property
    def advice(self) -> str:
        """Return what to do, "" where it melts."""
        if self.verdict == "melts":
            return ""
        what = f"{self.material} melts at {self.melting_C:g} degC"
        if self.verdict == "close":
            return (
                f"{what}, phase {self.phase} at {self.phase_C:g} degC leaves less than "
                f"{plant_default('melting_margin_K').value:g} K: hold until clear, or go to "
                f"{self.needed_C:.0f} degC"
            )
        if self.verdict == "melts later":
            return (
                f"{what}, above phase {self.phase} at {self.phase_C:g} degC, and melts only in a "
                f"later step at {self.hottest_C:.0f} degC: keep the grains suspended until then"
            )
        return (
            f"{what} and never sees more than {self.hottest_C:.0f} degC: heat phase {self.phase} "
            f"to {self.needed_C:.0f} degC, melt it apart in a part of the oil and add it hot, take "
            "a dispersed (pre-activated) form, or swap it for a gellant that needs no melting"
        )

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__} | {
            "needed_C": self.needed_C,
            "verdict": self.verdict,
        }


def _solids(formula: Formula, phase: Phase) -> list[tuple[Material, float]]:
    found: dict[str, tuple[Material, float]] = {}
    for leaf, share in leaves_in(formula, (phase,)):
        before = found[leaf.id][1] if leaf.id in found else 0.0
        found[leaf.id] = (leaf, before + share)
    return [(leaf, share) for leaf, share in found.values() if share > 0 and leaf.grade is None]


def melting_checks(
    formula: Formula,
    steps: tuple[StepContents, ...] = (),
    temperatures: tuple[StepTemperature, ...] = (),
) -> tuple[Melting, ...]:
    """Return each material with a melting point above room temperature against its heat.

    Parameters
    ----------
    formula : Formula
    steps, temperatures
        Of the process, where it states steps.

    Notes
    -----
    A melting point is that of the pure material. In much oil a wax dissolves some degrees below
    it, so the check is on the safe side.
    """
    room = plant_default("room_C").value
    found = []
    for phase in formula.phases:
        seen = [
            at.hottest_C
            for item, at in zip(steps, temperatures, strict=True)
            if any(p.name == phase.name for p in item.phases)
        ]
        own = phase_temperature_C(phase)
        for leaf, share in _solids(formula, phase):
            point = leaf.properties.get("melting_point_C")
            if point is None or point.value <= room:
                continue
            found.append(
                Melting(leaf.id, phase.name, share, point.value, point.low, point.high,
                        point.is_assumed, own, max([own, *seen]))
            )  # fmt: skip
    return tuple(found)


def stays_solid(checks: tuple[Melting, ...], phase_C: Mapping[str, float]) -> tuple[str, ...]:
    """Return the materials whose melting point is above their phase's temperature."""
    return tuple(
        dict.fromkeys(c.material for c in checks if c.melting_C > phase_C.get(c.phase, c.phase_C))
    )


def unknown_melting(formula: Formula) -> tuple[str, ...]:
    """Return materials of usually solid kinds whose card has no melting point."""
    return tuple(
        dict.fromkeys(
            leaf.id
            for phase in formula.phases
            for leaf, _ in _solids(formula, phase)
            if _USUALLY_SOLID & set(leaf.functions)
            and leaf.id not in _NEVER_MELTS
            and "melting_point_C" not in leaf.properties
        )
    )
