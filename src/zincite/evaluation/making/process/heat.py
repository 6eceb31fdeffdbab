"""Specific heat of each phase and the heat that a way of heating takes."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from zincite.data.plant_defaults import plant_default, specific_heats
from zincite.evaluation.making.steps import leaves_in
from zincite.formula.formula import Formula, Phase
from zincite.formula.material import Material
from zincite.physics.heat import heat_MJ, mixing_temperature_C

__all__ = [
    "HeatCapacity",
    "HeatWay",
    "goes_with_oil",
    "heat_capacity",
    "heat_way",
    "usual_ways",
]

KWH_PER_MJ = 1 / 3.6


@dataclass(frozen=True, slots=True)
class HeatCapacity:
    """Mass and specific heat of a phase, as a share of the formula.

    Attributes
    ----------
    percent : float
        Mass as a share of the formula. [%]
    kJ_kg_K, low, high : float
        Mean specific heat of its materials, and with all at the ends of their ranges. [kJ/kg/K]
    assumed_share : float
        Of the heat capacity, from materials whose specific heat is assumed. [-]
    """

    percent: float
    kJ_kg_K: float
    low: float
    high: float
    assumed_share: float


@dataclass(frozen=True, slots=True)
class HeatWay:
    """One way of heating a formula.

    Attributes
    ----------
    name, about : str
        Such as "hot/hot" and what it heats.
    phase_C : tuple of (str, float)
        Temperature of each phase before it is combined. [degC]
    MJ_kg, low, high : float
        Heat per kg of product, and with all specific heats at the ends of their ranges. [MJ/kg]
    meets_C : float
        Where all phases but the cool-down ones meet, without loss. [degC]
    solid : tuple of str
        Materials that stay below their melting point; filled by the plan.
    """

    name: str
    about: str
    phase_C: tuple[tuple[str, float], ...]
    MJ_kg: float
    low: float
    high: float
    meets_C: float
    solid: tuple[str, ...] = ()

    @property
    def kWh_kg(self) -> float:  # noqa: N802
        """Return the heat in the unit of the bill. [kWh/kg]"""
        return self.MJ_kg * KWH_PER_MJ

    def saving_percent(self, against: HeatWay) -> float | None:
        """Return the share of another way's heat that it saves, None where that takes none. [%]"""
        return 100 * (1 - self.MJ_kg / against.MJ_kg) if against.MJ_kg > 0 else None


def _class_value(keys: Iterable[str]) -> tuple[float, float, float, bool]:
    table = specific_heats()
    found = table[next(key for key in keys if key in table)]
    low = found.value if found.low is None else found.low
    high = found.value if found.high is None else found.high
    return found.value, low, high, found.is_assumed


def _leaf(material: Material) -> tuple[float, float, float, bool]:
    """Return the specific heat of a leaf material, its range, and whether it is assumed."""
    grade = material.grade
    if grade is None:
        return _class_value((material.id, *material.functions, f"phase {material.phase}"))
    core, coating = _class_value((f"core {grade.core}",)), _class_value(("coating",))
    share = grade.core_mass_fraction
    value, low, high = (
        share * a + (1 - share) * b for a, b in zip(core[:3], coating[:3], strict=True)
    )
    return value, low, high, core[3]


def heat_capacity(formula: Formula, phases: Iterable[Phase]) -> HeatCapacity:
    """Return mass and mean specific heat of phases.

    Parameters
    ----------
    formula : Formula
    phases : iterable of Phase
        Of the formula.

    Notes
    -----
    Masses times specific heats add up (ideal mixture); a coated powder is core and coating.
    """
    mass = value = low = high = assumed = 0.0
    for leaf, share in leaves_in(formula, phases):
        found = _leaf(leaf)
        mass += share
        value += share * found[0]
        low += share * found[1]
        high += share * found[2]
        assumed += share * found[0] if found[3] else 0.0
    if mass == 0:
        return HeatCapacity(0.0, math.nan, math.nan, math.nan, 0.0)
    return HeatCapacity(mass, value / mass, low / mass, high / mass, assumed / value)


def goes_with_oil(formula: Formula, phase: Phase) -> bool:
    """Return whether a phase is heated with the oil: oil, or pigment that is not wetted by water.

    A pigment phase counts to the water where more of its liquid belongs there than to the oil.
    """
    if phase.kind != "pigment":
        return phase.kind == "oil"
    water = oil = 0.0
    for leaf, share in leaves_in(formula, (phase,)):
        if leaf.grade is None:
            water += share if leaf.phase == "water" else 0.0
            oil += share if leaf.phase == "oil" else 0.0
    return oil >= water


def heat_way(
    formula: Formula,
    name: str,
    about: str,
    phase_C: dict[str, float],
    *,
    room_C: float,
) -> HeatWay:
    """Return a way of heating with its heat per kg (trade relation R58).

    Parameters
    ----------
    formula : Formula
    name, about : str
    phase_C : dict of str to float
        Temperature of each phase by name. [degC]
    room_C : float
        Of the raw materials. [degC]

    Notes
    -----
    Heat of fusion of waxes and losses of the plant are left out.
    """
    found = [(phase, heat_capacity(formula, (phase,))) for phase in formula.phases]
    found = [(phase, heat) for phase, heat in found if heat.percent > 0]
    mass = [heat.percent / 100 for _, heat in found]
    rise = [max(phase_C[phase.name] - room_C, 0.0) for phase, _ in found]
    value, low, high = (
        heat_MJ(mass, [getattr(heat, end) for _, heat in found], rise)
        for end in ("kJ_kg_K", "low", "high")
    )
    joined = [(p, h) for p, h in found if p.kind != "cool-down"] or found
    meets = mixing_temperature_C(
        [h.percent * h.kJ_kg_K for _, h in joined], [phase_C[p.name] for p, _ in joined]
    )
    temperatures = tuple((phase.name, phase_C[phase.name]) for phase, _ in found)
    return HeatWay(name, about, temperatures, value, low, high, meets)


def usual_ways(
    formula: Formula,
    *,
    hot_C: float | None = None,
    warm_C: float | None = None,
) -> tuple[HeatWay, ...]:
    """Return hot/hot, warm, hot-cold and cold for a formula, the hottest first.

    Parameters
    ----------
    formula : Formula
    hot_C, warm_C : float, optional
        Of the heated phases; common practice where left out. [degC]

    Notes
    -----
    Cool-down phases are never heated. Hot-cold heats what `goes_with_oil` and is left out where
    there is no phase on one of the two sides.
    """
    room = plant_default("room_C").value
    hot = plant_default("hot_C").value if hot_C is None else hot_C
    warm = plant_default("warm_C").value if warm_C is None else warm_C
    cold_side = {
        p.name for p in formula.phases if p.kind == "cool-down" or not goes_with_oil(formula, p)
    }
    never = {p.name for p in formula.phases if p.kind == "cool-down"}
    names = [p.name for p in formula.phases]

    def way(name: str, about: str, heated_C: float, unheated: set[str]) -> HeatWay:
        phase_C = {n: room if n in unheated else heated_C for n in names}
        return heat_way(formula, name, about, phase_C, room_C=room)

    two_sided = never < cold_side < set(names)
    ways = [
        way("hot/hot" if two_sided else "hot", f"all heated to {hot:g} degC", hot, never),
        way("warm", f"all heated to {warm:g} degC", warm, never),
    ]
    if two_sided:
        about = f"oil side to {hot:g} degC, water side at {room:g} degC"
        ways.append(way("hot-cold", about, hot, cold_side))
    return (*ways, way("cold", f"nothing heated, {room:g} degC", room, set(names)))
