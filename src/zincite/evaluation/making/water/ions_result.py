"""What `zincite making ions` finds: numbers, shares, curves and advice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.water.acids import AcidTaken
from zincite.evaluation.making.water.chelators import ChelatorShare
from zincite.evaluation.making.water.ion_solving import WaterState
from zincite.evaluation.making.water.preservation import PreservativeFit
from zincite.evaluation.making.water.water_phase import WaterPhase

__all__ = ["Advice", "IonCurve", "IonsResult", "ShareCurve"]

Array = NDArray[np.float64]

_LEVELS = ("act", "watch", "note")


@dataclass(frozen=True, slots=True)
class Advice:
    """One piece of advice.

    Attributes
    ----------
    level : str
        "act": change it; "watch": look at it on the bench; "note": know it.
    topic : str
    sentence : str
        What to do or expect, and why.
    trigger : str
        What in the formula or question raised it.
    """

    level: str
    topic: str
    sentence: str
    trigger: str

    def to_dict(self) -> dict[str, str]:
        """Return what `--json` prints."""
        return {
            "level": self.level,
            "topic": self.topic,
            "advice": self.sentence,
            "trigger": self.trigger,
        }


@dataclass(frozen=True, slots=True)
class ShareCurve:
    """Share of one species of a metal against pH."""

    species: str
    share: Array


@dataclass(frozen=True, slots=True)
class IonCurve:
    """Dissolved metals against pH.

    Attributes
    ----------
    ph, zinc_plain_mg_l, aluminium_mg_l, aluminium_amorphous_mg_l : ndarray, shape (n,)
        Over zinc oxide, gibbsite and amorphous hydroxide in plain water, ideal. [mg/L]
    zinc_mg_l : ndarray or None, shape (n,)
        In the formula's water phase; None where there is none or no zinc oxide.
    zinc_species, aluminium_species : tuple of ShareCurve
        Shares of the dissolved metal; zinc in the formula's water phase where there is one.
    labile_zinc_mg_l : ndarray or None, shape (n,)
        As `zinc_mg_l`, outside chelates.
    oxide_used_up : bool
        Whether the formula's zinc oxide is all dissolved at the acid end.
    """

    ph: Array
    zinc_plain_mg_l: Array
    aluminium_mg_l: Array
    aluminium_amorphous_mg_l: Array
    zinc_mg_l: Array | None
    zinc_species: tuple[ShareCurve, ...]
    aluminium_species: tuple[ShareCurve, ...]
    labile_zinc_mg_l: Array | None = None
    oxide_used_up: bool = False

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints, at quarters of pH."""
        rows = np.isclose(4 * self.ph % 1, 0) | np.isclose(4 * self.ph % 1, 1)
        return {
            "ph": self.ph[rows].tolist(),
            "zinc_plain_water_mg_l": self.zinc_plain_mg_l[rows].tolist(),
            "zinc_mg_l": None if self.zinc_mg_l is None else self.zinc_mg_l[rows].tolist(),
            "aluminium_gibbsite_mg_l": self.aluminium_mg_l[rows].tolist(),
            "aluminium_amorphous_mg_l": self.aluminium_amorphous_mg_l[rows].tolist(),
        }


@dataclass(frozen=True, slots=True)
class IonsResult:
    """Ions in the water phase at one pH, and what follows.

    Attributes
    ----------
    ph : float or None
        Of all numbers here; None without water.
    ph_origin : str
        "asked for", "stated in the formula", "calculated" or "".
    ph_at_equilibrium : float or None
        What the water phase ends at, by electroneutrality, where it can be calculated.
    zinc_mg_l, labile_zinc_mg_l, plain_zinc_mg_l : float or None
        Dissolved in all forms; outside chelates; over zinc oxide in plain water at this pH.
    aluminium_mg_l, aluminium_amorphous_mg_l : float or None
        Over gibbsite, and over fresh amorphous hydroxide as the upper end; None without alumina.
    species : dict of str to dict of str to float
        Share of each dissolved species, by metal. [-]
    acid_to_hold_mmol_kg : float or None
        Acid per kg of water that holding this pH takes; negative for alkali.
    window : (float, float) or None
        pH range to aim at.
    salt_to_coagulation : float or None
        Salt over what flocculates coated oxide in water (trade relation R41). [-]
    exposed_share : float or None
        Share of the pigment surface that is bare, as given.
    """

    ph: float | None
    ph_origin: str
    ph_at_equilibrium: float | None
    zinc_mg_l: float | None
    labile_zinc_mg_l: float | None
    plain_zinc_mg_l: float | None
    aluminium_mg_l: float | None
    aluminium_amorphous_mg_l: float | None
    ionic_strength_mol_l: float | None
    activity: str
    species: dict[str, dict[str, float]]
    curve: IonCurve
    water: WaterPhase | None
    state: WaterState | None
    acid_to_hold_mmol_kg: float | None
    window: tuple[float, float] | None
    salt_to_coagulation: float | None
    exposed_share: float | None
    chelators: tuple[ChelatorShare, ...]
    acids: tuple[AcidTaken, ...]
    preservatives: tuple[PreservativeFit, ...]
    advice: tuple[Advice, ...]
    basis: Basis

    @property
    def has_zinc(self) -> bool:
        """Whether there is zinc in the water phase at all."""
        return bool(self.zinc_mg_l)

    def advice_of(self, level: str) -> tuple[Advice, ...]:
        """Return the advice of one level."""
        return tuple(a for a in self.advice if a.level == level)

    def sorted_advice(self) -> tuple[Advice, ...]:
        """Return the advice, what to change first."""
        return tuple(sorted(self.advice, key=lambda a: _LEVELS.index(a.level)))

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "ph": self.ph,
            "ph_origin": self.ph_origin,
            "ph_at_equilibrium": self.ph_at_equilibrium,
            "zinc_mg_l": self.zinc_mg_l,
            "labile_zinc_mg_l": self.labile_zinc_mg_l,
            "plain_water_zinc_mg_l": self.plain_zinc_mg_l,
            "aluminium_mg_l": self.aluminium_mg_l,
            "aluminium_amorphous_mg_l": self.aluminium_amorphous_mg_l,
            "ionic_strength_mol_l": self.ionic_strength_mol_l,
            "activity": self.activity,
            "species": self.species,
            "acid_to_hold_ph_mmol_kg": self.acid_to_hold_mmol_kg,
            "ph_window": None if self.window is None else list(self.window),
            "salt_to_coagulation": self.salt_to_coagulation,
            "exposed_share": self.exposed_share,
            "water_phase": self._water_dict(),
            "chelators": [c.to_dict() for c in self.chelators],
            "acids": [a.to_dict() for a in self.acids],
            "preservatives": [p.to_dict() for p in self.preservatives],
            "advice": [a.to_dict() for a in self.sorted_advice()],
            "curve": self.curve.to_dict(),
        }

    def _water_dict(self) -> dict[str, object] | None:
        if self.water is None:
            return None
        return {
            "water_percent": self.water.water_percent,
            "zinc_oxide_percent": self.water.zinc_oxide_percent,
            "zinc_oxide_mol_kg_water": self.water.zinc_oxide_mol_per_kg_water,
            "dissolved_mol_kg_water": {
                part.inci: part.mol_per_kg_water for part in self.water.dissolved
            },
            "solids_mol_kg_water": {} if self.state is None else self.state.solids_mol_l(),
            "not_counted": list(self.water.not_counted),
        }
