"""What the ion results rest on: relations, constants from memory, limits."""

from __future__ import annotations

from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.water.acids import AcidTaken
from zincite.evaluation.making.water.chelators import LIGANDS
from zincite.evaluation.making.water.ion_solving import WaterState
from zincite.evaluation.making.water.water_phase import WaterPhase
from zincite.physics.activity import DAVIES_LIMIT_MOL_L

__all__ = ["basis_of"]

_AUTOPROTOLYSIS = "OH-"
_IMPOSSIBLE_MOL_L = 1.0
_MANY_SOLVENTS = 0.2
_WINDOW = (
    "The pH window: unchelated zinc of 15 mg/L at its lower end, pH 9 at its upper; pH 5 to 8 "
    "without zinc oxide."
)
_COMMON = (
    "Water at 25 °C without carbon dioxide of the air; 1 kg of water counts as 1 L.",
    "Equilibrium only: a coating changes how fast it is reached, and no rate constant is at hand.",
)


def basis_of(
    water: WaterPhase | None,
    state: WaterState | None,
    *,
    alumina: bool,
    acids: tuple[AcidTaken, ...] = (),
    preserved: bool = False,
) -> Basis:
    """Return the grounds of a result.

    Parameters
    ----------
    water : WaterPhase or None
        None for plain water.
    state : WaterState or None
        None without water.
    alumina, preserved : bool
        Whether aluminium or preservatives were judged.
    acids : tuple of AcidTaken
    """
    if state is None:
        found = Basis(("R37", "R40"), (), ("No water phase, so no ions and no pH.",))
    else:
        over_oxide = water is None or water.zinc_oxide_percent > 0
        found = Basis(
            ("R36", "R37") if over_oxide else (),
            _constants(state, alumina),
            (*_COMMON, *_limits(state)),
        )
        found = found.with_more(assumed=(_WINDOW,))
    if water is not None and state is not None:
        more = ("R38", "R39") if set(LIGANDS) & set(state.chemistry.components) else ()
        found = found.with_more(
            relations=(*more, "R40", "R41"),
            warnings=_counted(water),
        )
    if preserved:
        found = found.with_more(assumed=("pH ranges and pKa of the preservatives, from memory.",))
    named = [a.inci for a in acids if a.is_assumed]
    if named:
        found = found.with_more(
            assumed=(f"Acid value of {', '.join(named)}, from memory: 33 mg KOH/g.",)
        )
    return found


def _constants(state: WaterState, alumina: bool) -> tuple[str, ...]:
    said = []
    names = [n for n in state.chemistry.assumed if n != _AUTOPROTOLYSIS and not n.startswith("Al")]
    if names:
        said.append(f"Constants from memory: {', '.join(names)}.")
    if alumina:
        said.append(
            "Hydrolysis of aluminium, from memory; a layer is taken as gibbsite, and as fresh "
            "amorphous hydroxide for the upper end."
        )
    if state.equilibrium.activity == "Davies":
        said.append(
            "Activity coefficients of Davies, from memory; constants of another ionic strength "
            "were brought to 0 by them."
        )
    return tuple(said)


def _limits(state: WaterState) -> tuple[str, ...]:
    said = []
    found = state.equilibrium
    if found.activity == "ideal":
        said.append(
            "Ideal, ionic strength 0: salt raises dissolved zinc by a factor of a few "
            "(--ionic-strength)."
        )
    elif found.ionic_strength_mol_l[0] > DAVIES_LIMIT_MOL_L * (1 + 1e-9):
        said.append(
            f"The ionic strength, {found.ionic_strength_mol_l[0]:.2g} mol/L, is beyond the Davies "
            f"equation; activities are those of {DAVIES_LIMIT_MOL_L:g} mol/L, so numbers are rough."
        )
    if state.oxide_used_up:
        said.append("All zinc oxide dissolves here: this is no formula with a pigment.")
    zinc = float(found.concentration_mol_l[0] @ state.chemistry.count("Zn"))
    if zinc > _IMPOSSIBLE_MOL_L and not state.oxide_used_up:
        said.append(
            "More than 1 mol/L zinc has no meaning as a solution: it says that acid eats the oxide "
            "until it is gone or the pH has risen."
        )
    return tuple(said)


def _counted(water: WaterPhase) -> tuple[str, ...]:
    said = []
    if water.zinc_oxide_percent <= 0:
        said.append(
            "Without zinc oxide a calculated pH hangs on traces and on carbon dioxide of the air: "
            "measure it."
        )
    if water.not_counted:
        said.append(
            f"Not counted, for their ions are not known here: {', '.join(water.not_counted)}."
        )
    if water.solvents_percent > _MANY_SOLVENTS * water.water_percent:
        said.append(
            f"{water.solvents_percent:.3g} % humectants stand beside {water.water_percent:.3g} % "
            "water; the constants are of water alone."
        )
    return tuple(said)
