"""On what a scale-up rests, and what of it asks for a look."""

from __future__ import annotations

from typing import TYPE_CHECKING

from zincite.data.devices import device
from zincite.data.plant_defaults import plant_default
from zincite.evaluation.making.basis import Basis
from zincite.physics.mixing import TURBULENT_RE

if TYPE_CHECKING:
    from zincite.evaluation.making.process.scale_up import ScaleUp

__all__ = ["scale_basis"]

_LONG = 5.0  # times the laboratory's time from which drops and pigment may change, assumed
_STRONG_K = 20.0  # above the jacket, where viscosity and waxes no longer are what they were


def scale_basis(found: ScaleUp, assumed: tuple[str, ...]) -> Basis:
    """Return the grounds of a scale-up.

    Parameters
    ----------
    found : ScaleUp
    assumed : tuple of str
        Sentences on the laboratory's step.
    """
    own = Basis(("R28",)).with_more(relations=found.step.relations, assumed=assumed)
    if found.rule == "throughput":
        own = own.with_more(assumed=found.step.assumed, warnings=_throughput(found))
    else:
        own = own.with_more(assumed=(_ROTOR,), warnings=_warnings(found))
    if found.heated_C is not None:
        own = own.with_more(relations=("R58",), assumed=(_jacket(found),))
    return own.with_more(warnings=found.step.warnings)


_ROTOR = (
    "Rotors are alike, geometrically similar where no diameter is given; gap, density and "
    "viscosity stay. Measure the motor's power at both sizes: it replaces Np and Kp."
)


def _jacket(found: ScaleUp) -> str:
    low = plant_default("jacket_U_W_m2_K")
    return (
        f"Jacket: U {low.value:g} W/m2/K ({low.low:g} to {low.high:g}) from memory, vessel as high "
        f"as wide; heating from {plant_default('room_C').value:g} to {found.heated_C:g} degC with "
        f"the jacket {plant_default('jacket_over_K').value:g} K above, cooling to "
        f"{plant_default('fill_C').value:g} degC with water of "
        f"{plant_default('cooling_water_C').value:g} degC, common practice."
    )


def _throughput(found: ScaleUp) -> list[str]:
    name = device(found.step.device).name
    said = [
        f"A {name} scales by throughput only: keep "
        f"{'pressure' if found.step.device == 'high-pressure' else 'speed, gap and passes'}, and "
        "stress and energy stay; a larger machine takes more per hour."
    ]
    if found.lab.minutes is None:
        said.append(
            "The step states no minutes, so no time is given for the larger batch: state minutes "
            "of the laboratory's batch."
        )
    return said


def _warnings(found: ScaleUp) -> list[str]:
    said = [f"{item.state.batch_kg:g} kg: {item.limit}." for item in found.scaled if item.limit]
    usual = device(found.step.device).tip_speed_m_s
    for item in found.scaled:
        state, name = item.state, f"{item.state.batch_kg:g} kg"
        speed, minutes = state.tip_speed_m_s or 0.0, state.ratio("minutes", found.lab) or 1.0
        if usual.low is not None and speed < usual.low * (1 - 1e-9):
            said.append(
                f"{name}: {speed:.3g} m/s is below the usual {usual.low:g} m/s of a "
                f"{device(found.step.device).name}; the strongest stress sets the end size, so it "
                "stays coarser however long it runs."
            )
        if minutes > _LONG:
            said.append(
                f"{name}: {state.minutes:.0f} min is {minutes:.0f} times the laboratory's; a "
                "larger rotor or a recirculated in-line device brings it down."
            )
        over = state.over_jacket_K
        if over is not None and over > _STRONG_K:
            said.append(
                f"{name}: the contents would settle {over:.0f} K above the jacket while the rotor "
                "runs; cool, or run in shorter parts."
            )
        said += _regime(found, item.state.reynolds, name)
    return said


def _regime(found: ScaleUp, number: float | None, name: str) -> list[str]:
    lab = found.lab.reynolds
    if number is None or lab is None or not lab < TURBULENT_RE <= number:
        return []
    return [
        f"{name}: the flow turns from laminar or transitional (Re {lab:.0f}) to turbulent (Re "
        f"{number:.0f}), so that power and mixing follow another law than in the laboratory."
    ]
