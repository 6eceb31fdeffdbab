"""Advice on the water phase: each sentence with its reason and with what raised it."""

from __future__ import annotations

from collections.abc import Iterator

from zincite.data.chemistry import components, molar_mass_g_mol, sensitivities
from zincite.evaluation.making.water.acids import STRUCTURING_SOAP_PERCENT
from zincite.evaluation.making.water.chelators import zinc_capacity_g_g
from zincite.evaluation.making.water.ion_findings import LABILE_ZINC_LIMIT_MG_L, Findings
from zincite.evaluation.making.water.ions_result import Advice
from zincite.evaluation.making.water.water_phase import Dissolved
from zincite.formula.substances import leaves

__all__ = ["advice_on"]

_NEAR = 0.3  # pH difference that a meter and a batch do not tell apart
_SPENT, _NOTICED = 0.5, 0.02  # shares of a chelator
_BUFFER_MMOL_KG = 0.5  # acid that a drop of citric acid solution brings


def advice_on(found: Findings, salt_to_coagulation: float | None = None) -> tuple[Advice, ...]:
    """Return all advice on a formula, each with its trigger."""
    if found.formula is None:
        return tuple(_exposure(found))
    parts = [
        *_ph(found), *_acids(found), *_soaps(found), *_preservatives(found), *_sensitive(found),
        *_chelators(found), *_solids(found), *_exposure(found),
    ]  # fmt: skip
    if salt_to_coagulation is not None and salt_to_coagulation >= 1:
        parts.append(_colloid(found, salt_to_coagulation))
    return tuple(parts)


def _ph(found: Findings) -> Iterator[Advice]:
    ph, end, window = found.ph, found.ph_at_equilibrium, found.window
    if ph is None or end is None:
        return
    if found.has_zinc_oxide and found.exposed_share != 0 and ph < end - _NEAR:
        yield _pulled_up(found, ph, end)
    if window is None:
        yield Advice(
            "act", "pH",
            "No pH up to 9 brings free zinc below "
            f"{LABILE_ZINC_LIMIT_MG_L:g} mg/L in this water phase: take out the salt or acid that "
            "holds it.",
            "dissolved zinc against pH in this water phase",
        )  # fmt: skip
    elif ph < window[0] - 0.05:
        why = (
            "free zinc doubles for each 0.15 that it falls"
            if found.has_zinc_oxide
            else "acid attacks alumina layers"
        )
        yield Advice(
            "watch", "pH",
            f"pH {ph:.1f} lies below the window of {window[0]:.1f} to {window[1]:.1f}: {why}.",
            f"pH {ph:.1f}",
        )  # fmt: skip
    elif ph > window[1] + 0.05:
        yield Advice(
            "watch", "pH",
            f"pH {ph:.1f} lies above the window of {window[0]:.1f} to {window[1]:.1f}: esters, "
            f"preservatives and coatings suffer.{_alkali(found)}",
            f"pH {ph:.1f}",
        )  # fmt: skip


def _alkali(found: Findings) -> str:
    """Say where the alkali comes from if a chelator takes its zinc from the oxide."""
    taking = [c for c in found.chelators if c.share_by_metal.get("zinc", 0.0) > _SPENT]
    if not (taking and found.has_zinc_oxide):
        return ""
    names = ", ".join(components()[c.ligand].shown for c in taking)
    return f" Zinc that {names} takes from the oxide leaves alkali: use less of it."


def _round(number: float) -> str:
    """Return two significant digits without an exponent."""
    return f"{float(f'{number:.2g}'):.10g}"


def _pulled_up(found: Findings, ph: float, end: float) -> Advice:
    hold = found.acid_to_hold_mmol_kg or 0.0
    sentence = f"Bare oxide pulls the water phase from pH {ph:.1f} towards {end:.1f}"
    if hold > _BUFFER_MMOL_KG:
        citric = hold / 3 * molar_mass_g_mol("C6H8O7") / 1000
        sentence += (
            f": staying there would take {_round(hold)} mmol acid per kg water (about "
            f"{_round(citric)} g citric acid), spent on zinc that then is in solution"
        )
    return Advice(
        "watch", "pH", sentence + ". Expect a drift on storage and set limits for the end value.",
        f"pH {ph:.1f} against {end:.1f} at equilibrium with zinc oxide",
    )  # fmt: skip


def _acids(found: Findings) -> Iterator[Advice]:
    for taken in found.acids:
        if taken.is_fatty or taken.is_coating:
            continue
        yield Advice(
            "watch", "acid",
            f"{taken.inci} turns {taken.zinc_oxide_percent:.2g} % zinc oxide of the formula into "
            "salt and does not keep the pH down: leave it out, or count its zinc salt.",
            f"{taken.inci} {taken.percent:.3g} %, {taken.zinc_oxide_g_g:.3f} g ZnO per g",
        )  # fmt: skip


def _soaps(found: Findings) -> Iterator[Advice]:
    free = [a for a in found.acids if a.is_fatty and not a.is_coating and not a.is_assumed]
    if free:
        soap = sum(a.zinc_salt_percent for a in free)
        names = ", ".join(f"{a.inci} {a.percent:.3g} %" for a in free)
        much = soap >= STRUCTURING_SOAP_PERCENT
        yield Advice(
            "watch" if much else "note", "soap",
            f"Free fatty acid gives up to {soap:.2g} % zinc soap, "
            + ("as much as gels an oil phase on purpose (0.5 %)" if much else
               "below what gels an oil phase on purpose (0.5 %)")
            + ": read a viscosity rise at 40 to 45 °C first as soap or flocculation.",
            names,
        )  # fmt: skip
    for taken in found.acids:
        if taken.is_assumed and not taken.is_coating:
            yield Advice(
                "note", "soap",
                f"{taken.inci} anchors on the oxide by its acid group, which takes about "
                f"{taken.zinc_oxide_percent:.2g} % zinc oxide; what is more than the surface holds "
                "can bind zinc in the oil. Ask for its acid value.",
                f"{taken.inci} {taken.percent:.3g} %",
            )  # fmt: skip


def _preservatives(found: Findings) -> Iterator[Advice]:
    if found.ph is None:
        return
    others = any(fit.verdict == "works" for fit in found.preservatives)
    for fit in found.preservatives:
        if fit.verdict == "works":
            continue
        if fit.undissociated_share is None:
            sentence = f"{fit.inci} stands outside its range ({fit.reason}): test it at the end pH."
        else:
            state = "is lost" if fit.verdict == "lost" else "is weak"
            sentence = (
                f"{fit.inci} {state} here: {fit.reason}; take one that does not depend on pH."
            )
        yield Advice(
            "act" if fit.verdict == "lost" and not others else "watch",
            "preservative",
            sentence,
            f"{fit.inci} {fit.percent:.3g} % at pH {found.ph:.1f}",
        )
    if not found.preservatives:
        yield Advice(
            "watch", "preservative",
            "No preservative or multifunctional known here is in the water phase: it is not "
            "protected, unless one goes under another name.",
            "ingredients of the formula",
        )  # fmt: skip


def _sensitive(found: Findings) -> Iterator[Advice]:
    formula, water = found.formula, found.water
    if formula is None or water is None or not found.has_zinc_oxide:
        return
    coated = " The coating of the oxide slows this, it does not stop it." if (
        water.zinc_oxide_coated) else ""  # fmt: skip
    for card, percent in leaves(formula):
        row = next((r for r in sensitivities() if r.fits(card.inci)), None)
        if row is None or row.level == "none" or percent <= 0:
            continue
        yield Advice(
            row.level, row.group, f"{card.inci}: {row.reason}.{coated}",
            f"{card.inci} {percent:.3g} % beside zinc oxide",
        )  # fmt: skip


def _chelators(found: Findings) -> Iterator[Advice]:
    water = found.water
    if water is None:
        return
    for share in found.chelators:
        name = components()[share.ligand].shown
        of = [part for part in water.dissolved if part.gives.get(share.ligand)]
        zinc = share.share_by_metal.get("zinc", 0.0)
        aluminium = share.share_by_metal.get("aluminium", 0.0)
        if aluminium > _NOTICED:
            yield Advice(
                "watch", "chelator",
                f"{name[0].upper()}{name[1:]} is {100 * aluminium:.0f} % taken by aluminium at "
                "equilibrium: it dissolves alumina layers, and with them the coating above.",
                _named(of),
            )  # fmt: skip
        if zinc < _SPENT:
            continue
        sentence = (
            f"{name[0].upper()}{name[1:]} is {100 * zinc:.0f} % taken by zinc at equilibrium, so "
            "little is left for traces of iron and copper, and more of it only dissolves more oxide"
        )
        if found.has_zinc_oxide and water.zinc_oxide_percent > 0:
            held = sum(p.percent * zinc_capacity_g_g(p.inci) for p in of)
            there = water.zinc_oxide_percent * molar_mass_g_mol("Zn") / molar_mass_g_mol("ZnO")
            sentence += f"; it can hold {100 * held / there:.2g} % of the zinc"
        yield Advice("note", "chelator", sentence + ".", _named(of))


def _named(parts: list[Dissolved]) -> str:
    return ", ".join(f"{p.inci} {p.percent:.3g} %" for p in parts)


def _solids(found: Findings) -> Iterator[Advice]:
    if found.state is None:
        return
    for name, amount in found.state.solids_mol_l().items():
        yield Advice(
            "watch", "precipitate",
            f"{name} falls out, {1000 * amount:.2g} mmol per kg water: grains or haze, and its "
            "ions are lost to the water phase.",
            f"solubility at pH {found.ph:.1f}",
        )  # fmt: skip


def _colloid(found: Findings, ratio: float) -> Advice:
    in_water = found.formula is not None and found.formula.emulsion == "oil-in-water"
    return Advice(
        "watch" if in_water else "note", "colloid",
        f"The salt is {_round(ratio)} times what flocculates coated oxide in water (0.02 M NaCl or "
        "0.008 M CaCl2): pigment that gets into the water phase clumps there, so it has to be "
        "wetted by the oil completely.",
        "salts of the water phase",
    )  # fmt: skip


def _exposure(found: Findings) -> Iterator[Advice]:
    share = found.exposed_share
    if share is None:
        return
    if share == 0:
        yield Advice(
            "note", "coating",
            "With no bare surface no oxide dissolves and nothing buffers the water phase; the "
            "smallest damage ends that state.",
            "exposed share 0",
        )  # fmt: skip
        return
    yield Advice(
        "note", "coating",
        f"{100 * share:.2g} % bare surface sets how fast this state is reached, not where it ends; "
        "no rate constant is at hand, so no time is given. Follow pH and dissolved zinc in time.",
        f"exposed share {share:g}",
    )  # fmt: skip
