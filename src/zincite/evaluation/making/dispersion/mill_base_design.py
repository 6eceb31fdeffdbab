"""Design of a mill base: the most powder that a device can take, and 100 g of it.

Two limits: the oil has to fill the gaps of the powder (CPVC), and the paste has to be neither
too thick for the device to move nor too thin to carry its shear.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from zincite.data.devices import Device, Window, devices
from zincite.errors import FormulaError, InputError, OutOfRangeError
from zincite.evaluation.estimate import Estimate
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.dispersion.bench import adsorbed_mg_m2, demand_percent
from zincite.evaluation.making.dispersion.bench_words import powder_warnings, slurry_assumed
from zincite.evaluation.making.dispersion.mill_base_recipe import (
    OilNeed,
    RecipeLine,
    dispersant_of_pigment,
    oil_need,
    recipe_of,
)
from zincite.evaluation.making.dispersion.milled import MillBase, mill_base_of
from zincite.evaluation.making.dispersion.slurry import CASES, Slurry, slurry_of
from zincite.formula.formula import Formula
from zincite.formula.process import device_key

__all__ = ["MillBaseDesign", "design_mill_base"]

_THIN, _MIDDLE, _THICK = range(3)
_MOST_SOLIDS = 95.0
_VISCOSITIES_MPAS = (0.1, 1e6)


@dataclass(frozen=True, slots=True)
class MillBaseDesign:
    """A mill base for a device.

    Attributes
    ----------
    device : Device
    mill : MillBase
    slurry : Slurry
    highest_solids_percent, cpvc_solids_percent : Estimate
        Most powder by mass that the device moves, and at which the oil no longer fills the gaps.
        Their ranges are those of the assumed values. [%]
    lowest_solids_percent : float or None
        Below it the paste is too thin for the device; None where no viscosity is stated. [%]
    solids_percent, volume_percent : float
        Of this mill base. [%]
    asked : bool
        Whether the solids were asked for.
    in_device_mPas, dispersed_mPas : Estimate
        As the device meets it, and once every particle is free. [mPa s]
    verdict : str
        "fits", "too thick" or "too thin".
    dispersant_percent_of_pigment : float
        [%]
    dispersant_from : str
        Where that comes from.
    demand_percent_of_pigment : Estimate
        For a full layer. [%]
    recipe : tuple of RecipeLine
        100 g of it.
    oil : OilNeed
        What it asks of the formula's oils.
    basis : Basis
    """

    device: Device
    mill: MillBase
    slurry: Slurry
    highest_solids_percent: Estimate
    cpvc_solids_percent: Estimate
    lowest_solids_percent: float | None
    solids_percent: float
    volume_percent: float
    asked: bool
    in_device_mPas: Estimate
    dispersed_mPas: Estimate
    verdict: str
    dispersant_percent_of_pigment: float
    dispersant_from: str
    demand_percent_of_pigment: Estimate
    recipe: tuple[RecipeLine, ...]
    oil: OilNeed
    basis: Basis

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        window = self.device.viscosity_mPas
        return {
            "device": self.device.key,
            "device_viscosity_mPas": {"low": window.low, "high": window.high},
            "highest_solids_percent": self.highest_solids_percent.to_dict(),
            "lowest_solids_percent": self.lowest_solids_percent,
            "cpvc_solids_percent": self.cpvc_solids_percent.to_dict(),
            "solids_percent": self.solids_percent,
            "solids_volume_percent": self.volume_percent,
            "oil_viscosity_mPas": self.slurry.oil_mPas,
            "viscosity_in_device_mPas": self.in_device_mPas.to_dict(),
            "viscosity_dispersed_mPas": self.dispersed_mPas.to_dict(),
            "verdict": self.verdict,
            "dispersant_percent_of_pigment": self.dispersant_percent_of_pigment,
            "demand_percent_of_pigment": self.demand_percent_of_pigment.to_dict(),
            "recipe": [
                {"material": line.material, "role": line.role, "mass_g": line.mass_g}
                for line in self.recipe
            ],
            "mill_base_percent_of_product": self.oil.mill_base_percent,
            "oil_needed_percent_of_product": self.oil.needed_percent,
            "oil_of_formula_percent": self.oil.all_percent,
        }


def design_mill_base(
    formula: Formula,
    device: str,
    *,
    solids_percent: float | None = None,
    oil_viscosity_mPas: float | None = None,
    dispersant_percent: float | None = None,
    bet_m2_g: Mapping[str, float] | None = None,
    gamma_mg_m2: float | None = None,
) -> MillBaseDesign:
    """Return a mill base of a formula for a device.

    Parameters
    ----------
    formula : Formula
    device : str
        One of `zincite.data.devices.devices`, as its key or in words.
    solids_percent : float, optional
        Powder by mass that is asked for; the middle of the device's window when left out. [%]
    oil_viscosity_mPas : float, optional
        Of the oil at the temperature of milling; mixed from the cards when left out. [mPa s]
    dispersant_percent : float, optional
        Of the pigment; what the formula's mill base holds, else the demand, when left out. [%]
    bet_m2_g, gamma_mg_m2
        As `bench_of`.

    Raises
    ------
    InputError
        If there is no such device, or it does not disperse.
    FormulaError
        If the formula holds no pigment or no oil, or the oil alone is too thick for the device.
    OutOfRangeError
        If a number is impossible, or the solids asked for lie above the CPVC.
    """
    found = _dispersing_device(device)
    mill = mill_base_of(formula, bet_m2_g)
    slurry = slurry_of(formula, mill, oil_mPas=_own_viscosity(oil_viscosity_mPas))
    window = found.viscosity_mPas
    _refuse_thick_oil(slurry, found)
    highest = _highest(slurry, window)
    cpvc = _estimate([float(slurry.solids_percent(c)) for c in slurry.cpvc][::-1], "%")
    solids = _chosen(slurry, window, highest) if solids_percent is None else solids_percent
    _refuse_dry(solids, cpvc, highest, slurry, found)
    phi = float(slurry.volume_fraction(solids))
    met = _estimate([float(slurry.in_device_mPas(phi, c)) for c in range(len(CASES))], "mPa s")
    free = [slurry.oil_mPas * float(slurry.dispersed(phi, c)) for c in range(len(CASES))]
    demand = demand_percent(mill, adsorbed_mg_m2(gamma_mg_m2)).scaled(100 / mill.powder_percent)
    share, share_from = dispersant_of_pigment(mill, demand, dispersant_percent)
    recipe = recipe_of(mill, solids, share)
    lowest = None
    if window.low is not None:
        least = max(window.low, slurry.oil_mPas)
        lowest = float(slurry.solids_percent(slurry.fraction_at(least, _MIDDLE)))
    return MillBaseDesign(
        device=found,
        mill=mill,
        slurry=slurry,
        highest_solids_percent=highest,
        cpvc_solids_percent=cpvc,
        lowest_solids_percent=lowest,
        solids_percent=solids,
        volume_percent=100 * phi,
        asked=solids_percent is not None,
        in_device_mPas=met,
        dispersed_mPas=_estimate(free, "mPa s"),
        verdict=_verdict(met.median, window),
        dispersant_percent_of_pigment=share,
        dispersant_from=share_from,
        demand_percent_of_pigment=demand,
        recipe=recipe,
        oil=oil_need(formula, mill, solids, recipe),
        basis=_basis(mill, found, gamma_given=gamma_mg_m2 is not None,
                     oil_given=oil_viscosity_mPas is not None),
    )  # fmt: skip


def _dispersing_device(name: str) -> Device:
    key = device_key(name)
    able = [d.key for d in devices().values() if d.viscosity_mPas.high is not None]
    if key in able:
        return devices()[key]
    if key in devices():
        raise InputError(
            f"device {name!r} blends and breaks nothing up, expected one of {', '.join(able)}"
        )
    raise InputError(f"device {name!r} is not known, expected one of {', '.join(able)}")


def _own_viscosity(given: float | None) -> float | None:
    low, high = _VISCOSITIES_MPAS
    if given is not None and not low <= given <= high:
        raise OutOfRangeError(
            f"oil viscosity is {given:g} mPa s, expected {low:g} to {high:g} mPa s"
        )
    return given


def _refuse_thick_oil(slurry: Slurry, device: Device) -> None:
    high = device.viscosity_mPas.high
    if high is not None and slurry.oil_mPas >= high:
        raise FormulaError(
            f"the oil alone has {slurry.oil_mPas:.3g} mPa s and a {device.name} takes at most "
            f"{high:g} mPa s, expected a thinner oil, a warmer mill base or another device"
        )


def _estimate(cases: list[float], unit: str) -> Estimate:
    """Return what the thin, middle and thick cases give, lowest first."""
    return Estimate(cases[_MIDDLE], cases[_THIN], cases[_THICK], unit, assumed=True)


def _highest(slurry: Slurry, window: Window) -> Estimate:
    high = window.high if window.high is not None else math.inf
    solids = [float(slurry.solids_percent(slurry.fraction_at(high, c))) for c in range(len(CASES))]
    return _estimate(solids[::-1], "%")


def _chosen(slurry: Slurry, window: Window, highest: Estimate) -> float:
    """Return the solids in the middle of the window, to a tenth of a per cent."""
    high = window.high if window.high is not None else math.inf
    low = window.low if window.low is not None else high / 4  # the middle is then half the highest
    aim = max(math.sqrt(max(low, slurry.oil_mPas) * high), slurry.oil_mPas)
    solids = float(slurry.solids_percent(slurry.fraction_at(aim, _MIDDLE)))
    return min(round(solids, 1), highest.median)


def _refuse_dry(
    solids: float, cpvc: Estimate, highest: Estimate, slurry: Slurry, device: Device
) -> None:
    if not 0 < solids <= _MOST_SOLIDS:
        raise OutOfRangeError(
            f"solids are {solids:g} %, expected above 0 to {_MOST_SOLIDS:g} % by mass"
        )
    if solids < cpvc.median:
        return
    volume = 100 * float(slurry.volume_fraction(solids))
    raise OutOfRangeError(
        f"a mill base of {solids:g} % solids is {volume:.0f} vol% powder, above the critical "
        f"{100 * slurry.cpvc[_MIDDLE]:.0f} vol% ({cpvc.median:.0f} % by mass; {cpvc.low:.0f} to "
        f"{cpvc.high:.0f} by the oil absorption) where oil no longer fills the gaps and nothing "
        f"flows, expected at most {highest.median:.0f} % in a {device.name}"
    )


def _verdict(viscosity_mPas: float, window: Window) -> str:
    if window.high is not None and viscosity_mPas > window.high * (1 + 1e-9):
        return "too thick"
    if window.low is not None and viscosity_mPas < window.low:
        return "too thin"
    return "fits"


def _basis(mill: MillBase, device: Device, *, gamma_given: bool, oil_given: bool) -> Basis:
    assumed = list(slurry_assumed(mill, oil_given=oil_given))
    if not gamma_given:
        assumed.append(f"Adsorbed amount {adsorbed_mg_m2().median:g} mg/m2 for the demand.")
    if "viscosity" in device.remembered:
        assumed.append(f"Viscosity window of the {device.name}, at its own shear, from memory.")
    return Basis(
        ("R01", "R09", "R06", "R07", "R04", "R34"),
        tuple(assumed),
        powder_warnings(mill, mill.powders),
    )
