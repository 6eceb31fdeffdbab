"""Materials and pigment grades: frozen, self-validating domain objects."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from zincite.errors import OutOfRangeError
from zincite.sources import Evidence, Sourced

__all__ = [
    "CORE_DENSITIES_G_ML",
    "CORE_INCI",
    "DISPERSION_SHAPES",
    "Coating",
    "Constituent",
    "Grade",
    "IndexModel",
    "Material",
]

DISPERSION_SHAPES = ("ester", "hydrocarbon", "silicone", "aromatic")
"""Families of liquids whose refractive index falls with wavelength in the same way."""

CORE_DENSITIES_G_ML: dict[str, float] = {
    "zinc-oxide": 5.606,  # McCormick 2011 (trade source S07)
    "titanium-dioxide-rutile": 4.23,  # trade source S90
    "titanium-dioxide-anatase": 3.89,  # crystal density, from memory
    "iron-oxide-red": 5.2,  # from memory
    "iron-oxide-yellow": 4.1,  # from memory
    "iron-oxide-black": 5.2,  # from memory
    "silica": 2.2,  # fused silica, from memory
    "alumina": 3.0,  # hydrated or amorphous coating, from memory
}
"""Densities of core materials. [g/mL]"""

CORE_INCI: dict[str, tuple[str, ...]] = {
    "zinc-oxide": ("Zinc Oxide", "CI 77947"),
    "titanium-dioxide-rutile": ("Titanium Dioxide", "CI 77891"),
    "titanium-dioxide-anatase": ("Titanium Dioxide", "CI 77891"),
    "iron-oxide-red": ("CI 77491",),
    "iron-oxide-yellow": ("CI 77492",),
    "iron-oxide-black": ("CI 77499",),
    "silica": ("Silica",),
    "alumina": ("Alumina",),
}
"""INCI names of core materials, the usual one first; the others are names as a colorant."""


def _require(condition: bool, message: str) -> None:
    if not condition:
        raise OutOfRangeError(message)


@dataclass(frozen=True, slots=True)
class Coating:
    """One layer on the core, given as its share of the coated powder.

    Attributes
    ----------
    inci : str
        INCI name of the coating substance.
    mass_percent : float
        Share of the powder as supplied, 0..100 exclusive. [%]
    density_g_ml, refractive_index : float or None
        Of the layer; None takes the optics' table by INCI name, else an organic layer.
    evidence, source : Evidence, str
        How `mass_percent` is known.
    """

    inci: str
    mass_percent: float
    density_g_ml: float | None = None
    refractive_index: float | None = None
    evidence: Evidence = Evidence.DATA_SHEET
    source: str = ""

    def __post_init__(self) -> None:
        _require(
            math.isfinite(self.mass_percent) and 0 < self.mass_percent < 100,
            f"coating {self.inci!r} says mass_percent = {self.mass_percent}, "
            "expected a number between 0 and 100",
        )


@dataclass(frozen=True, slots=True)
class IndexModel:
    """Parameters of the zinc oxide index model that a grade may set.

    Attributes
    ----------
    gap_eV, binding_meV, urbach_meV : float or None
        Gap energy, exciton binding energy and Urbach slope; None keeps the crystal default.
    """

    gap_eV: float | None = None
    binding_meV: float | None = None
    urbach_meV: float | None = None


@dataclass(frozen=True, slots=True)
class Grade:
    """What makes a pigment powder optically: core, sizes, coating and state of aggregation.

    Attributes
    ----------
    core : str
        Key of `CORE_DENSITIES_G_ML`.
    primary_median_nm, primary_gsd : float
        Lognormal diameter of the cores; the median by `weighting`. [nm], [-]
    weighting : str
        "volume" or "number".
    histogram_nm, histogram_share : tuple of float
        Measured size histogram (by `weighting`) in place of the lognormal, where given.
    coatings : tuple of Coating
        From the core outwards.
    aggregate_fraction : Sourced or None
        Mass share of the pigment in aggregates after ordinary processing; None takes the
        shipped model's distribution.
    aggregate_median_nm : Sourced or None
        Median diameter of those aggregates, by volume.
    supplied_aggregate_fraction, supplied_aggregate_median_nm : Sourced or None
        The same of the powder before any process; None takes assumed ones.
    extinction_nm, extinction_L_g_cm : tuple of float
        Measured decadic specific extinction of the dispersion, where known. [L/(g cm)]
    index_model : IndexModel
        Of ZnO.
    evidence, source : Evidence, str
        How the primary sizes are known.
    """

    core: str
    primary_median_nm: float
    primary_gsd: float = 1.5
    weighting: str = "volume"
    histogram_nm: tuple[float, ...] = ()
    histogram_share: tuple[float, ...] = ()
    coatings: tuple[Coating, ...] = ()
    aggregate_fraction: Sourced | None = None
    aggregate_median_nm: Sourced | None = None
    supplied_aggregate_fraction: Sourced | None = None
    supplied_aggregate_median_nm: Sourced | None = None
    extinction_nm: tuple[float, ...] = ()
    extinction_L_g_cm: tuple[float, ...] = ()
    index_model: IndexModel = field(default_factory=IndexModel)
    evidence: Evidence = Evidence.DATA_SHEET
    source: str = ""

    def __post_init__(self) -> None:
        known = ", ".join(CORE_DENSITIES_G_ML)
        _require(
            self.core in CORE_DENSITIES_G_ML,
            f"grade says core = {self.core!r}, expected one of {known}",
        )
        _require(
            math.isfinite(self.primary_median_nm) and 1 <= self.primary_median_nm <= 20_000,
            f"grade says primary_median_nm = {self.primary_median_nm}, expected 1 to 20000 nm",
        )
        _require(
            math.isfinite(self.primary_gsd) and 1.0 <= self.primary_gsd <= 4.0,
            f"grade says primary_gsd = {self.primary_gsd}, expected 1.0 to 4.0",
        )
        _require(
            self.weighting in ("volume", "number"),
            f"grade says weighting = {self.weighting!r}, expected 'volume' or 'number'",
        )
        _require(
            len(self.histogram_nm) == len(self.histogram_share),
            f"grade histogram has {len(self.histogram_nm)} sizes and "
            f"{len(self.histogram_share)} shares, expected as many of each",
        )
        _require(
            all(math.isfinite(d) and 1 <= d <= 20_000 for d in self.histogram_nm)
            and all(math.isfinite(s) and s >= 0 for s in self.histogram_share)
            and (not self.histogram_share or sum(self.histogram_share) > 0),
            "grade histogram needs diameters of 1 to 20000 nm and shares >= 0 "
            "that are not all zero",
        )
        _require(
            len(self.extinction_nm) == len(self.extinction_L_g_cm)
            and all(math.isfinite(e) and e > 0 for e in self.extinction_L_g_cm)
            and all(250 <= w <= 800 for w in self.extinction_nm),
            "grade extinction needs as many wavelengths (250 to 800 nm) as values (> 0 L/(g cm))",
        )
        total = sum(c.mass_percent for c in self.coatings)
        _require(
            total < 60, f"grade's coatings add up to {total:g} % of the powder, expected below 60 %"
        )
        for name in ("aggregate_fraction", "supplied_aggregate_fraction"):
            share = getattr(self, name)
            _require(
                share is None or 0 <= share.value <= 1,
                f"grade says {name} = {share and share.value}, expected 0 to 1",
            )
        for name in ("aggregate_median_nm", "supplied_aggregate_median_nm"):
            median = getattr(self, name)
            _require(
                median is None or 20 <= median.value <= 50_000,
                f"grade says {name} = {median and median.value}, expected 20 to 50000 nm",
            )

    @property
    def core_density_g_ml(self) -> float:
        """Density of the bare core, in g/mL."""
        return CORE_DENSITIES_G_ML[self.core]

    @property
    def core_mass_fraction(self) -> float:
        """Share of the coated powder that is core, 0 to 1."""
        return 1.0 - sum(c.mass_percent for c in self.coatings) / 100.0


@dataclass(frozen=True, slots=True)
class Constituent:
    """One part of a blend: another material of the library or a substance by INCI name."""

    material: str
    percent: float

    def __post_init__(self) -> None:
        _require(
            math.isfinite(self.percent) and 0 < self.percent <= 100,
            f"constituent {self.material!r} says {self.percent} %, expected above 0 to 100",
        )


@dataclass(frozen=True, slots=True)
class Material:
    """A material card.

    Attributes
    ----------
    id : str
        INCI name in lower case with hyphens; size and coating appended for grades.
    inci : str
        INCI name as it stands in the ingredient list.
    functions : tuple of str
        What it does, in the trade's words.
    phase : str
        Usual phase: oil, water, pigment or cool-down.
    properties : dict of str to Sourced
        Values by name with unit in the name, such as `density_g_ml`, `refractive_index`,
        `viscosity_mPas`, `spreading_mm2_10min`, `interfacial_tension_mN_m`, `hlb`,
        `natural_origin_index`, `oil_absorption_g_100g`, `melting_point_C`, `price_per_kg`,
        `use_low_percent`/`use_high_percent`.
    volatile : bool
        Whether it leaves the film while it dries on skin.
    uv_absorbing : bool
        Whether it absorbs UV itself, so that the "mineral only" model does not hold.
    natural_basis : str
        Why the natural origin index is what it is.
    composition : tuple of Constituent
        Parts of a blend, summing to 100 %; empty for a single material.
    grade : Grade or None
        Optical description of a pigment.
    notes : str
        Anything a chemist should know.
    dispersion_shape : str
        One of `DISPERSION_SHAPES`: how the refractive index of a liquid runs with wavelength.
    composition_evidence, composition_source : Evidence, str
        How the shares of `composition` are known.
    """

    id: str
    inci: str
    functions: tuple[str, ...] = ()
    phase: str = "oil"
    properties: dict[str, Sourced] = field(default_factory=dict)
    volatile: bool = False
    uv_absorbing: bool = False
    natural_basis: str = ""
    composition: tuple[Constituent, ...] = ()
    grade: Grade | None = None
    notes: str = ""
    dispersion_shape: str = "ester"
    composition_evidence: Evidence = Evidence.DATA_SHEET
    composition_source: str = ""

    def __post_init__(self) -> None:
        _require(bool(self.id) and " " not in self.id, f"material id {self.id!r} holds a space")
        _require(bool(self.inci), f"material {self.id!r} has no INCI name")
        _require(
            self.dispersion_shape in DISPERSION_SHAPES,
            f"material {self.id!r} says dispersion_shape = {self.dispersion_shape!r}, "
            f"expected one of {', '.join(DISPERSION_SHAPES)}",
        )
        if self.composition:
            total = sum(part.percent for part in self.composition)
            _require(
                abs(total - 100) <= 0.01,
                f"composition of {self.id!r} sums to {total:g} %, expected 100 %",
            )
            _require(
                self.grade is None,
                f"material {self.id!r} has both a composition and a grade, expected one of them",
            )

    def property_value(self, name: str) -> float | None:
        """Return a property's best value, or None where the card has none."""
        found = self.properties.get(name)
        return None if found is None else found.value
