"""Hold points of a batch record: what must be found before work goes on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from zincite.evaluation.density import density_g_ml
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.batch.record_steps import TEMPERATURE_WINDOW_C
from zincite.evaluation.making.steps import StepContents
from zincite.formula.formula import Formula
from zincite.formula.substances import resolve
from zincite.physics.dispersing import hegman_to_um

__all__ = [
    "ASSAY_PERCENT",
    "DENSITY_G_ML",
    "GRIND_HEGMAN",
    "GRIND_UM",
    "VISCOSITY_PERCENT",
    "Check",
    "Hold",
    "References",
    "holds_of",
]

GRIND_HEGMAN = 7.0
"""Coarsest grind let through; common practice, no source. [Hegman]"""
GRIND_UM = float(hegman_to_um(GRIND_HEGMAN))
"""The same as depth, trade relation R34. [um]"""
VISCOSITY_PERCENT = 20.0
DENSITY_G_ML = 0.02
ASSAY_PERCENT = 5.0
"""Half-widths of release limits; common practice, no source. [%], [g/mL], [%]"""

_FILTERS = {"Zinc Oxide": "zinc_oxide_percent", "Titanium Dioxide": "titanium_dioxide_percent"}


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to find at a hold.

    Attributes
    ----------
    key : str
        Name with unit, as in the file of a filled record.
    name, unit : str
        As printed.
    low, high : float or None
        Limits, None where there is none or it is to be written in.
    ground : str
        Where the limits come from; of words, what is expected.
    is_number : bool
        Whether a number is read, not words.
    is_predicted : bool
        Whether the limits stand around a prediction, which decides nothing.
    """

    key: str
    name: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    ground: str = ""
    is_number: bool = True
    is_predicted: bool = False

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "check": self.key,
            "name": self.name,
            "unit": self.unit,
            "low": self.low,
            "high": self.high,
            "ground": self.ground,
            "predicted": self.is_predicted,
        }


@dataclass(frozen=True, slots=True)
class Hold:
    """A stop until someone releases it.

    Attributes
    ----------
    key, title : str
    after_step : int
        Number of the step after which it stands; 0 is before the first.
    checks : tuple of Check
    """

    key: str
    title: str
    after_step: int
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class References:
    """Values of a reference batch, which make limits.

    Attributes
    ----------
    viscosity_mPas : float or None
        By the method of the in-process test. [mPa s]
    density_g_ml : float or None
        [g/mL]
    """

    viscosity_mPas: float | None = None
    density_g_ml: float | None = None


def holds_of(
    formula: Formula, contents: Sequence[StepContents], references: References
) -> tuple[Hold, ...]:
    """Return the hold points in order.

    Parameters
    ----------
    formula : Formula
    contents : sequence of StepContents
        What each step works on.
    references : References

    Returns
    -------
    tuple of Hold
        "grind" where there is pigment, "temperatures" where an emulsion is made, "bulk" and
        "release" always.
    """
    end = contents[-1].number if contents else 0
    holds = []
    grind = _grind_step(contents)
    if grind is not None:
        holds.append(Hold("grind", "Wetting and grind", grind, _grind_checks()))
    emulsion = _emulsion_step(formula, contents)
    if emulsion is not None:
        checks = _temperature_checks(emulsion)
        holds.append(Hold("temperatures", "Before emulsification", emulsion.number - 1, checks))
    holds.sort(key=lambda hold: hold.after_step)
    holds.append(Hold("bulk", "Bulk before filling", end, _bulk_checks(formula, references)))
    holds.append(Hold("release", "Release tests", end, _release_checks(formula)))
    return tuple(holds)


def _grind_step(contents: Sequence[StepContents]) -> int | None:
    """Return the step after which the grind is judged, None without pigment.

    That is the last one before another phase or water comes to the pigment; pigment that meets
    water as it goes in is judged before that, for an emulsion shows no grind.
    """
    with_pigment = [found for found in contents if found.pigment_percent > 0]
    if not with_pigment:
        return None
    first = with_pigment[0]
    if first.has_water:
        return first.number - 1
    last = first
    for found in with_pigment[1:]:
        # a phase without pigment dilutes the mill base: the grind is released before
        if found.has_water or (found.added and found.pigment_percent <= last.pigment_percent):
            break
        last = found
    return last.number


def _emulsion_step(formula: Formula, contents: Sequence[StepContents]) -> StepContents | None:
    """Return the first step whose contents hold water and oil, None if nothing is emulsified."""
    if formula.emulsion == "anhydrous":
        return None
    for found in contents:
        kinds = {phase.kind for phase in found.phases}
        if "water" in kinds and kinds & {"oil", "pigment"}:
            return found
    return None


def _grind_checks() -> tuple[Check, ...]:
    ground = f"Hegman {GRIND_HEGMAN:g} by relation R34; limit common practice"
    return (
        Check("grind_um", "coarsest grind on the gauge", "µm", 0.0, GRIND_UM, ground),
        Check("lumps", "lumps and dry powder, by eye", ground="none", is_number=False),
    )


def _temperature_checks(emulsion: StepContents) -> tuple[Check, ...]:
    found = []
    for phase in emulsion.phases:
        if phase.kind == "cool-down":
            continue
        at = phase.temperature_C
        name = f"temperature of phase {phase.name}"
        key = f"phase_{phase.name}_C"
        if at is None:
            found.append(Check(key, name, "degC", ground="the formula states none"))
        else:
            low, high = at - TEMPERATURE_WINDOW_C, at + TEMPERATURE_WINDOW_C
            ground = f"formula, \u00b1{TEMPERATURE_WINDOW_C:g} degC common practice"
            found.append(Check(key, name, "degC", low, high, ground))
    return tuple(found)


def _bulk_checks(formula: Formula, references: References) -> tuple[Check, ...]:
    checks = [Check("appearance", "appearance, colour, odour", ground="as standard batch",
                    is_number=False)]  # fmt: skip
    if formula.emulsion != "anhydrous":
        intended = formula.water_phase_ph
        ground = "no limit given" if intended is None else f"formula intends {intended:g}"
        if formula.emulsion == "water-in-oil":
            ground += "; of an aqueous extract"
        checks.append(Check("ph", "pH", "", ground=ground))
    checks.append(_viscosity(references.viscosity_mPas))
    checks.append(_density(references.density_g_ml, density_g_ml(formula)))
    return tuple(checks)


def _viscosity(reference: float | None) -> Check:
    name = "viscosity, with spindle, speed, time and degC"
    if reference is None:
        return Check("viscosity_mPas", name, "mPa s", ground="no reference batch given")
    half = reference * VISCOSITY_PERCENT / 100
    ground = f"reference {reference:g} mPa s \u00b1{VISCOSITY_PERCENT:g} %, width common practice"
    return Check("viscosity_mPas", name, "mPa s", reference - half, reference + half, ground)


def _density(reference: float | None, predicted: Estimate) -> Check:
    middle = predicted.median if reference is None else reference
    low, high = middle - DENSITY_G_ML, middle + DENSITY_G_ML
    if reference is None:
        ground = (
            f"around the prediction {middle:.3f} g/mL, itself {predicted.low:.2f} to "
            f"{predicted.high:.2f}: no limit until a reference batch is measured"
        )
    else:
        ground = f"reference {reference:g} g/mL \u00b1{DENSITY_G_ML:g}, width common practice"
    return Check(
        "density_g_ml", "density, deaerated", "g/mL", low, high, ground,
        is_predicted=reference is None,
    )  # fmt: skip


def _release_checks(formula: Formula) -> tuple[Check, ...]:
    shares: dict[str, float] = {}
    for part in resolve(formula):
        if part.inci in _FILTERS and part.role != "coating":
            shares[part.inci] = shares.get(part.inci, 0.0) + part.percent
    assays = [
        Check(
            key,
            f"{name.lower()} assay",
            "%",
            share * (1 - ASSAY_PERCENT / 100),
            share * (1 + ASSAY_PERCENT / 100),
            f"calculated {share:.2f} % \u00b1{ASSAY_PERCENT:g} % of it, width common practice",
        )
        for name, key in _FILTERS.items()
        if (share := shares.get(name, 0.0)) > 0
    ]
    microbes = Check(
        "microbiology", "microbial count", ground="your specification", is_number=False
    )
    return (*assays, microbes)
