"""Checks that need no physics: what a colleague would say on reading the formula."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves, resolve

__all__ = ["Finding", "check_formula"]

_UV_CORES = ("zinc-oxide", "titanium-dioxide-rutile", "titanium-dioxide-anatase")
_NEEDED = {"density_g_ml": "density"}
_NEEDED_OILS = {"density_g_ml": "density", "refractive_index": "refractive index"}


@dataclass(frozen=True, slots=True)
class Finding:
    """One remark on a formula.

    Attributes
    ----------
    level : str
        "error" (the formula cannot work as it stands), "warning" (look again) or "note".
    where : str
        Phase, ingredient or "formula".
    message : str
        One sentence.
    """

    level: str
    where: str
    message: str


def check_formula(formula: Formula) -> tuple[Finding, ...]:
    """Return what is odd, risky or missing in a formula, errors first.

    Parameters
    ----------
    formula : Formula

    Returns
    -------
    tuple of Finding
        Empty where nothing is to be said.
    """
    parts = leaves(formula)
    found: list[Finding] = []
    for check in _CHECKS:
        found += check(formula, parts)
    order = {"error": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: order[finding.level]))


Parts = tuple[tuple[Material, float], ...]


def _share(parts: Parts, *functions: str) -> float:
    return sum(p for m, p in parts if any(f in m.functions for f in functions))


def _water_percent(parts: Parts) -> float:
    return sum(p for m, p in parts if m.inci.lower() in ("aqua", "water"))


def _emulsion(formula: Formula, parts: Parts) -> list[Finding]:
    water = _water_percent(parts)
    if formula.emulsion == "anhydrous":
        if water > 0:
            return [
                Finding(
                    "error",
                    "formula",
                    f"says anhydrous but holds {water:.3g} % water, expected none",
                )
            ]
        return []
    found = []
    if water == 0:
        found.append(
            Finding(
                "error",
                "formula",
                f"says {formula.emulsion} but holds no water, expected a water phase",
            )
        )
    wanted, other = ("W/O emulsifier", "O/W emulsifier")
    if formula.emulsion == "oil-in-water":
        wanted, other = other, wanted
    share, wrong = _share(parts, wanted), _share(parts, other)
    if share == 0:
        extra = f" ({wrong:.3g} % {other} is there)" if wrong else ""
        found.append(
            Finding(
                "warning" if wrong else "error",
                "formula",
                f"a {formula.emulsion} emulsion has no {wanted}{extra}, expected one",
            )
        )
    elif share < 1:
        found.append(
            Finding(
                "warning",
                "formula",
                f"{share:.3g} % {wanted} is little, 2 to 4 % is common practice",
            )
        )
    return found


def _electrolyte(formula: Formula, parts: Parts) -> list[Finding]:
    if formula.emulsion != "water-in-oil" or _water_percent(parts) == 0:
        return []
    share = _share(parts, "electrolyte")
    if share == 0:
        message = "a water-in-oil emulsion without electrolyte, 0.6 to 0.8 % is published practice"
        return [Finding("warning", "formula", message)]
    if share > 3:
        return [
            Finding("note", "formula", f"{share:.3g} % electrolyte is much, 0.5 to 1.5 % usual")
        ]
    return []


def _phases(formula: Formula, parts: Parts) -> list[Finding]:
    del parts
    found = []
    for phase in formula.phases:
        for ingredient in phase.ingredients:
            card = formula.materials[ingredient.material]
            where = f"phase {phase.name!r}, {card.id}"
            aqueous = card.inci.lower() in ("aqua", "water")
            if aqueous and phase.kind in ("oil", "pigment"):
                message = f"water stands in a phase of kind {phase.kind!r}, expected 'water'"
                found.append(Finding("warning", where, message))
            if card.phase == "oil" and phase.kind == "water" and ingredient.percent > 1:
                message = "an oil-phase material stands in the water phase, expected in the oil"
                found.append(Finding("warning", where, message))
            if ingredient.percent == 0:
                found.append(Finding("note", where, "has 0 %, it could be left out"))
    return found


def _uv_pigment(formula: Formula, parts: Parts) -> list[Finding]:
    del formula
    cores: dict[str, float] = {}
    for material, percent in parts:
        if material.grade is not None and material.grade.core in _UV_CORES:
            core = material.grade.core.split("-")[0]
            cores[core] = cores.get(core, 0.0) + percent * material.grade.core_mass_fraction
    total = sum(cores.values())
    if total == 0:
        return [Finding("warning", "formula", "holds no zinc oxide or titanium dioxide")]
    found = []
    if total > 40:
        message = f"{total:.3g} % UV pigment is beyond what emulsions carry, expected below 40 %"
        found.append(Finding("warning", "formula", message))
    for core, share in cores.items():
        if share > 25:
            message = f"{share:.3g} % {core} oxide, most markets stop at 25 %"
            message = message.replace("titanium oxide", "titanium dioxide")
            found.append(Finding("warning", "formula", message))
    return found


def _volatiles(formula: Formula, parts: Parts) -> list[Finding]:
    del formula
    share = sum(p for m, p in parts if m.volatile and m.inci.lower() not in ("aqua", "water"))
    if share <= 40:
        return []
    message = f"{share:.3g} % evaporates beside the water, so the film is thin, expected below 40 %"
    return [Finding("warning", "formula", message)]


def _uv_absorbers(formula: Formula, parts: Parts) -> list[Finding]:
    del formula
    return [
        Finding(
            "warning",
            material.id,
            f"{percent:.3g} % absorbs UV itself, so a prediction from the minerals alone does not "
            "hold and the formula is not mineral only",
        )
        for material, percent in parts
        if material.uv_absorbing and percent > 0
    ]


def _acids(formula: Formula, parts: Parts) -> list[Finding]:
    del formula
    zinc = any(m.grade is not None and m.grade.core == "zinc-oxide" for m, _ in parts)
    found = []
    for material, percent in parts if zinc else ():
        eaten = material.property_value("zinc_oxide_consumed_g_g")
        if eaten and percent > 0:
            message = (
                f"{percent:.3g} % of this acid can dissolve {percent * eaten:.2g} % zinc oxide"
            )
            if "wax" in material.functions or material.phase == "oil":
                message += " into zinc soap, which thickens the oil phase"
            found.append(Finding("warning", material.id, message))
        elif "acid" in material.functions and percent > 0 and not eaten:
            found.append(Finding("note", material.id, "is an acid and may react with zinc oxide"))
    return found


def _melting(formula: Formula, parts: Parts) -> list[Finding]:
    del parts
    found = []
    for phase in formula.phases:
        if phase.temperature_C is None:
            continue
        for ingredient in phase.ingredients:
            card = formula.materials[ingredient.material]
            melting = card.property_value("melting_point_C")
            if melting is not None and melting > phase.temperature_C and ingredient.percent > 0:
                message = (
                    f"melts at {melting:g} degC, the phase is held at {phase.temperature_C:g} degC"
                )
                found.append(Finding("warning", f"phase {phase.name!r}, {card.id}", message))
    return found


def _use_ranges(formula: Formula, parts: Parts) -> list[Finding]:
    del parts
    found = []
    for name, percent in formula.percent_by_material().items():
        card = formula.materials[name]
        top = card.properties.get("use_high_percent")
        low = card.properties.get("use_low_percent")
        if name == "water" or percent == 0:
            continue
        if top is not None and percent > top.value + 1e-9:
            message = f"{percent:.3g} % is above the usual {top.value:g} % ({top.evidence.value})"
            found.append(Finding("warning", name, message))
        elif low is not None and percent < low.value - 1e-9:
            message = f"{percent:.3g} % is below the usual {low.value:g} % ({low.evidence.value})"
            found.append(Finding("note", name, message))
    return found


def _missing(formula: Formula, parts: Parts) -> list[Finding]:
    lacking: dict[str, list[str]] = {}
    for material, percent in parts:
        if percent == 0 or material.grade is not None:
            continue
        needed = _NEEDED_OILS if material.phase == "oil" and not material.volatile else _NEEDED
        for key, word in needed.items():
            if key not in material.properties:
                lacking.setdefault(word, []).append(material.id)
    found = [
        Finding("note", "formula", f"{word} missing, class value assumed: {', '.join(names)}")
        for word, names in lacking.items()
    ]
    unknown = {s.inci for s in resolve(formula) if s.natural_origin_index is None and s.percent}
    if unknown:
        names = ", ".join(sorted(unknown))
        message = f"natural origin index missing, counted 0: {names}"
        found.append(Finding("warning", "formula", message))
    return found


def _cards(formula: Formula, parts: Parts) -> list[Finding]:
    found = []
    used = [name for name in formula.replaced_cards if name in formula.materials]
    for name in used:
        found.append(Finding("note", name, "an own card takes the place of the library's"))
    for material in formula.materials.values():
        if material.composition and material.composition_evidence.value == "assumed":
            found.append(Finding("note", material.id, "the shares of this blend are assumed"))
        joined = "(and)" in material.inci and not material.composition and material.grade is None
        if joined:
            message = "joins several substances without composition, so none has a known share"
            found.append(Finding("warning", material.id, message))
    for material, _ in parts:
        if material.grade is not None and material.grade.evidence.value == "assumed":
            found.append(Finding("note", material.id, "the sizes of this grade are assumed"))
    return found


_CHECKS: tuple[Callable[[Formula, Parts], list[Finding]], ...] = (
    _emulsion,
    _electrolyte,
    _phases,
    _uv_pigment,
    _volatiles,
    _uv_absorbers,
    _acids,
    _melting,
    _use_ranges,
    _missing,
    _cards,
)
