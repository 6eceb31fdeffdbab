"""Constants of ions in water: components, complexes, solids, acids, and what materials give."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.errors import InputError, MissingDataError

__all__ = [
    "Acid",
    "Complex",
    "Component",
    "Dissolving",
    "Mineral",
    "Preservative",
    "Sensitivity",
    "acids",
    "complexes",
    "components",
    "dissolving",
    "minerals",
    "molar_mass_g_mol",
    "preservatives",
    "sensitivities",
]

_PART = re.compile(r"([A-Z][a-z]?|\(|\))(\d*)")


@dataclass(frozen=True, slots=True)
class Component:
    """A building block of species: name, charge number, free form and name in a sentence."""

    name: str
    charge: int
    free_form: str
    shown: str


@dataclass(frozen=True, slots=True)
class Complex:
    """A species that components form.

    Attributes
    ----------
    name : str
    parts : mapping of str to int
        Count of each component; H negative for OH-.
    log10_beta : float
        At `ionic_strength_mol_l` and 25 degC. [-]
    ionic_strength_mol_l : float
    status, source : str
        "literature", "calculated" or "from memory"; keys of sources.
    """

    name: str
    parts: Mapping[str, int]
    log10_beta: float
    ionic_strength_mol_l: float
    status: str
    source: str

    @property
    def is_assumed(self) -> bool:
        """Whether the constant was remembered, not read."""
        return self.status == "from memory"


@dataclass(frozen=True, slots=True)
class Mineral:
    """A solid: formula, what it gives on dissolving, and the constant of that."""

    name: str
    formula: str
    parts: Mapping[str, int]
    log10_k: float
    status: str
    source: str


@dataclass(frozen=True, slots=True)
class Dissolving:
    """A material that dissolves: molar mass, components given, crystal water set free."""

    inci: str
    molar_mass_g_mol: float
    gives: Mapping[str, int]
    water: int


@dataclass(frozen=True, slots=True)
class Acid:
    """An acid that zinc oxide takes.

    Attributes
    ----------
    inci : str
    protons_mol_g : float
        Protons that one gram gives to zinc oxide.
    is_fatty : bool
        Whether its zinc salt stays in the oil phase and thickens it.
    is_assumed : bool
        Whether the protons follow from a remembered acid value, not from the structure.
    """

    inci: str
    protons_mol_g: float
    is_fatty: bool
    is_assumed: bool


@dataclass(frozen=True, slots=True)
class Preservative:
    """A preservative: its acid's component, or the pH range in which it works."""

    inci: str
    acid: str
    ph_low: float | None
    ph_high: float | None
    remark: str


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Words in an INCI name that tell a material which zinc ions harm."""

    words: str
    without: str
    group: str
    level: str
    reason: str
    source: str

    def fits(self, inci: str) -> bool:
        """Whether the words stand in the name."""
        name = inci.lower()
        return self.words in name and not (self.without and self.without in name)


@lru_cache(maxsize=1)
def _weights() -> dict[str, float]:
    rows = read_rows("chemistry/atomic_weights.csv")
    return {row["element"]: float(row["weight_g_mol"]) for row in rows}


def molar_mass_g_mol(formula: str) -> float:
    """Return the molar mass of a chemical formula.

    Parameters
    ----------
    formula : str
        Elements, counts and brackets, such as "MgSO4(H2O)7".

    Raises
    ------
    InputError
        If it cannot be read or an element has no weight.

    Examples
    --------
    >>> round(molar_mass_g_mol("MgSO4(H2O)7"), 2), round(molar_mass_g_mol("ZnO"), 2)
    (246.47, 81.38)
    """
    masses = [0.0]
    parts = _PART.findall(formula)
    if "".join(symbol + count for symbol, count in parts) != formula or not formula:
        raise InputError(f"formula {formula!r} cannot be read, expected such as MgSO4(H2O)7")
    for symbol, count in parts:
        if symbol == "(":
            masses.append(0.0)
            continue
        if symbol == ")":
            if len(masses) < 2:
                raise InputError(f"formula {formula!r} closes a bracket that is not open")
            one = masses.pop()
        elif symbol in _weights():
            one = _weights()[symbol]
        else:
            raise InputError(f"formula {formula!r} holds {symbol}, which has no atomic weight")
        masses[-1] += one * int(count or 1)
    if len(masses) != 1:
        raise InputError(f"formula {formula!r} leaves a bracket open")
    return masses[0]


@lru_cache(maxsize=1)
def components() -> Mapping[str, Component]:
    """Return all components by name, in order."""
    return MappingProxyType({
        row["component"]: Component(
            row["component"], int(row["charge"]), row["free_form"], row["shown"]
        )
        for row in read_rows("chemistry/components.csv")
    })  # fmt: skip


def _parts(row: dict[str, str]) -> Mapping[str, int]:
    found = {
        row["metal"]: int(row["n_metal"]),
        row["ligand"]: int(row["n_ligand"]),
        "H": int(row["n_H"]),
    }
    kept = {name: count for name, count in found.items() if name and count}
    unknown = [name for name in kept if name not in components()]
    if unknown:
        raise MissingDataError(f"{unknown[0]!r} is no component, expected one of components()")
    return MappingProxyType(kept)


@lru_cache(maxsize=4)
def complexes(*, near_mol_l: float = 0.0) -> tuple[Complex, ...]:
    """Return all complexes, each once, the components themselves not among them.

    Parameters
    ----------
    near_mol_l : float
        Where constants of several ionic strengths are known, the one nearest to this is taken.
    """
    found: dict[str, Complex] = {}
    for row in read_rows("chemistry/stability_constants.csv"):
        one = Complex(
            row["species"],
            _parts(row),
            float(row["log10_beta"]),
            float(row["ionic_strength_mol_l"]),
            row["status"],
            row["source"],
        )
        before = found.get(one.name)
        if before is None or abs(one.ionic_strength_mol_l - near_mol_l) < abs(
            before.ionic_strength_mol_l - near_mol_l
        ):
            found[one.name] = one
    return tuple(found.values())


@lru_cache(maxsize=1)
def minerals() -> Mapping[str, Mineral]:
    """Return all solids by name."""
    return MappingProxyType({
        row["solid"]: Mineral(
            row["solid"], row["formula"], _parts(row), float(row["log10_k"]), row["status"],
            row["source"],
        )
        for row in read_rows("chemistry/solids.csv")
    })  # fmt: skip


@lru_cache(maxsize=1)
def dissolving() -> Mapping[str, Dissolving]:
    """Return what dissolves into ions, by INCI name in lower case."""
    found = {}
    for row in read_rows("chemistry/dissolving.csv"):
        pairs = (part.split(":") for part in row["gives"].split())
        gives = {name: int(count) for name, count in pairs}
        found[row["inci"].lower()] = Dissolving(
            row["inci"],
            molar_mass_g_mol(row["formula"]),
            MappingProxyType(gives),
            int(row["water"]),
        )
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def acids() -> Mapping[str, Acid]:
    """Return the acids that zinc oxide takes, by INCI name in lower case."""
    found = {}
    for row in read_rows("chemistry/acids.csv"):
        if row["formula"]:
            protons = int(row["protons"]) / molar_mass_g_mol(row["formula"])
        else:  # an acid value counts mg of KOH, and its potassium hydroxide takes one proton each
            protons = float(row["acid_value_mg_koh_g"]) / 1000 / molar_mass_g_mol("KOH")
        found[row["inci"].lower()] = Acid(
            row["inci"], protons, row["soap"] == "yes", not row["formula"]
        )
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def preservatives() -> Mapping[str, Preservative]:
    """Return preservatives and multifunctionals with their pH ranges, by name in lower case."""
    return MappingProxyType({
        row["inci"].lower(): Preservative(
            row["inci"],
            row["acid"],
            float(row["ph_low"]) if row["ph_low"] else None,
            float(row["ph_high"]) if row["ph_high"] else None,
            row["remark"],
        )
        for row in read_rows("chemistry/preservatives.csv")
    })  # fmt: skip


@lru_cache(maxsize=1)
def sensitivities() -> tuple[Sensitivity, ...]:
    """Return the words that tell materials which zinc ions harm; the first that fits counts."""
    return tuple(Sensitivity(**row) for row in read_rows("chemistry/zinc_sensitive.csv"))
