"""A formula's process: what each step does, its heat against other ways, and its window."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from zincite.data.plant_defaults import plant_default
from zincite.errors import OutOfRangeError
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.process.course import (
    StepTemperature,
    phase_temperature_C,
    step_temperatures,
)
from zincite.evaluation.making.process.heat import HeatWay, heat_capacity, heat_way, usual_ways
from zincite.evaluation.making.process.melting import (
    Melting,
    melting_checks,
    stays_solid,
    unknown_melting,
)
from zincite.evaluation.making.process.plan_basis import plan_basis
from zincite.evaluation.making.process.windows import BRIEF, WindowLine, phase_windows, step_windows
from zincite.evaluation.making.steps import StepContents, step_contents
from zincite.evaluation.making.stress.energy import step_energies
from zincite.formula.formula import Formula
from zincite.physics.heat import heat_MJ

__all__ = ["AS_WRITTEN", "PlanStep", "ProcessPlan", "process_plan"]

AS_WRITTEN, LOWEST = "as written", "lowest"

HIGHEST_C = 150.0
"""Highest temperature of a way, as of a phase in a formula file. [degC]"""


@dataclass(frozen=True, slots=True)
class PlanStep:
    """One step with temperature and energy.

    Attributes
    ----------
    contents : StepContents
    temperature : StepTemperature
    energy_J_mL : float or None
        Brought into the contents, None where it is not known. [J/mL]
    energy_kJ_kg : float or None
        The same per kg of product. [kJ/kg]
    """

    contents: StepContents
    temperature: StepTemperature
    energy_J_mL: float | None
    energy_kJ_kg: float | None

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        item, at = self.contents, self.temperature
        return {
            "number": item.number,
            "device": item.step.device,
            "phases_added": list(item.added),
            "contents_percent": item.percent,
            "minutes": item.step.settings.get("minutes"),
            "meets_C": at.meets_C,
            "stated_C": at.stated_C,
            "energy_J_mL": self.energy_J_mL,
            "energy_kJ_kg": self.energy_kJ_kg,
            "rise_without_cooling_K": at.rise_K,
            "uncooled_C": at.uncooled_C,
        }


@dataclass(frozen=True, slots=True)
class ProcessPlan:
    """A process judged.

    Attributes
    ----------
    steps : tuple of PlanStep
        Empty where the file states no process.
    ways : tuple of HeatWay
        As written, then hot, warm, hot-cold, lowest and cold.
    melting : tuple of Melting
    unknown_melting : tuple of str
        Usually solid materials without a melting point on their card.
    unstated : tuple of str
        Phases without temperature, taken at room temperature.
    windows : tuple of WindowLine
    cooling_MJ_kg : float
        Heat to take out from the end of making to filling, devices not counted. [MJ/kg]
    device_kJ_kg : float or None
        Energy of all devices, None where no step's is known. [kJ/kg]
    brief_max_C : float or None
        What the brief allows. [degC]
    basis : Basis
    """

    steps: tuple[PlanStep, ...]
    ways: tuple[HeatWay, ...]
    melting: tuple[Melting, ...]
    unknown_melting: tuple[str, ...]
    unstated: tuple[str, ...]
    windows: tuple[WindowLine, ...]
    cooling_MJ_kg: float
    device_kJ_kg: float | None
    brief_max_C: float | None
    basis: Basis = field(default_factory=Basis)

    @property
    def as_written(self) -> HeatWay:
        """Return the formula file's own way."""
        return self.ways[0]

    @property
    def hot(self) -> HeatWay:
        """Return the hottest usual way, against which savings count."""
        return self.ways[1]

    @property
    def solid(self) -> tuple[Melting, ...]:
        """Return what never melts as written."""
        return tuple(c for c in self.melting if c.verdict == "stays solid")

    @property
    def outside(self) -> tuple[WindowLine, ...]:
        """Return the lines whose set point is outside, or that leave no room."""
        return tuple(w for w in self.windows if w.verdict in ("below", "above", "closed"))

    @property
    def verdict(self) -> str:
        """Return "fails", "short", "unknown" or "passes"."""
        must = any(
            w.verdict == "closed" or (w.verdict == "above" and w.high_why == BRIEF)
            for w in self.outside
        )
        if self.solid or must:
            return "fails"
        if self.outside or any(c.verdict != "melts" for c in self.melting):
            return "short"
        return "unknown" if self.unknown_melting else "passes"

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints, without the basis."""
        return {
            "verdict": self.verdict,
            "steps": [step.to_dict() for step in self.steps],
            "heat": [self._way(way) for way in self.ways],
            "cooling_MJ_kg": self.cooling_MJ_kg,
            "devices_kJ_kg": self.device_kJ_kg,
            "melting": [c.to_dict() for c in self.melting],
            "unknown_melting": list(self.unknown_melting),
            "phases_without_temperature": list(self.unstated),
            "windows": [w.to_dict() for w in self.windows],
        }

    def beyond_brief(self, way: HeatWay) -> bool:
        """Return whether a way heats a phase beyond what the brief allows."""
        return self.brief_max_C is not None and max(t for _, t in way.phase_C) > self.brief_max_C

    def _way(self, way: HeatWay) -> dict[str, Any]:
        return {
            "way": way.name,
            "about": way.about,
            "phase_temperatures_C": dict(way.phase_C),
            "heat_MJ_kg": {
                "value": way.MJ_kg,
                "low": way.low,
                "high": way.high,
                "evidence": "assumed",
            },
            "heat_kWh_kg": way.kWh_kg,
            "saving_percent": way.saving_percent(self.hot),
            "meets_C": way.meets_C,
            "stays_solid": list(way.solid),
            "beyond_brief": self.beyond_brief(way),
        }


def process_plan(
    formula: Formula, *, hot_C: float | None = None, warm_C: float | None = None
) -> ProcessPlan:
    """Return a formula's process with heat, melting points and window.

    Parameters
    ----------
    formula : Formula
    hot_C, warm_C : float, optional
        Of the hot and the warm way that it is compared with; common practice where left out.
        [degC]

    Raises
    ------
    OutOfRangeError
        If the hot or the warm way is no heating, or the warm one hotter than the hot one.
    FormulaError, OutOfRangeError
        As `step_energies`.
    """
    _require_ways(hot_C, warm_C)
    contents = step_contents(formula)
    energies = step_energies(formula)
    known = {
        found.contents.number: None if found.energy is None else found.energy.median
        for found in energies
    }
    temperatures = step_temperatures(formula, contents, known)
    steps = tuple(
        _step(item, at, known.get(item.number))
        for item, at in zip(contents, temperatures, strict=True)
    )
    checks = melting_checks(formula, contents, temperatures)
    ways = _ways(formula, steps, checks, hot_C=hot_C, warm_C=warm_C)
    device = [s.energy_kJ_kg for s in steps if s.energy_kJ_kg is not None]
    plan = ProcessPlan(
        steps,
        ways,
        checks,
        unknown_melting(formula),
        tuple(
            p.name
            for p in formula.phases
            if p.temperature_C is None and p.percent > 0 and p.kind != "cool-down"
        ),
        (*phase_windows(formula, checks), *step_windows(formula, contents, temperatures)),
        _cooling_MJ_kg(formula, steps, ways[0]),
        sum(device) if device else None,
        None if formula.brief is None else formula.brief.process_max_temperature_C,
    )
    return replace(plan, basis=plan_basis(formula, plan, energies))


def _require_ways(hot_C: float | None, warm_C: float | None) -> None:
    room = plant_default("room_C").value
    hot = plant_default("hot_C").value if hot_C is None else hot_C
    warm = plant_default("warm_C").value if warm_C is None else warm_C
    for name, found in (("hot", hot), ("warm", warm)):
        if not room < found <= HIGHEST_C:
            raise OutOfRangeError(
                f"the {name} way is {found:g} degC, expected above {room:g} to {HIGHEST_C:g} degC"
            )
    if warm > hot:
        raise OutOfRangeError(
            f"the warm way is {warm:g} degC and the hot one {hot:g} degC, expected warm below hot"
        )


def _step(item: StepContents, at: StepTemperature, energy: float | None) -> PlanStep:
    per_kg = None
    if energy is not None and item.percent > 0:
        per_kg = energy * item.percent / 100 / item.density_g_ml  # J/mL is kJ/L
    return PlanStep(item, at, energy, per_kg)


def _ways(
    formula: Formula,
    steps: tuple[PlanStep, ...],
    checks: tuple[Melting, ...],
    *,
    hot_C: float | None,
    warm_C: float | None,
) -> tuple[HeatWay, ...]:
    room = plant_default("room_C").value
    stated = {p.name: phase_temperature_C(p) for p in formula.phases}
    own = heat_way(formula, AS_WRITTEN, "as the file says", stated, room_C=room)
    least = {
        name: max((c.needed_C for c in checks if c.phase == name), default=room) for name in stated
    }
    lowest = heat_way(formula, LOWEST, "only what has to melt", least, room_C=room)
    usual = usual_ways(formula, hot_C=hot_C, warm_C=warm_C)
    ways = [_with_later_heat(own, formula, steps), *usual[:-1]]
    ways += [lowest] if checks else []
    ways.append(usual[-1])
    seen = tuple(c.material for c in checks if c.verdict == "stays solid")
    return tuple(
        replace(way, solid=seen if way.name == AS_WRITTEN else stays_solid(checks,
                                                                          dict(way.phase_C)))
        for way in ways
    )  # fmt: skip


def _with_later_heat(way: HeatWay, formula: Formula, steps: tuple[PlanStep, ...]) -> HeatWay:
    """Add the heat of steps that warm the contents beyond what their phases bring."""
    more = [0.0, 0.0, 0.0]
    for step in steps:
        at, item = step.temperature, step.contents
        rise = 0.0 if at.stated_C is None else max(at.stated_C - at.meets_C, 0.0)
        heat = heat_capacity(formula, item.phases)
        if rise > 0 and heat.percent > 0:
            for end, cp in enumerate((heat.kJ_kg_K, heat.low, heat.high)):
                more[end] += heat_MJ(heat.percent / 100, cp, rise)
    return replace(way, MJ_kg=way.MJ_kg + more[0], low=way.low + more[1], high=way.high + more[2])


def _cooling_MJ_kg(formula: Formula, steps: tuple[PlanStep, ...], way: HeatWay) -> float:  # noqa: N802
    """Return the heat between the highest temperature of the bulk and filling. [MJ/kg]"""
    bulk = [p for p in formula.phases if p.kind != "cool-down"] or list(formula.phases)
    heat = heat_capacity(formula, bulk)
    whole = [s.temperature.hottest_C for s in steps if s.contents.percent >= heat.percent - 1e-9]
    start = max(whole, default=way.meets_C)
    fill = plant_default("fill_C").value
    return heat_MJ(heat.percent / 100, heat.kJ_kg_K, max(start - fill, 0.0))
