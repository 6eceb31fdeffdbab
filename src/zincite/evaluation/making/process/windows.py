"""Process window: for each phase and step the lower limit, the set point and the upper limit."""

from __future__ import annotations

from dataclasses import dataclass

from zincite.data.devices import Device, Window, devices
from zincite.data.plant_defaults import plant_default
from zincite.evaluation.making.process.course import StepTemperature, phase_temperature_C
from zincite.evaluation.making.process.melting import Melting
from zincite.evaluation.making.steps import StepContents, leaves_in
from zincite.formula.formula import Formula, Phase
from zincite.formula.process import ProcessStep
from zincite.physics.mixing import gap_shear_rate_1_s, roll_shear_rate_1_s, tip_speed_m_s

__all__ = [
    "BRIEF",
    "COOL_DOWN",
    "VOLATILE",
    "WindowLine",
    "phase_windows",
    "stated_tip_speed_m_s",
    "step_windows",
]


BRIEF, COOL_DOWN, VOLATILE = "brief", "cool-down phase", "volatile oil"
"""What sets an upper temperature."""


@dataclass(frozen=True, slots=True)
class WindowLine:
    """One quantity of one phase or step.

    Attributes
    ----------
    where, quantity, unit : str
    low, high : float or None
        Limits, None where there is none.
    set_point : float or None
        None where the file says nothing.
    low_why, high_why : str
        What sets each limit.
    is_assumed : bool
        Whether a limit is assumed.
    """

    where: str
    quantity: str
    unit: str
    low: float | None
    set_point: float | None
    high: float | None
    low_why: str = ""
    high_why: str = ""
    is_assumed: bool = True

    @property
    def verdict(self) -> str:
        """Return "inside", "below", "above", "closed" (no room), or "not stated"."""
        if self.low is not None and self.high is not None and self.low > self.high:
            return "closed"
        if self.set_point is None:
            return "not stated"
        slack = 1e-9 * abs(self.set_point)  # a set point at its limit is inside, rounding or not
        if self.low is not None and self.set_point < self.low - slack:
            return "below"
        beyond = self.high is not None and self.set_point > self.high + slack
        return "above" if beyond else "inside"

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__} | {"verdict": self.verdict}


def _has_volatile(formula: Formula, phase: Phase) -> bool:
    return any(
        leaf.volatile and leaf.phase == "oil" and share > 0
        for leaf, share in leaves_in(formula, (phase,))
    )


def _upper_C(formula: Formula, phases: tuple[Phase, ...]) -> tuple[float | None, str, bool]:  # noqa: N802
    """Return the lowest upper limit of phases, what sets it, and whether that is a habit."""
    limits: list[tuple[float, str, bool]] = []
    brief = formula.brief
    if brief is not None and brief.process_max_temperature_C is not None:
        limits.append((brief.process_max_temperature_C, BRIEF, False))
    if any(p.kind == "cool-down" and p.percent > 0 for p in phases):
        limits.append((plant_default("cool_down_C").value, COOL_DOWN, True))
    if any(_has_volatile(formula, p) for p in phases):
        limits.append((plant_default("volatile_C").value, VOLATILE, True))
    return min(limits, default=(None, "", False), key=lambda found: found[0] or 0.0)


def phase_windows(formula: Formula, checks: tuple[Melting, ...]) -> tuple[WindowLine, ...]:
    """Return the temperature window of each phase before it is combined.

    Parameters
    ----------
    formula : Formula
    checks : tuple of Melting

    Notes
    -----
    Lower limit: highest melting point and a margin; upper limit: the lowest of the brief's, that
    of a cool-down phase and that of a volatile oil. Phases with neither limit are left out.
    """
    lines = []
    for phase in formula.phases:
        if phase.percent == 0:
            continue
        solids = [c for c in checks if c.phase == phase.name]
        hardest = max(solids, key=lambda c: c.melting_C, default=None)
        high, why, habit = _upper_C(formula, (phase,))
        if hardest is None and high is None:
            continue
        lines.append(
            WindowLine(
                f"phase {phase.name}", "temperature", "degC",
                None if hardest is None else hardest.needed_C,
                phase_temperature_C(phase),
                high,
                "" if hardest is None else hardest.material,
                why,
                habit or hardest is not None,
            )
        )  # fmt: skip
    return tuple(lines)


def step_windows(
    formula: Formula, steps: tuple[StepContents, ...], temperatures: tuple[StepTemperature, ...]
) -> tuple[WindowLine, ...]:
    """Return the windows of each step: temperature, tip speed, shear, gap and viscosity.

    Parameters
    ----------
    formula : Formula
    steps : tuple of StepContents
    temperatures : tuple of StepTemperature

    Notes
    -----
    A device's ranges come from `zincite.data.devices`; a step that states neither tip speed nor
    speed and diameter shows the range with no set point.
    """
    lines: list[WindowLine] = []
    for item, at in zip(steps, temperatures, strict=True):
        where = f"step {item.number}"
        high, why, habit = _upper_C(formula, item.phases)
        lines.append(
            WindowLine(where, "temperature", "degC", None, at.hottest_C, high, "", why, habit)
        )
        known = devices().get(item.step.device)
        if known is not None:
            lines += _device_lines(where, item.step, known)
    return tuple(lines)


def stated_tip_speed_m_s(step: ProcessStep) -> float | None:
    """Return a step's tip speed, stated or from speed and diameter. [m/s]"""
    own = step.settings
    if "tip_speed_m_s" in own:
        return own["tip_speed_m_s"]
    if "speed_rpm" in own and "diameter_m" in own:
        return float(tip_speed_m_s(own["speed_rpm"], own["diameter_m"]))
    return None


def _shear_1_s(step: ProcessStep, speed: float | None) -> float | None:
    gap = step.settings.get("gap_um")
    if speed is None or gap is None:
        return None
    if step.device == "three-roll-mill":
        return float(roll_shear_rate_1_s(speed, gap, step.settings.get("speed_ratio", 3.0)))
    return float(gap_shear_rate_1_s(speed, gap))


def _device_lines(where: str, step: ProcessStep, known: Device) -> list[WindowLine]:
    speed = stated_tip_speed_m_s(step)
    rows: tuple[tuple[str, str, str, Window, float | None], ...] = (
        ("tip speed", "tip_speed", "m/s", known.tip_speed_m_s, speed),
        ("shear rate", "shear", "1/s", known.shear_1_s, _shear_1_s(step, speed)),
        ("gap", "gap", "um", known.gap_um, step.settings.get("gap_um")),
        ("viscosity", "viscosity", "mPa s", known.viscosity_mPas,
         step.settings.get("viscosity_mPas")),
    )  # fmt: skip
    lines = []
    for quantity, key, unit, window, found in rows:
        if window.low is None and window.high is None:
            continue
        if found is None and quantity in ("shear rate", "gap"):
            continue  # follow from what a step seldom states
        lines.append(
            WindowLine(where, quantity, unit, window.low, found, window.high,
                       "device" if window.low is not None else "",
                       "device" if window.high is not None else "",
                       key in known.remembered)
        )  # fmt: skip
    return lines
