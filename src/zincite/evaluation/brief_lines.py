"""The lines of a brief: what each asks, and what the prediction says to it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.appearance import SkinColours
from zincite.evaluation.assay import rules
from zincite.evaluation.cost import Cost
from zincite.evaluation.estimate import Estimate, Exact
from zincite.evaluation.judgement import BriefLine, judge_estimate, judge_exact
from zincite.evaluation.levers import Lever
from zincite.evaluation.naturality import Naturality
from zincite.evaluation.prediction import WhiteCast
from zincite.evaluation.protection import ProtectionDraws
from zincite.evaluation.regulation import label_target, uva_pf_needed
from zincite.formula.brief import SKIN_CLASSES, Brief, skins_asked
from zincite.formula.formula import Formula
from zincite.formula.ingredient_list import nano_decision
from zincite.formula.substances import leaves, resolve

__all__ = ["formula_lines", "judge_brief", "protection_needed"]

Array = NDArray[np.float64]
_WORTH_NAMING_PERCENT = 0.05


def judge_brief(
    formula: Formula,
    protection: ProtectionDraws,
    colours: SkinColours,
    estimates: Mapping[str, Estimate],
    white_cast: Mapping[str, WhiteCast],
    cost: Cost,
    natural: Naturality,
    viscosity: Estimate | Exact,
    levers: tuple[Lever, ...],
) -> tuple[BriefLine, ...]:
    """Return the judged lines of the formula's brief, empty without one.

    Parameters
    ----------
    formula : Formula
    protection, colours
        Draws.
    estimates : mapping of str to Estimate
        Protection measures by name.
    white_cast : mapping of str to WhiteCast
        By skin class.
    cost, natural, viscosity
        Of the product.
    levers : tuple of Lever
        On protection and whitening.

    Returns
    -------
    tuple of BriefLine
    """
    brief = formula.brief
    if brief is None:
        return ()
    lines = _protection_lines(brief, protection, estimates, levers)
    lines += _white_cast_lines(brief, colours, white_cast, levers)
    if brief.natural_origin_min_percent is not None:
        lines.append(
            judge_exact(
                "natural origin content, water included",
                natural.natural_origin_percent,
                brief.natural_origin_min_percent,
                "at least",
                lever=_natural_lever(natural),
            )
        )
    if brief.cost_max_per_kg is not None:
        lines.append(_cost_line(brief.cost_max_per_kg, cost))
    lines += _viscosity_lines(brief, viscosity)
    lines += formula_lines(brief, formula)
    lines += _water_lines(brief)
    return tuple(lines)


def formula_lines(brief: Brief, formula: Formula) -> list[BriefLine]:
    """Return the lines that the formula alone decides: temperatures and what is in it."""
    return [*_process_lines(brief, formula), *_composition_lines(brief, formula)]


def protection_needed(brief: Brief) -> tuple[float, str, float | None]:
    """Return the tested SPF that the label needs in the strictest market, why, and the UVA-PF.

    The UVA-PF is the largest that a market or the brief's own share of the label SPF asks for,
    None where neither does.
    """
    label = float(brief.label_spf or 0)
    needed, why, uva = label, "the label number", None
    for market in brief.markets:
        target = label_target(market, label)
        if target is None:
            continue
        if target.tested_spf_min > needed:
            needed, why = target.tested_spf_min, f"label {target.text} in market {market!r}"
        wanted = uva_pf_needed(target)
        if wanted is not None and (uva is None or wanted > uva):
            uva = wanted
    if brief.uva_pf_to_spf_min is not None:
        own = brief.uva_pf_to_spf_min * label
        uva = own if uva is None else max(own, uva)
    return needed, why, uva


def _protection_lines(
    brief: Brief,
    draws: ProtectionDraws,
    estimates: Mapping[str, Estimate],
    levers: tuple[Lever, ...],
) -> list[BriefLine]:
    lines: list[BriefLine] = []
    best_spf = _film_lever(levers, "spf_percent", "SPF")
    best_uva = _film_lever(levers, "uva_pf_percent", "UVA-PF")
    if brief.label_spf is not None:
        needed, why, uva = protection_needed(brief)
        lines.append(
            judge_estimate(
                "SPF", estimates["spf"], draws.spf, needed, "at least", lever=best_spf, note=why
            )
        )
        if uva is not None:
            lines.append(
                judge_estimate(
                    "UVA-PF",
                    estimates["uva_pf"],
                    draws.uva_pf,
                    uva,
                    "at least",
                    lever=best_uva,
                    note="a third of the label SPF, or the brief's own share",
                )
            )
    floor = brief.critical_wavelength_min_nm
    if floor is not None:
        lines.append(
            judge_estimate(
                "critical wavelength",
                estimates["critical_wavelength_nm"],
                draws.critical_wavelength_nm,
                floor,
                "at least",
                lever="coarser ZnO raises it, fine TiO2 lowers it",
            )
        )
    return lines


def _film_lever(levers: tuple[Lever, ...], key: str, name: str) -> str:
    """Return the material that raises a protection measure most, in words."""
    materials = [lever for lever in levers if lever.material]
    best = max(materials, key=lambda lever: float(getattr(lever, key)), default=None)
    if best is None or getattr(best, key) <= 0:
        return ""
    return f"{best.change}: {name} {getattr(best, key):+.0f} %"


def _white_cast_lines(
    brief: Brief,
    colours: SkinColours,
    white_cast: Mapping[str, WhiteCast],
    levers: tuple[Lever, ...],
) -> list[BriefLine]:
    lines: list[BriefLine] = []
    for key, limit, symbol in (
        ("delta_e00", brief.white_cast_max_delta_e00, "dE00"),
        ("delta_l", brief.white_cast_max_delta_l, "dL*"),
    ):
        if limit is None:
            continue
        for name in skins_asked(brief):
            skin = SKIN_CLASSES.index(name)
            moved = {
                lever.material: getattr(lever, key)[skin] for lever in levers if lever.material
            }
            lines.append(
                judge_estimate(
                    f"white cast {symbol}, {name} skin",
                    getattr(white_cast[name], key),
                    getattr(colours, key)[:, skin],
                    limit,
                    "at most",
                    lever=_cast_lever(moved, symbol),
                )
            )
    return lines


def _cast_lever(moved: Mapping[str, float], symbol: str) -> str:
    """Return the material of which 1 % more lowers a measure most, else that to take less of."""
    if not moved:
        return ""
    best, worst = min(moved, key=lambda m: moved[m]), max(moved, key=lambda m: moved[m])
    if moved[best] < 0:
        return f"+1 % {best}: {symbol} {moved[best]:+.1f}"
    return f"less {worst} (+1 % of it: {symbol} {moved[worst]:+.1f})"


def _natural_lever(natural: Naturality) -> str:
    """Return the substance that costs the most natural origin."""
    worst = max(natural.lines, key=lambda line: line.percent - line.contribution_percent)
    lost = worst.percent - worst.contribution_percent
    return f"{worst.inci} costs {lost:.1f} %" if lost >= _WORTH_NAMING_PERCENT else ""


def _cost_line(limit: float, cost: Cost) -> BriefLine:
    dearest = cost.lines[0] if cost.lines else None
    lever = (
        f"{dearest.material} makes {dearest.contribution_per_kg:.2f} {cost.currency}/kg"
        if dearest is not None and dearest.contribution_per_kg is not None
        else ""
    )
    if isinstance(cost.per_kg, Estimate):
        return judge_estimate(
            "raw-material cost",
            cost.per_kg,
            None,
            limit,
            "at most",
            lever=lever,
            note="some prices are assumed",
        )
    return judge_exact("raw-material cost", cost.per_kg, limit, "at most", lever=lever)


def _viscosity_lines(brief: Brief, viscosity: Estimate | Exact) -> list[BriefLine]:
    lines: list[BriefLine] = []
    for limit, sense in (
        (brief.viscosity_min_mPas, "at least"),
        (brief.viscosity_max_mPas, "at most"),
    ):
        if limit is None:
            continue
        lever, topic = "water phase, waxes and gellants", "viscosity"
        if isinstance(viscosity, Estimate):
            lines.append(judge_estimate(topic, viscosity, None, limit, sense, lever=lever))
        else:
            lines.append(judge_exact(topic, viscosity, limit, sense, lever=lever))
    return lines


def _process_lines(brief: Brief, formula: Formula) -> list[BriefLine]:
    limit = brief.process_max_temperature_C
    if limit is None:
        return []
    stated = [p.temperature_C for p in formula.phases if p.temperature_C is not None]
    hottest = Exact(max(stated), "degC") if stated else Exact(None, "degC", ("temperatures",))
    return [
        judge_exact(
            "highest process temperature", hottest, limit, "at most", lever="waxes that must melt"
        )
    ]


def _composition_lines(brief: Brief, formula: Formula) -> list[BriefLine]:
    lines: list[BriefLine] = []
    if brief.pigment_max_percent is not None:
        uv = sum(
            percent
            for material, percent in leaves(formula)
            if material.grade is not None and not material.grade.core.startswith("iron")
        )
        lines.append(
            judge_exact("UV pigment", Exact(uv, "%"), brief.pigment_max_percent, "at most")
        )
    if brief.non_nano:
        nano = [
            material.id
            for material, _ in leaves(formula)
            if material.grade is not None and nano_decision(material.grade).is_nano
        ]
        lines.append(_none_of("nano ingredients", nano))
    if brief.excluded_inci:
        held = {substance.inci.lower() for substance in resolve(formula)}
        found = [name for name in brief.excluded_inci if name.lower() in held]
        lines.append(_none_of("excluded ingredients", found))
    if brief.emulsion is not None:
        same = formula.emulsion == brief.emulsion
        other = [] if same else [f"asked for {brief.emulsion}, is {formula.emulsion}"]
        lines.append(_none_of("other kind of emulsion than asked for", other))
    return lines


def _none_of(topic: str, found: list[str]) -> BriefLine:
    return judge_exact(topic, Exact(float(len(found)), ""), 0, "at most", note=", ".join(found))


def _water_lines(brief: Brief) -> list[BriefLine]:
    """Keep a claim of water resistance in sight: no model here predicts it."""
    if not brief.water_resistant:
        return []
    least = rules.limit("ISO 18861", "lower_limit_percent")
    return [
        judge_exact(
            "SPF kept in water, lower limit",
            Exact(None, least.unit, ("a test on people, ISO 16217 and ISO 18861",)),
            least.low,
            "at least",
            note="not predicted, a test on people tells (`zincite assay water`)"
            + ("" if least.verified else "; the limit is from memory"),
        )
    ]
