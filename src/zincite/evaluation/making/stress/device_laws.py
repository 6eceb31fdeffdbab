"""Power, passes and stress of a step by the law of its device."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.device_defaults import device_default, has_default
from zincite.data.devices import device
from zincite.evaluation.making.stress.settings import StepSettings
from zincite.physics.mixing import (
    batch_power_W,
    energy_density_J_mL,
    gap_shear_rate_1_s,
    in_line_power_W,
    pressure_energy_J_mL,
    reynolds,
    roll_energy_J_mL,
    roll_shear_rate_1_s,
    speed_rpm,
    tip_speed_m_s,
)

__all__ = ["LawEnergy", "law_energy"]


@dataclass(frozen=True, slots=True)
class LawEnergy:
    """What a device's law says of a step; attributes as of `energy.StepEnergy`."""

    energy_J_mL: float
    how: str
    relations: tuple[str, ...]
    intensity: float
    viscosity_mPas: float
    minutes: float | None = None
    passes: float | None = None
    power_W: float | None = None
    tip_speed_m_s: float | None = None
    shear_rate_1_s: float | None = None
    reynolds: float | None = None


def law_energy(settings: StepSettings, viscosity_mPas: float, mass_kg: float) -> LawEnergy:
    """Return the energy of a step by its device's law.

    Parameters
    ----------
    settings : StepSettings
        Of a step on one of `zincite.formula.process.DEVICES`.
    viscosity_mPas : float
        Of the contents under shear.
    mass_kg : float
        Of the contents.
    """
    key = settings.contents.step.device
    if key == "three-roll-mill":
        return _rolls(settings, viscosity_mPas)
    if key == "bead-mill":
        return _beads(settings, viscosity_mPas)
    if key == "high-pressure":
        return _pressure(settings, viscosity_mPas)
    if key == "rotor-stator-in-line":
        return _in_line(settings, viscosity_mPas, mass_kg)
    return _batch(settings, viscosity_mPas)


def _intensity(settings: StepSettings, value: float) -> float:
    key = settings.contents.step.device
    if not has_default(key, "reference_intensity"):
        return 1.0
    return value / device_default(key, "reference_intensity").value


def _speed(settings: StepSettings, diameter_m: float) -> tuple[float, float]:
    """Return a rotor's tip speed and shaft speed; stated turns count where no tip speed is."""
    own, turns = settings.stated("tip_speed_m_s"), settings.stated("speed_rpm")
    if own is None and turns is not None:
        return float(tip_speed_m_s(turns, diameter_m)), turns
    speed = settings.value("tip_speed", "tip_speed_m_s")
    return speed, float(speed_rpm(speed, diameter_m))


def _batch(settings: StepSettings, viscosity_mPas: float) -> LawEnergy:
    size = settings.diameter_m()
    speed, turns = _speed(settings, size)
    density = settings.contents.density_g_ml
    power = float(
        batch_power_W(
            turns,
            size,
            density,
            viscosity_mPas,
            power_number=settings.value("power_number", "power_number"),
            laminar_constant=settings.value("laminar_constant"),
        )
    )
    minutes = settings.value("minutes", "minutes")
    gap = settings.value("gap", "gap_um")
    return LawEnergy(
        float(energy_density_J_mL(power, 60 * minutes, settings.volume_L)),
        "device law",
        ("R25", "R26"),
        _intensity(settings, speed),
        viscosity_mPas,
        minutes=minutes,
        power_W=power,
        tip_speed_m_s=speed,
        shear_rate_1_s=float(gap_shear_rate_1_s(speed, gap)),
        reynolds=float(reynolds(turns, size, density, viscosity_mPas)),
    )


def _in_line(settings: StepSettings, viscosity_mPas: float, mass_kg: float) -> LawEnergy:
    size = settings.diameter_m()
    speed, turns = _speed(settings, size)
    density = settings.contents.density_g_ml
    flow_kg_s = settings.value("flow", "flow_kg_h") / 3600
    power = float(
        in_line_power_W(
            turns,
            size,
            density,
            flow_kg_s,
            zero_flow_number=settings.value("zero_flow_number"),
            flow_constant=settings.value("flow_constant"),
        )
    )
    minutes = settings.stated("minutes")
    if minutes is not None and settings.stated("passes") is None:
        passes = 60 * minutes * flow_kg_s / mass_kg
    else:
        passes = settings.value("passes", "passes")
    per_pass = float(energy_density_J_mL(power, 1.0, flow_kg_s / density))
    gap = settings.value("gap", "gap_um")
    return LawEnergy(
        per_pass * passes,
        "device law",
        ("R25", "R27"),
        _intensity(settings, speed),
        viscosity_mPas,
        minutes=passes * mass_kg / flow_kg_s / 60,
        passes=passes,
        power_W=power,
        tip_speed_m_s=speed,
        shear_rate_1_s=float(gap_shear_rate_1_s(speed, gap)),
        reynolds=float(reynolds(turns, size, density, viscosity_mPas)),
    )


def _rolls(settings: StepSettings, viscosity_mPas: float) -> LawEnergy:
    least = device_default("three-roll-mill", "least_viscosity").value
    if viscosity_mPas < least:
        settings.warnings.append(
            f"{settings.place}: rolls need a paste of {least / 1e3:g} Pa s or more, and the "
            f"contents are near {viscosity_mPas / 1e3:.2g} Pa s; leave oil out of the mill base "
            "until it is one."
        )
        if settings.stated("viscosity_mPas") is None:
            viscosity_mPas = least
            settings.note_viscosity(least, "the least that rolls take")
    size = settings.diameter_m()
    speed, _ = _speed(settings, size)
    gap = settings.value("gap", "gap_um")
    ratio = settings.value("speed_ratio", "speed_ratio")
    shear = float(roll_shear_rate_1_s(speed, gap, ratio))
    passes = settings.value("passes", "passes")
    energy = float(roll_energy_J_mL(shear, viscosity_mPas, gap, size / 2, passes))
    return LawEnergy(energy, "device law", ("R33",), _intensity(settings, shear), viscosity_mPas,
                     passes=passes, tip_speed_m_s=speed, shear_rate_1_s=shear)  # fmt: skip


def _beads(settings: StepSettings, viscosity_mPas: float) -> LawEnergy:
    """Return a usual specific energy: beads take what the drive gives, whatever flows past."""
    speed = settings.value("tip_speed", "tip_speed_m_s")
    minutes, passes = settings.stated("minutes"), settings.stated("passes")
    if minutes is not None and passes is None:
        energy = minutes * settings.value("minute_energy")
    else:
        passes = settings.value("passes", "passes")
        energy = passes * settings.value("pass_energy")
    # work in the beads scales with the square of the speed (kinetic energy of a bead)
    usual = device_default("bead-mill", "tip_speed").value
    energy *= (speed / usual) ** 2
    return LawEnergy(energy, "assumed", (), _intensity(settings, speed), viscosity_mPas,
                     minutes=minutes, passes=passes, tip_speed_m_s=speed)  # fmt: skip


def _pressure(settings: StepSettings, viscosity_mPas: float) -> LawEnergy:
    pressure = settings.value("pressure", "pressure_bar")
    passes = settings.value("passes", "passes")
    window = device("high-pressure").viscosity_mPas
    if not window.holds(viscosity_mPas):
        settings.warnings.append(
            f"{settings.place}: {viscosity_mPas:.3g} mPa s is thicker than the {window.high:g} "
            "mPa s it usually takes."
        )
    how = "device law" if settings.stated("pressure_bar") is None else "pressure"
    return LawEnergy(float(pressure_energy_J_mL(pressure, passes)), how, ("R28",),
                     _intensity(settings, pressure), viscosity_mPas, passes=passes)  # fmt: skip
