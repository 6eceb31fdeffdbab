"""Scale-up rules: the speed and the time that keep what the rule names."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.data.device_defaults import device_default, has_default
from zincite.data.devices import device
from zincite.data.plant_defaults import plant_default
from zincite.errors import InputError, OutOfRangeError
from zincite.evaluation.making.process.scale_state import Rotor, ScaleState, rotor_state
from zincite.physics.mixing import speed_rpm, tip_speed_m_s
from zincite.physics.scaling import hoop_stress_MPa

__all__ = ["KEEPS", "RULES", "Limits", "Scaled", "scale_rotor"]

RULES = {"tip-speed": "tip speed", "energy": "energy density", "turnovers": "turnovers"}
"""Rules and the quantity that each keeps."""

KEEPS = ("tip-speed", "minutes")
"""What a rule of energy or turnovers keeps beside it; the other gives way."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What the large machine can do; None where it is not known.

    Attributes
    ----------
    tip_speed_m_s, speed_rpm, power_kW : float or None
    """

    tip_speed_m_s: float | None = None
    speed_rpm: float | None = None
    power_kW: float | None = None

    def __post_init__(self) -> None:
        for name, found in (
            ("highest tip speed", self.tip_speed_m_s),
            ("highest speed", self.speed_rpm),
            ("highest power", self.power_kW),
        ):
            if found is not None and not (math.isfinite(found) and found > 0):
                raise OutOfRangeError(f"{name} is {found:g}, expected above 0")


@dataclass(frozen=True, slots=True)
class Scaled:
    """A larger size by a rule.

    Attributes
    ----------
    state : ScaleState
        Feasible: where a limit is met, the nearest that keeps within it.
    wanted_m_s : float
        Tip speed that the rule asks for. [m/s]
    limit : str
        What stands against it, "" where nothing does.
    kept : bool
        Whether the rule's quantity is kept.
    """

    state: ScaleState
    wanted_m_s: float
    limit: str = ""
    kept: bool = True


def scale_rotor(
    rotor: Rotor,
    lab: ScaleState,
    sizes: tuple[float, float, float],
    *,
    key: str,
    rule: str,
    keep: str = "tip-speed",
    limits: Limits | None = None,
) -> Scaled:
    """Return a rotor scaled by a rule.

    Parameters
    ----------
    rotor : Rotor
    lab : ScaleState
    sizes : (float, float, float)
        Batch [kg], volume of the contents [L], diameter [m].
    key : str
        Device, for its limits.
    rule : str
        Key of `RULES`.
    keep : str
        One of `KEEPS`; the rule tip-speed keeps both.
    limits : Limits, optional

    Notes
    -----
    Keeping the tip speed, energy and turnovers are set by the time; keeping the time, by the
    speed. An in-line device is fed at the same flow number, flow ~ N D^3; its time follows from
    the passes. Where a limit is met the speed is lowered to it and the time lengthened.

    Raises
    ------
    InputError
        If rule or keep is unknown, or an in-line device is to keep its minutes.
    """
    if rule not in RULES or keep not in KEEPS:
        raise InputError(
            f"rule is {rule!r} keeping {keep!r}, expected one of {', '.join(RULES)} keeping "
            f"{' or '.join(KEEPS)}"
        )
    if rotor.in_line and keep == "minutes" and rule != "tip-speed":
        raise InputError(
            "an in-line device is scaled by passes at equal tip speed, expected it to keep "
            "tip-speed, not minutes"
        )
    wanted = _wanted_m_s(rotor, lab, sizes, rule=rule, keep=keep)
    most, limit = _highest_m_s(rotor, lab, sizes, key, limits or Limits())
    speed = min(wanted, most)
    limited = wanted > most * (1 + 1e-9)
    minutes = _minutes(rotor, lab, sizes, speed, rule=rule)
    state = _state(rotor, lab, sizes, speed, minutes)
    if not limited:
        return Scaled(state, wanted)
    return Scaled(state, wanted, _explained(key, wanted, most, limit), kept=rule != "tip-speed")


def _wanted_m_s(
    rotor: Rotor, lab: ScaleState, sizes: tuple[float, float, float], *, rule: str, keep: str
) -> float:
    if rule == "tip-speed" or keep == "tip-speed":
        return lab.tip_speed_m_s or 0.0
    _, volume, diameter = sizes
    if rule == "energy":
        power = (lab.power_W_L or 0.0) * volume
        return float(tip_speed_m_s(rotor.speed_rpm_for(power, diameter), diameter))
    similar = (lab.diameter_m or diameter) ** 3 / lab.volume_L * volume / diameter**3
    return float(tip_speed_m_s((lab.speed_rpm or 0.0) * similar, diameter))


def _flow_kg_h(lab: ScaleState, diameter_m: float, speed_m_s: float) -> float | None:
    """Return the flow at the same flow number, ~ N D^3 ~ v D^2. [kg/h]"""
    if lab.flow_kg_h is None:
        return None
    turns = speed_m_s / (lab.tip_speed_m_s or speed_m_s)
    return lab.flow_kg_h * turns * (diameter_m / (lab.diameter_m or diameter_m)) ** 2


def _state(
    rotor: Rotor,
    lab: ScaleState,
    sizes: tuple[float, float, float],
    speed_m_s: float,
    minutes: float,
) -> ScaleState:
    flow = _flow_kg_h(lab, sizes[2], speed_m_s)
    return rotor_state(rotor, sizes, speed_m_s, minutes, flow_kg_h=flow)


def _minutes(
    rotor: Rotor,
    lab: ScaleState,
    sizes: tuple[float, float, float],
    speed_m_s: float,
    *,
    rule: str,
) -> float:
    """Return the time that gives the rule's quantity, or what the rule tip-speed keeps."""
    own = lab.minutes or 0.0
    one = _state(rotor, lab, sizes, speed_m_s, 1.0)
    if rule == "energy":
        return (lab.energy_J_mL or 0.0) / (one.energy_J_mL or math.inf)
    if rule == "turnovers" or rotor.in_line:
        return (lab.turnovers or 0.0) / (one.turnovers or math.inf)
    return own


def _highest_m_s(
    rotor: Rotor,
    lab: ScaleState,
    sizes: tuple[float, float, float],
    key: str,
    limits: Limits,
) -> tuple[float, str]:
    """Return the highest tip speed and what sets it."""
    diameter = sizes[2]
    found: list[tuple[float, str]] = []
    if limits.tip_speed_m_s is not None:
        found.append((limits.tip_speed_m_s, "the machine's highest tip speed"))
    if limits.speed_rpm is not None:
        speed = float(tip_speed_m_s(limits.speed_rpm, diameter))
        found.append((speed, f"the machine's highest speed of {limits.speed_rpm:g} 1/min"))
    if limits.power_kW is not None:
        power = 1e3 * limits.power_kW
        speed = _speed_for_power(rotor, lab, diameter, power)
        found.append((speed, f"the machine's power of {limits.power_kW:g} kW"))
    usual = device(key).tip_speed_m_s.high
    if limits.tip_speed_m_s is None and usual is not None and (lab.tip_speed_m_s or 0.0) <= usual:
        found.append((usual, f"the usual range of a {device(key).name}, up to {usual:g} m/s"))
    return min(found, default=(math.inf, ""))


def _speed_for_power(rotor: Rotor, lab: ScaleState, diameter: float, power_W: float) -> float:
    """Return the tip speed at which a power is drawn; in-line flow grows with the speed."""
    if not rotor.in_line:
        return float(tip_speed_m_s(rotor.speed_rpm_for(power_W, diameter), diameter))
    # flow ~ N at given D, so both terms of the in-line law grow with N cubed
    flow = (_flow_kg_h(lab, diameter, 1.0) or 0.0) / 3600
    drawn = rotor.power_W(float(speed_rpm(1.0, diameter)), diameter, flow)
    return float((power_W / drawn) ** (1 / 3))


def _explained(key: str, wanted: float, most: float, limit: str) -> str:
    said = f"the rule asks for {wanted:.3g} m/s, beyond {limit}; {most:.3g} m/s is the nearest"
    built = device_default(key, "highest_tip_speed").value if has_default(
        key, "highest_tip_speed") else math.inf  # fmt: skip
    if wanted <= built:
        return said
    steel = plant_default("steel_yield_MPa").value
    stress = float(hoop_stress_MPa(wanted, plant_default("steel_density_g_ml").value))
    said += f"; no {device(key).name} is built for more than {built:g} m/s"
    if stress > steel:
        said += (
            f", and at that speed a steel rim would carry {stress:.0f} MPa, more than the "
            f"{steel:g} MPa at which it yields"
        )
    return said
