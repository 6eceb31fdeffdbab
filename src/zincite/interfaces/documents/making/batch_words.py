"""How a batch record says weights, settings and limits, on paper and in the terminal."""

from __future__ import annotations

from decimal import Decimal

from zincite.evaluation.making.batch.record_holds import Check
from zincite.evaluation.making.batch.record_steps import RecordStep, SetPoint
from zincite.evaluation.making.batch.weighing_list import WeighedItem
from zincite.interfaces.documents.numbers import number_text, with_unit

__all__ = [
    "check_limits",
    "marks",
    "mass_text",
    "setting_name",
    "setting_text",
    "step_name",
    "weight",
    "weight_limits",
    "window_text",
]

_NARROW_SPACE = "\u202f"
_KILOGRAMS_FROM_G = Decimal(10_000)
"""Batches from here are weighed in kg on balances that show no tenth of a gram."""

_SETTINGS = {
    "minutes": ("time", "min"),
    "temperature_C": ("temperature", "degC"),
    "tip_speed_m_s": ("tip speed", "m/s"),
    "speed_rpm": ("speed", "rpm"),
    "diameter_m": ("diameter", "m"),
    "gap_um": ("gap", "µm"),
    "speed_ratio": ("ratio of speeds", ""),
    "passes": ("passes", ""),
    "flow_kg_h": ("flow", "kg/h"),
    "power_W": ("power", "W"),
    "power_number": ("power number", ""),
    "pressure_bar": ("pressure", "bar"),
    "bead_um": ("beads", "µm"),
    "energy_J_mL": ("energy", "J/mL"),
    "viscosity_mPas": ("viscosity", "mPa s"),
    "solids_percent": ("solids", "%"),
}


def mass_text(mass_g: Decimal, step_g: Decimal, batch_g: Decimal) -> str:
    """Return a weight with the decimals and the unit of its balance.

    Examples
    --------
    >>> mass_text(Decimal(9000), Decimal(1), Decimal(50000)).replace(chr(160), " ")
    '9.000 kg'
    """
    in_kg = batch_g >= _KILOGRAMS_FROM_G and step_g >= 1
    shown, step = (mass_g / 1000, step_g / 1000) if in_kg else (mass_g, step_g)
    exponents = [int(value.normalize().as_tuple().exponent) for value in (shown, step)]
    places = max(0, *(-exponent for exponent in exponents))
    text = f"{shown:,.{places}f}".replace(",", _NARROW_SPACE)
    return with_unit(text, "kg" if in_kg else "g")


def weight(item: WeighedItem, batch_g: Decimal) -> str:
    """Return the weight to weigh."""
    return mass_text(item.mass_g, item.balance.resolution_g, batch_g)


def weight_limits(item: WeighedItem, batch_g: Decimal) -> str:
    """Return the range of a weight, the unit once."""
    step = item.balance.resolution_g
    low, high = (mass_text(mass, step, batch_g) for mass in (item.low_g, item.high_g))
    return f"{low.split(chr(160))[0]} to {high}"


def marks(item: WeighedItem) -> tuple[str, ...]:
    """Return what stands beside a material: UV filter, dust."""
    said = (("UV filter", item.is_uv_filter), ("dust", item.is_dusty))
    return tuple(word for word, holds in said if holds)


def setting_name(key: str) -> str:
    """Return a setting with its unit, such as "tip speed, m/s"."""
    name, unit = _SETTINGS.get(key, (key.replace("_", " "), ""))
    return f"{name}, {unit}" if unit else name


def setting_text(setting: SetPoint) -> str:
    """Return a set point with its unit, "" where it is to be written in."""
    if setting.value is None:
        return ""
    return with_unit(number_text(setting.value), _SETTINGS.get(setting.key, ("", ""))[1])


def window_text(setting: SetPoint) -> str:
    """Return the window of a set point, "" where there is none."""
    if setting.low is None or setting.high is None or setting.low == setting.high:
        return ""
    return f"{number_text(setting.low)} to {number_text(setting.high)}"


def step_name(step: RecordStep) -> str:
    """Return the device of a step, "" where it is to be written in."""
    return step.device.replace("-", " ")


def check_limits(check: Check) -> str:
    """Return the limits of a check with unit or in words, "" where they are to be written in."""
    if not check.is_number:
        return check.ground
    if check.low is None or check.high is None:
        return ""
    if check.low == 0:
        return f"at most {with_unit(number_text(check.high), check.unit)}"
    ends = " to ".join(number_text(end, digits=4) for end in (check.low, check.high))
    return with_unit(f"expect {ends}" if check.is_predicted else ends, check.unit)
