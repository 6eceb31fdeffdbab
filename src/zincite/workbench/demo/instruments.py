"""The demo's instruments: raw files as an invented laboratory would hand them over."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.particles import AGGREGATE_GSD, AGGREGATE_SOLID_FRACTION
from zincite.physics.photoprotection import UV_GRID_NM
from zincite.workbench.demo.hidden_laboratory import Truth, random_of
from zincite.workbench.demo.story import DemoTrial

__all__ = ["INSTRUMENTS", "file_name", "measured_file"]

Array = NDArray[np.float64]

_PLATES, _SPOTS = 4, 5
_PLATE_SPREAD, _SPOT_SPREAD, _NOISE = 0.035, 0.03, 0.0015
_TILT = 0.012  # of a plate's spectrum towards either end: evenness differs from plate to plate
_PEOPLE_SPREAD = 0.17  # ln SPF from person to person; valid panels have a CV of 15 to 25 %
_FIRST_MED_MJ_CM2, _FIRST_DARKENING_J_CM2 = 20.0, 8.0
_DOSE_STEP, _FINE_STEP = 1.25, 1.12
_SKINS = ("tan", "brown", "dark")
_YIELD_SHARE, _EXPONENT = 0.35, 0.45  # of the flow curve at 1/s
_SIZES_NM = np.geomspace(20, 12_000, 70)
_DROPS, _DROP_GSD = 300, 1.45


def file_name(trial: DemoTrial, kind: str) -> str:
    """Return the name of a raw file, such as "OF-T01-viscosity.csv"."""
    return f"{trial.code}-{kind}.csv"


def measured_file(trial: DemoTrial, truth: Truth, kind: str, people: int = 0) -> bytes:
    """Return the raw file of a test, the same in every run.

    Parameters
    ----------
    trial : DemoTrial
    truth : Truth
        Of that trial.
    kind : str
        One of `INSTRUMENTS`.
    people : int
        Size of the panel of a test on people.
    """
    random = random_of(trial.code, kind)
    head = [
        "Invented laboratory, invented trials: no such product, laboratory or test exists",
        f"Sample {trial.code} of {trial.version}, made on {trial.made_on}",
    ]
    lines = INSTRUMENTS[kind](truth, random, people)
    return ("\n".join([*head, *lines]) + "\n").encode()


def _readings(name: str, unit: str, truth: float, spread: float, random: np.random.Generator,
              digits: int) -> list[str]:  # fmt: skip
    header = f"{name} ({unit})" if unit else name
    values = truth * (1 + spread * random.standard_normal(3))
    return [f"reading,{header}", *(f"{n},{v:.{digits}f}" for n, v in enumerate(values, start=1))]


def _viscosity(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    return _readings("viscosity", "mPa s", truth.viscosity_mPas, 0.03, random, 0)


def _density(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    return _readings("density", "g/mL", truth.density_g_ml, 0.002, random, 4)


def _ph(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    return _readings("pH", "", truth.ph, 0.004, random, 2)


def _drops(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    """Return a count under the microscope whose d32 is the truth's but for chance."""
    spread = math.log(_DROP_GSD)
    middle = math.log(truth.drop_um) - 2.5 * spread**2  # median by number from d32
    found = np.exp(middle + spread * random.standard_normal(_DROPS))
    edges = np.geomspace(0.2, 19.5, 31)
    counts = np.histogram(np.clip(found, edges[0], edges[-1]), edges)[0]
    middles = np.sqrt(edges[1:] * edges[:-1])
    rows = (f"{d:.3f},{n}" for d, n in zip(middles, counts, strict=True))
    return [f"Drops under the microscope, {_DROPS} counted", "Diameter (um),Number", *rows]


def _size(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    """Return laser diffraction of the mill base: free particles and aggregates by volume."""
    grade = truth.pigment.grade
    assert grade is not None  # the pigment is a powder
    share, median = truth.aggregates
    lumps = share / AGGREGATE_SOLID_FRACTION
    logs = np.log(_SIZES_NM)
    found = (1 - share) * _bell(logs, grade.primary_median_nm, grade.primary_gsd)
    found += lumps * _bell(logs, median, AGGREGATE_GSD)
    found *= np.exp(0.02 * random.standard_normal(found.size))
    rows = (
        f"{d:.1f};{v:.4f}".replace(".", ",")
        for d, v in zip(_SIZES_NM, 100 * found / found.sum(), strict=True)
    )
    return [f"Laser diffraction of the mill base, {truth.pigment.inci}", "Diameter (nm);Volume (%)",
            *rows]  # fmt: skip


def _bell(logs: Array, median_nm: float, gsd: float) -> Array:
    bell = np.exp(-0.5 * ((logs - math.log(median_nm)) / math.log(gsd)) ** 2)
    return np.asarray(bell / bell.sum())


def _flow(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    rates = np.geomspace(0.1, 200, 18)
    at_one = truth.viscosity_mPas / 1000
    stress = at_one * (_YIELD_SHARE + (1 - _YIELD_SHARE) * rates**_EXPONENT)
    stress *= np.exp(0.015 * random.standard_normal(rates.size))
    rows = (f"{rate:.4g},{tau:.4g}" for rate, tau in zip(rates, stress, strict=True))
    return ["Temperature 25 degC", "Shear rate (1/s),Shear stress (Pa)", *rows]


def _uva(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    """Return plates before and after irradiation in one file."""
    plates = np.exp(_PLATE_SPREAD * random.standard_normal(_PLATES))[:, None]
    spots = np.exp(_SPOT_SPREAD * random.standard_normal((_PLATES, _SPOTS)))
    before = (plates * spots).reshape(-1, 1) * truth.absorbance
    slope = np.repeat(_TILT * random.standard_normal(_PLATES), _SPOTS)[:, None]
    before *= 1 + slope * (UV_GRID_NM - 345) / 55
    after = before * truth.kept * np.exp(0.005 * random.standard_normal((before.shape[0], 1)))
    both = np.vstack([before, after])
    both += _NOISE * random.standard_normal(both.shape)
    names = [
        f"Plate {plate} spot {spot} {state}"
        for state in ("before", "after")
        for plate in range(1, _PLATES + 1)
        for spot in range(1, _SPOTS + 1)
    ]
    rows = (
        f"{wavelength:.0f}," + ",".join(f"{a:.4f}" for a in column)
        for wavelength, column in zip(UV_GRID_NM, both.T, strict=True)
    )
    return ["Absorbance, before and after irradiation", "Wavelength (nm)," + ",".join(names), *rows]


def _colour(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    rows = []
    for number in range(9):
        bare, film = truth.skin[_SKINS[number % 3]]
        own = np.array([1.2, 0.6, 0.8]) * random.standard_normal(3)
        for state, colour in (("before", bare), ("after", film)):
            L, a, b = colour + own + 0.25 * random.standard_normal(3)
            rows.append(f"C{number + 1:02d},{state},{L:.2f},{a:.2f},{b:.2f}")
    return ["Illuminant D65, observer 10 deg", "subject,condition,L*,a*,b*", *rows]


def _contrast(truth: Truth, random: np.random.Generator, _: int) -> list[str]:
    rows = []
    for card in range(1, 5):
        white = 79 + 0.5 * random.standard_normal()
        black = white * truth.contrast_percent / 100 + 0.3 * random.standard_normal()
        rows.append(f"{card},{black:.1f},{white:.1f}")
    return ["card,Y over black,Y over white", *rows]


def _spf(truth: Truth, random: np.random.Generator, people: int) -> list[str]:
    factors = _on_people(truth.spf, random, people)
    ita = _skin_angles(random, people)
    rows = []
    for number, (factor, angle) in enumerate(zip(factors, ita, strict=True), start=1):
        bare = _FIRST_MED_MJ_CM2 * _DOSE_STEP ** random.integers(0, 3)
        step = _FINE_STEP if truth.spf > 25 else _DOSE_STEP
        rows.append(f"S{number:02d},{bare:.4g},{_next_dose(bare, factor, step):.4g},{angle:.0f}")
    return ["subject,med_unprotected (mJ/cm2),med_protected (mJ/cm2),ita_deg", *rows]


def _uva_pf(truth: Truth, random: np.random.Generator, people: int) -> list[str]:
    rows = []
    for number, factor in enumerate(_on_people(truth.uva_pf, random, people), start=1):
        bare = _FIRST_DARKENING_J_CM2 * _DOSE_STEP ** random.integers(1, 4)
        rows.append(f"V{number:02d},{bare:.4g},{_next_dose(bare, factor, _DOSE_STEP):.4g}")
    return ["subject,mppdd_unprotected (J/cm2),mppdd_protected (J/cm2)", *rows]


def _water(truth: Truth, random: np.random.Generator, people: int) -> list[str]:
    static = _on_people(truth.spf, random, people)
    wet = static * np.clip(0.74 + 0.09 * random.standard_normal(people), 0.4, 1.0)
    rows = (
        f"W{n:02d},{dry:.1f},{after:.1f}"
        for n, (dry, after) in enumerate(zip(static, wet, strict=True), start=1)
    )
    return ["subject,spf_static,spf_wet", *rows]


def _on_people(truth: float, random: np.random.Generator, people: int) -> Array:
    return np.asarray(1 + (truth - 1) * np.exp(_PEOPLE_SPREAD * random.standard_normal(people)))


def _skin_angles(random: np.random.Generator, people: int) -> Iterable[float]:
    """Return typology angles spread over the three ranges that the method asks for."""
    return [(36.0, 47.0, 58.0)[n % 3] + float(random.uniform(-3, 3)) for n in range(people)]


def _next_dose(bare: float, factor: float, step: float) -> float:
    """Return the dose of a ladder nearest to where the skin answers."""
    steps = round(math.log(factor) / math.log(step))
    return float(bare * step**steps)


INSTRUMENTS: dict[str, Callable[[Truth, np.random.Generator, int], list[str]]] = {
    "viscosity": _viscosity,
    "density": _density,
    "ph": _ph,
    "drops": _drops,
    "size": _size,
    "flow": _flow,
    "uva": _uva,
    "colour": _colour,
    "contrast": _contrast,
    "spf": _spf,
    "uva-pf": _uva_pf,
    "water": _water,
}
"""Kinds of tests and who writes their files."""
