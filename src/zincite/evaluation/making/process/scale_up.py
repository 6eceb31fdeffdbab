"""From laboratory to pilot and plant: one step of a process at other sizes, by a rule."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Any

from zincite.data.plant_defaults import plant_default
from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.density import density_g_ml
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.process.heat import heat_capacity
from zincite.evaluation.making.process.scale_basis import scale_basis
from zincite.evaluation.making.process.scale_lab import (
    THROUGHPUT,
    lab_rotor,
    lab_state,
    throughput_state,
)
from zincite.evaluation.making.process.scale_rules import Limits, Scaled, scale_rotor
from zincite.evaluation.making.process.scale_state import QUANTITIES, ScaleState
from zincite.evaluation.making.stress.energy import StepEnergy, batch_kg_of, step_energies
from zincite.formula.formula import Formula
from zincite.formula.process import DEVICES
from zincite.physics.heat import jacket_time_s, vessel_area_m2
from zincite.physics.scaling import similar_diameter_m

__all__ = ["EQUAL", "ScaleUp", "Target", "scale_up"]

EQUAL = 0.005
"""Relative deviation from the laboratory below which a quantity counts as kept. [-]"""


@dataclass(frozen=True, slots=True)
class Target:
    """A larger size.

    Attributes
    ----------
    batch_kg : float
    diameter_m : float or None
        Of rotor or roll; None takes a geometrically similar one.
    """

    batch_kg: float
    diameter_m: float | None = None

    def __post_init__(self) -> None:
        for what, found, low, high in (
            ("batch", self.batch_kg, 1e-3, 1e5),
            ("diameter", self.diameter_m, 1e-3, 5.0),
        ):
            if found is not None and not low <= found <= high:
                unit = "kg" if what == "batch" else "m"
                raise OutOfRangeError(
                    f"target {what} is {found:g} {unit}, expected {low:g} to {high:g} {unit}"
                )


@dataclass(frozen=True, slots=True)
class ScaleUp:
    """One step at several sizes.

    Attributes
    ----------
    step : StepEnergy
        The laboratory's, with what it works on.
    rule, keep : str
        As `scale_rotor`; "throughput" for mills and homogenisers.
    lab : ScaleState
    scaled : tuple of Scaled
        In the order asked for.
    heated_C : float or None
        To which the jacket heats the batch, None where nothing is heated. [degC]
    basis : Basis
    """

    step: StepEnergy
    rule: str
    keep: str
    lab: ScaleState
    scaled: tuple[Scaled, ...]
    heated_C: float | None
    basis: Basis = field(default_factory=Basis)

    @property
    def kept(self) -> tuple[str, ...]:
        """Return the names of quantities that are equal at every size."""
        return tuple(name for key, name, _ in QUANTITIES if self.is_kept(key) is True)

    @property
    def not_kept(self) -> tuple[str, ...]:
        """Return the names of quantities that change with size."""
        return tuple(name for key, name, _ in QUANTITIES if self.is_kept(key) is False)

    def is_kept(self, key: str) -> bool | None:
        """Return whether a quantity is equal at every size, None where there is none."""
        ratios = [found.state.ratio(key, self.lab) for found in self.scaled]
        if any(ratio is None for ratio in ratios):
            return None
        return all(abs(ratio - 1) < EQUAL for ratio in ratios if ratio is not None)

    @property
    def verdict(self) -> str:
        """Return "passes", "short" (a limit was met) or "fails" (the rule is lost)."""
        if any(not found.kept for found in self.scaled):
            return "fails"
        return "short" if any(found.limit for found in self.scaled) else "passes"

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints, without the basis."""
        return {
            "verdict": self.verdict,
            "rule": self.rule,
            "keep": self.keep,
            "step": self.step.contents.number,
            "device": self.step.device,
            "lab": self.lab.to_dict(),
            "scales": [
                {
                    **found.state.to_dict(),
                    "ratios": {key: found.state.ratio(key, self.lab) for key, _, _ in QUANTITIES},
                    "wanted_tip_speed_m_s": found.wanted_m_s,
                    "limit": found.limit or None,
                    "rule_kept": found.kept,
                }
                for found in self.scaled
            ],
            "kept": list(self.kept),
            "not_kept": list(self.not_kept),
            "heated_C": self.heated_C,
        }


def scale_up(
    formula: Formula,
    targets: tuple[Target, ...],
    *,
    rule: str,
    keep: str = "tip-speed",
    step: int | None = None,
    lab_kg: float | None = None,
    limits: Limits | None = None,
) -> ScaleUp:
    """Return a process step at larger sizes.

    Parameters
    ----------
    formula : Formula
        Its [process] is the laboratory's.
    targets : tuple of Target
    rule, keep, limits
        As `scale_rotor`.
    step : int, optional
        Counted from 1; the one that brings in most energy when left out.
    lab_kg : float, optional
        Laboratory batch; the file's when left out. [kg]

    Raises
    ------
    InputError
        If the formula has no such step, or no target is given.
    FormulaError, OutOfRangeError
        As `step_energies`.

    Notes
    -----
    Density and viscosity stay. A similar rotor grows with the cube root of the volume; the gap
    stays. Mills and homogenisers scale by throughput: stress, energy and passes stay.
    """
    if not targets:
        raise InputError("no target size is given, expected one such as --to 200:0.15")
    size, said = batch_kg_of(formula, lab_kg)
    found = _chosen(step_energies(formula, size), step)
    if found.device in THROUGHPUT:
        rule, keep = "throughput", ""
        lab = throughput_state(formula, found, size)
        scaled = tuple(Scaled(throughput_state(formula, found, t.batch_kg, t.diameter_m), 0.0)
                       for t in targets)  # fmt: skip
        sentences: tuple[str, ...] = ()
    else:
        rotor, sentences = lab_rotor(formula, found)
        lab = lab_state(rotor, found, size)
        scaled = tuple(
            scale_rotor(rotor, lab, _sizes(lab, target), key=found.device, rule=rule, keep=keep,
                        limits=limits)
            for target in targets
        )  # fmt: skip
    heated = _heated_C(formula)
    result = ScaleUp(
        found,
        rule,
        keep,
        _with_jacket(formula, lab, heated),
        tuple(replace(s, state=_with_jacket(formula, s.state, heated)) for s in scaled),
        heated,
    )
    return replace(result, basis=scale_basis(result, (*said, *sentences)))


def _chosen(energies: tuple[StepEnergy, ...], number: int | None) -> StepEnergy:
    known = [found for found in energies if found.device in DEVICES and found.energy is not None]
    if not known:
        raise InputError(
            "the formula's [process] has no step on a known device, expected one such as "
            '[[process.step]] with device = "rotor-stator", tip_speed_m_s and minutes'
        )
    if number is None:
        return max(known, key=lambda found: found.energy_J_mL)
    match = [found for found in known if found.contents.number == number]
    if not match:
        numbers = ", ".join(str(found.contents.number) for found in known)
        raise InputError(f"step {number} is no step on a known device, expected one of {numbers}")
    return match[0]


def _sizes(lab: ScaleState, target: Target) -> tuple[float, float, float]:
    volume = lab.volume_L * target.batch_kg / lab.batch_kg
    diameter = target.diameter_m
    if diameter is None:
        diameter = float(similar_diameter_m(lab.diameter_m or math.nan, lab.volume_L, volume))
    return target.batch_kg, volume, diameter


def _heated_C(formula: Formula) -> float | None:  # noqa: N802
    """Return the hottest temperature that the file states, None where nothing is heated."""
    stated = [p.temperature_C for p in formula.phases if p.temperature_C is not None]
    stated += [
        s.settings["temperature_C"] for s in formula.process if "temperature_C" in s.settings
    ]
    hottest = max(stated, default=0.0)
    return hottest if hottest > plant_default("room_C").value else None


def _with_jacket(formula: Formula, state: ScaleState, heated_C: float | None) -> ScaleState:
    """Add the time to heat and to cool the whole batch in a jacketed vessel."""
    fill = plant_default("fill_C").value
    if heated_C is None or heated_C <= fill:
        return state
    heat = heat_capacity(formula, formula.phases)
    volume = state.batch_kg / density_g_ml(formula).median
    area = float(vessel_area_m2(volume, plant_default("height_to_diameter").value))
    conductance = plant_default("jacket_U_W_m2_K").value * area
    capacity = state.batch_kg * heat.percent / 100 * heat.kJ_kg_K
    jacket = heated_C + plant_default("jacket_over_K").value
    up = jacket_time_s(capacity, conductance, plant_default("room_C").value, heated_C, jacket)
    down = jacket_time_s(
        capacity, conductance, heated_C, fill, plant_default("cooling_water_C").value
    )
    return replace(state, heating_min=float(up) / 60, cooling_min=float(down) / 60)
