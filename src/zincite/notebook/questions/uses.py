"""Where something was used: trials with their weights, formula versions with their shares."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from zincite.notebook.lots import LotRecord
from zincite.notebook.questions.readings import Reading
from zincite.notebook.questions.states import State

__all__ = ["FormulaUse", "LotUse", "MaterialUse", "TrialUse", "UsedWeight"]


@dataclass(frozen=True, slots=True)
class UsedWeight:
    """A weight in a trial.

    Attributes
    ----------
    phase, material_key : str
    lot : str
        Code, "" where none was noted.
    target_g, actual_g : float or None
        [g]
    """

    phase: str
    material_key: str
    lot: str
    target_g: float | None
    actual_g: float | None


@dataclass(frozen=True, slots=True)
class TrialUse:
    """A trial in which something was used.

    Attributes
    ----------
    trial, made_on, made_by, formula : str
        Code, day, name, and formula version such as "K-07@2".
    withdrawn : str
        Reason, "" where it stands.
    weights : tuple of UsedWeight
        Of what was asked for.
    readings : tuple of Reading
        What the trial measured: the figures that it is known by.
    """

    trial: str
    made_on: str
    made_by: str
    formula: str
    withdrawn: str
    weights: tuple[UsedWeight, ...]
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class FormulaUse:
    """A formula version in which a material is used.

    Attributes
    ----------
    formula, name : str
        Such as "K-07@2", and its name.
    percent : float
        Of the material; of its part where it comes in a blend. [% of the formula]
    as_material : tuple of str
        Keys under which it is weighed: its own, or of blends that hold it.
    current : bool
        Whether it counts today: the latest released, or the latest that is not dropped.
    state : State
        Open, dropped or released.
    withdrawn : str
    """

    formula: str
    name: str
    percent: float
    as_material: tuple[str, ...]
    current: bool
    state: State
    withdrawn: str


@dataclass(frozen=True, slots=True)
class LotUse:
    """Where a lot went.

    Attributes
    ----------
    lot : LotRecord
    trial_count : int
        All trials, those not listed too.
    trials : tuple of TrialUse
        The latest first.
    """

    lot: LotRecord
    trial_count: int
    trials: tuple[TrialUse, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "lot": self.lot.to_dict(),
            "trial_count": self.trial_count,
            "trials": [asdict(use) for use in self.trials],
        }


@dataclass(frozen=True, slots=True)
class MaterialUse:
    """Where a material is used, itself or in a blend.

    Attributes
    ----------
    material : str
        Key.
    carriers : dict of str to float
        Keys under which it is weighed, with its mass fraction. [-]
    formula_count, trial_count : int
        All of them, those not listed too.
    formulas : tuple of FormulaUse
        The latest first.
    trials : tuple of TrialUse
        The latest first.
    """

    material: str
    carriers: dict[str, float]
    formula_count: int
    trial_count: int
    formulas: tuple[FormulaUse, ...]
    trials: tuple[TrialUse, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return asdict(self)
