"""A process as written and changed: state of each grade, film and exposed surface."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.stress.damage import ExposedSurface
from zincite.evaluation.making.stress.energy import StepEnergy
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics
from zincite.evaluation.making.stress.process_state import StateRule

__all__ = ["CaseOptics", "Deagglomeration", "GradeState", "ProcessCase"]


@dataclass(frozen=True, slots=True)
class GradeState:
    """One grade after a process.

    Attributes
    ----------
    material : str
    percent : float
        In the formula. [%]
    share : Estimate
        Of the pigment in aggregates. [%]
    median_nm : Estimate
        Of these aggregates.
    rule : StateRule
        Where it comes from, for the process as written.
    """

    material: str
    percent: float
    share: Estimate
    median_nm: Estimate
    rule: StateRule

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "material": self.material,
            "percent": self.percent,
            "aggregate_percent": self.share.to_dict(),
            "fines_percent": 100 - self.share.median,
            "aggregate_median_nm": self.median_nm.to_dict(),
            "state_from": str(self.rule),
            "assumed": self.share.assumed,
        }


@dataclass(frozen=True, slots=True)
class CaseOptics:
    """What the film of a case does.

    Attributes
    ----------
    spf, uva_pf, delta_l : Estimate
        dL* on the skin asked for where the cast is worst.
    skin : str
        That skin class.
    spf_change_percent, delta_l_change : Estimate or None
        Against the process as written, draw by draw; None for that one.
    """

    spf: Estimate
    uva_pf: Estimate
    delta_l: Estimate
    skin: str
    spf_change_percent: Estimate | None = None
    delta_l_change: Estimate | None = None

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        changes = {"spf_change_percent": self.spf_change_percent, "delta_l_change":
                   self.delta_l_change}  # fmt: skip
        return {
            "spf": self.spf.to_dict(),
            "uva_pf": self.uva_pf.to_dict(),
            "delta_l": self.delta_l.to_dict(),
            "delta_l_skin": self.skin,
            **{key: found.to_dict() for key, found in changes.items() if found is not None},
        }


@dataclass(frozen=True, slots=True)
class ProcessCase:
    """A process, as written or changed.

    Attributes
    ----------
    name : str
        "as written", or the change in words.
    energies : tuple of StepEnergy
    main : StepEnergy
        The step that frees most.
    grades : tuple of GradeState
        The largest first.
    exposed : tuple of ExposedSurface
    optics : CaseOptics or None
        None where not asked for.
    """

    name: str
    energies: tuple[StepEnergy, ...]
    main: StepEnergy
    grades: tuple[GradeState, ...]
    exposed: tuple[ExposedSurface, ...]
    optics: CaseOptics | None

    @property
    def energy_J_mL(self) -> float:  # noqa: N802
        """Energy of all steps on pigment that free any. [J/mL]"""
        free = assumed_kinetics()
        return sum(
            s.energy_J_mL
            for s in self.energies
            if s.device in free and s.contents.pigment_percent > 0
        )

    @property
    def exposed_m2_kg(self) -> float:
        """Uncoated surface that the process laid bare or left, of all pigments. [m2/kg]"""
        return sum(part.area_m2_kg.median for part in self.exposed)

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "case": self.name,
            "energy_J_mL": self.energy_J_mL,
            "main_step": self.main.contents.number,
            "steps": [step.to_dict() for step in self.energies],
            "grades": [grade.to_dict() for grade in self.grades],
            "exposed": [part.to_dict() for part in self.exposed],
            "exposed_m2_per_kg_product": self.exposed_m2_kg,
            "optics": None if self.optics is None else self.optics.to_dict(),
        }


@dataclass(frozen=True, slots=True)
class Deagglomeration:
    """A formula's process and changes of it.

    Attributes
    ----------
    cases : tuple of ProcessCase
        As written first.
    kinetics : dict of str to DeviceKinetics
        Of all devices.
    asked : bool
        Whether a change was asked for, in place of the usual ones.
    basis : Basis
    """

    cases: tuple[ProcessCase, ...]
    kinetics: dict[str, DeviceKinetics]
    asked: bool
    basis: Basis

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        used = {case.main.device for case in self.cases}
        return {
            "cases": [case.to_dict() for case in self.cases],
            "devices": [self.kinetics[key].to_dict() for key in self.kinetics if key in used],
        }
