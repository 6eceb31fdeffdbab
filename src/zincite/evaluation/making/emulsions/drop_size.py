"""Size of the drops: measured, from the energy or the flow of the process step, or as aimed for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.emulsions import emulsion_constant
from zincite.errors import OutOfRangeError
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.making.emulsions.spread import with_range
from zincite.evaluation.making.stress.energy import StepEnergy, step_energies
from zincite.formula.formula import Formula
from zincite.physics.droplets import d32_from_energy_um, d32_from_flow_m, weber_number
from zincite.physics.mixing import speed_rpm

__all__ = ["DropSize", "drop_size"]

_EMULSIFYING = ("dissolver", "rotor-stator", "rotor-stator-in-line", "high-pressure")
_SLOWEST_RE = 100.0  # below it a rotor's flow is laminar and trade relation R30 does not hold
_TURBULENT_RE = 1e4  # trade relation R26


@dataclass(frozen=True, slots=True)
class DropSize:
    """Sauter diameter of the drops.

    Attributes
    ----------
    d32_um : Estimate
        What the rest is worked out with. [um]
    how : str
        "given", "process" or "target" (as usually aimed for, nothing known).
    ways : tuple of (str, str, Estimate)
        Every way there is: name, relation, result.
    relations, assumed, warnings : tuple of str
        As `Basis` takes them.
    """

    d32_um: Estimate
    how: str
    ways: tuple[tuple[str, str, Estimate], ...] = ()
    relations: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "d32_um": self.d32_um.to_dict(),
            "known_from": self.how,
            "ways": [
                {"way": name, "relation": key, "d32_um": found.to_dict()}
                for name, key, found in self.ways
            ],
        }


def drop_size(formula: Formula, phases: EmulsionPhases, given_um: float | None = None) -> DropSize:
    """Return the drop size of a formula.

    Parameters
    ----------
    formula : Formula
    phases : EmulsionPhases
    given_um : float, optional
        Measured Sauter diameter. [um]

    Raises
    ------
    OutOfRangeError
        If the given size is not between 0.05 and 500 um.
    """
    ways, said, warned = _process_ways(formula, phases)
    relations = tuple(key for _, key, _ in ways)
    if given_um is not None:
        if not 0.05 <= given_um <= 500:
            raise OutOfRangeError(f"d32 is {given_um:g} um, expected 0.05 to 500 um")
        found = Estimate(given_um, given_um, given_um, "um")
        return DropSize(found, "given", ways, relations, said, warned)
    if ways:
        return DropSize(_together(ways), "process", ways, relations, said, warned)
    aim = emulsion_constant("target_d32")
    target = with_range(aim.value, "um", (aim, 1.0))
    sentence = (
        f"Drops of {aim.value:g} um ({aim.low:g} to {aim.high:g} um), as usually aimed for: no "
        "step of the file emulsifies and no --d32-um was given."
    )
    return DropSize(target, "target", (), (), (sentence,), warned)


def _together(ways: tuple[tuple[str, str, Estimate], ...]) -> Estimate:
    """Return the geometric mean of the ways with the range that holds them all."""
    found = [way for _, _, way in ways]
    middle = math.exp(math.fsum(math.log(e.median) for e in found) / len(found))
    return Estimate(middle, min(e.low for e in found), max(e.high for e in found), "um", True)


def _process_ways(
    formula: Formula, phases: EmulsionPhases
) -> tuple[tuple[tuple[str, str, Estimate], ...], tuple[str, ...], tuple[str, ...]]:
    steps = [
        step
        for step in step_energies(formula)
        if step.contents.has_water and step.device in _EMULSIFYING and step.energy_J_mL > 0
    ]
    if not steps or not phases.has_both:
        return (), (), ()
    ways = [("energy", "R29", _from_energy(steps))]
    said = [s for step in steps for s in step.assumed]
    said.append(
        "Drop size against energy: 3 um (1.5 to 6) after 10 J/mL, exponent 0.35 (0.25 to 0.4); "
        "three speeds or times of your own device replace it."
    )
    warned: list[str] = []
    rotors = [s for s in steps if s.tip_speed_m_s and s.reynolds and s.viscosity_mPas]
    if rotors:
        # the strongest local dissipation sets the end size (trade relation R32)
        fastest = max(rotors, key=lambda s: s.tip_speed_m_s or 0.0)
        found, warning = _from_flow(fastest, phases)
        if found is not None:
            if max(found.median, ways[0][2].median) > 3 * min(found.median, ways[0][2].median):
                warned.append(
                    f"Energy and speed disagree on the drops ({ways[0][2].median:.2g} and "
                    f"{found.median:.2g} um), for both constants are assumed: measure one d32."
                )
            ways.append(("flow", "R30", found))
            said.append(
                "Drop size against speed: constants of the device set so that 15 m/s, 50 mm, "
                "half water phase and 3 mN/m leave 3 um."
            )
        warned += [warning] if warning else []
    return tuple(ways), tuple(dict.fromkeys(said)), tuple(warned)


def _from_energy(steps: list[StepEnergy]) -> Estimate:
    reference = emulsion_constant("energy_reference_d32")
    known, exponent = emulsion_constant("energy_reference"), emulsion_constant("energy_exponent")
    energy = math.fsum(step.energy_J_mL for step in steps)
    best = float(
        d32_from_energy_um(
            energy, exponent.value, reference_um=reference.value, reference_J_mL=known.value
        )
    )
    largest = max((s.energy for s in steps if s.energy), key=lambda e: e.median)
    # an exponent off by so much moves the size by the energy's ratio to that power
    ratio = energy / known.value
    moved = Estimate(
        1.0,
        min(ratio ** (exponent.value - e) for e in (exponent.low or 0.25, exponent.high or 0.4)),
        max(ratio ** (exponent.value - e) for e in (exponent.low or 0.25, exponent.high or 0.4)),
    )
    return with_range(best, "um", (reference, 1.0), (largest, -exponent.value), (moved, 1.0))


def _from_flow(step: StepEnergy, phases: EmulsionPhases) -> tuple[Estimate | None, str]:
    tip, reynolds, viscosity = step.tip_speed_m_s, step.reynolds, step.viscosity_mPas
    if tip is None or reynolds is None or viscosity is None:
        return None, ""
    place = f"Step {step.contents.number} ({step.device})"
    if reynolds < _SLOWEST_RE:
        return None, (
            f"{place} runs at Reynolds number {reynolds:.0f}: the flow is laminar, where drop "
            "size does not follow the Weber number; the energy counts."
        )
    density = step.contents.density_g_ml
    diameter = math.pi * viscosity * reynolds / (1e6 * density * tip)  # Re = rho v D/(pi mu)
    tension = emulsion_constant("interfacial_tension")
    turns = float(speed_rpm(tip, diameter))
    weber = float(weber_number(turns, diameter, density, tension.value))
    constants = {name: emulsion_constant(f"flow_{name}") for name in ("inertial", "viscous")}
    best = float(
        d32_from_flow_m(
            weber, reynolds, diameter, phases.drop_fraction,
            inertial=constants["inertial"].value, viscous=constants["viscous"].value,
        )
    )  # fmt: skip
    turbulent = reynolds > _TURBULENT_RE
    used = constants["inertial" if turbulent else "viscous"]
    found = with_range(1e6 * best, "um", (used, 1.0), (tension, 0.6 if turbulent else 1 / 7))
    warning = (
        f"{place}: the factor 1 + 20 phi comes from dilute in-line trials; at "
        f"{100 * phases.drop_fraction:.0f} % drops it is an extrapolation."
    )
    return found, warning
