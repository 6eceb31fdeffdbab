"""How fast drops and lumps of pigment settle, and what yield stress would hold them."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.emulsions import emulsion_constant
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.emulsions.emulsion_phases import EmulsionPhases
from zincite.evaluation.making.stress.process_state import aggregates_as_made
from zincite.formula.defaults import powder_density_g_ml
from zincite.formula.formula import Formula
from zincite.formula.material import Grade, Material
from zincite.formula.substances import leaves
from zincite.physics.colloids import (
    hindrance,
    peclet_number,
    stokes_velocity_m_s,
    yield_stress_to_hold_Pa,
)

__all__ = ["MM_A_DAY", "VISIBLE_MM_DAY", "Settling", "SettlingBody", "settling"]

MM_A_DAY = 86400e3
"""From m/s."""

VISIBLE_MM_DAY = 1.0
"""Speed above which sinking shows within weeks, assumed. [mm/d]"""

_LUMPS_UM = (0.2, 1.0, 5.0)  # of trade relation R15
_GELLING = ("oil gellant", "organoclay", "wax", "W/O stabiliser", "structurant",
            "oil-phase gellant")  # fmt: skip
_THICKENING = ("water thickener",)


@dataclass(frozen=True, slots=True)
class SettlingBody:
    """A drop or lump.

    Attributes
    ----------
    name : str
    diameter_um : float
    density_difference_kg_m3 : float
        Less that of the liquid; negative rises.
    medium_mPas : float
        Viscosity of the liquid, without structure. [mPa s]
    crowd : float
        Volume share of what hinders it. [-]
    lone_mm_day, hindered_mm_day : float
        Speed alone and in the crowd; negative rises. [mm/d]
    needs_low_Pa, needs_high_Pa : float
        Yield stress that holds it. [Pa]
    is_lump : bool
    """

    name: str
    diameter_um: float
    density_difference_kg_m3: float
    medium_mPas: float
    crowd: float
    lone_mm_day: float
    hindered_mm_day: float
    needs_low_Pa: float
    needs_high_Pa: float
    is_lump: bool

    def held(self, yield_stress_Pa: float | None) -> str:
        """Return "held", "perhaps", "not held", or "" without a measured yield stress."""
        if yield_stress_Pa is None:
            return ""
        if yield_stress_Pa >= self.needs_high_Pa:
            return "held"
        return "perhaps" if yield_stress_Pa >= self.needs_low_Pa else "not held"


@dataclass(frozen=True, slots=True)
class Settling:
    """Settling of all bodies.

    Attributes
    ----------
    bodies : tuple of SettlingBody
    crowd : float
        Volume share that hinders lumps: drops, pigment and structurants. [-]
    yield_stress_Pa : float or None
        Measured. [Pa]
    gellants : tuple of (str, float)
        What can give a yield stress, with its percent.
    lumps_inside : bool
        Whether lumps sit inside the drops and do not settle on their own.
    """

    bodies: tuple[SettlingBody, ...]
    crowd: float
    yield_stress_Pa: float | None
    gellants: tuple[tuple[str, float], ...]
    lumps_inside: bool

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        names = [n for n in SettlingBody.__slots__ if n != "is_lump"]
        return {
            "crowd_volume_fraction": self.crowd,
            "yield_stress_Pa": self.yield_stress_Pa,
            "gellants": [{"inci": name, "percent": share} for name, share in self.gellants],
            "bodies": [
                {
                    **{name: getattr(body, name) for name in names},
                    "held": body.held(self.yield_stress_Pa) or None,
                }
                for body in self.bodies
            ],
        }


def settling(
    formula: Formula,
    phases: EmulsionPhases,
    d32_um: Estimate | None,
    yield_stress_Pa: float | None = None,
    *,
    stands: bool = True,
) -> Settling:
    """Return how drops and lumps settle.

    Parameters
    ----------
    formula : Formula
    phases : EmulsionPhases
    d32_um : Estimate or None
        Of the drops, None where there are none. [um]
    yield_stress_Pa : float, optional
        Measured. [Pa]
    stands : bool
        Whether such a product can be expected at all; else nothing settles in it.

    Notes
    -----
    Stokes, hindered (trade relations R15, R16), in the plain liquid: the oil without its
    structure for lumps, with its pigment for drops, water for drops of oil. Lumps are taken as
    solid pigment; one that holds oil sinks slower.
    """
    oil_in_water = phases.emulsion == "oil-in-water"
    crowd = 1 - phases.liquid_mL / phases.volume_mL
    bodies = []
    drop = None if d32_um is None else _drop(phases, d32_um.median)
    if drop is not None:
        bodies.append(drop)
    main = _main_pigment(formula)
    if main is not None and stands and not oil_in_water:
        bodies += _lumps(*main, aggregates_as_made(formula)[main[0].id], phases, crowd)
    names = _THICKENING if oil_in_water else _GELLING
    gellants = tuple(
        (m.inci, share)
        for m, share in leaves(formula)
        if share > 0 and set(names) & set(m.functions)
    )
    inside = main is not None and oil_in_water
    return Settling(tuple(bodies), crowd, yield_stress_Pa, gellants, inside)


def _drop(phases: EmulsionPhases, d32_um: float) -> SettlingBody | None:
    water, oil = phases.water_density_g_ml, phases.oil_phase_density_g_ml
    around, viscosity = phases.liquid_density_g_ml, phases.oil_phase_mPas
    inside = water
    if phases.emulsion == "oil-in-water":
        inside, around, viscosity = oil, water, phases.water_mPas
    if not phases.has_both or inside is None or around is None or viscosity is None:
        return None
    if phases.emulsion == "water-in-oil" and oil is not None:
        around = oil  # fine pigment moves with its oil
    kind = "oil drop" if phases.emulsion == "oil-in-water" else "water drop"
    difference = 1e3 * (inside - around)
    return _body(f"{kind}, d32", d32_um, difference, (viscosity, phases.drop_fraction), lump=False)


def _body(
    name: str, diameter_um: float, difference: float, around: tuple[float, float], *, lump: bool
) -> SettlingBody:
    """Return a body; `around` is the liquid's viscosity [mPa s] and the crowd's share [-]."""
    viscosity, crowd = around
    size = diameter_um * 1e-6
    lone = float(stokes_velocity_m_s(difference, size, viscosity * 1e-3)) * MM_A_DAY
    slowed = float(hindrance(crowd, peclet_number(difference, size)))
    criterion = emulsion_constant("yield_criterion")
    low, high = (
        float(yield_stress_to_hold_Pa(difference, size, y or criterion.value))
        for y in (criterion.low, criterion.high)
    )
    return SettlingBody(
        name, diameter_um, difference, viscosity, crowd, lone, lone * slowed, low, high, lump
    )


def _main_pigment(formula: Formula) -> tuple[Material, Grade] | None:
    """Return the pigment with the largest mass, None without one."""
    found = [(m, share) for m, share in leaves(formula) if m.grade is not None and share > 0]
    if not found:
        return None
    material = max(found, key=lambda item: item[1])[0]
    return None if material.grade is None else (material, material.grade)


def _lumps(
    material: Material,
    grade: Grade,
    made: tuple[float, float],
    phases: EmulsionPhases,
    crowd: float,
) -> list[SettlingBody]:
    oil, viscosity = phases.liquid_density_g_ml, phases.liquid_mPas
    if oil is None or viscosity is None:
        return []
    density = material.property_value("density_g_ml") or powder_density_g_ml(grade)
    share, size_nm = made
    sizes = [(f"lump of {d:g} um", d) for d in _LUMPS_UM]
    sizes.append((f"aggregates as made ({100 * share:.0f} % of pigment)", size_nm / 1e3))
    return [
        _body(name, size, 1e3 * (density - oil), (viscosity, crowd), lump=True)
        for name, size in sorted(sizes, key=lambda item: item[1])
    ]
