"""Settings of a step: as stated, else an assumed default that is named."""

from __future__ import annotations

from dataclasses import dataclass, field

from zincite.data.device_defaults import device_default, has_default
from zincite.data.devices import device
from zincite.errors import OutOfRangeError
from zincite.evaluation.making.steps import StepContents
from zincite.physics.mixing import tip_speed_m_s

__all__ = ["StepSettings"]

_WORDS = {
    "tip_speed": "tip speed", "diameter": "rotor or roll diameter", "gap": "gap",
    "minutes": "time", "passes": "passes", "flow": "flow", "power_number": "power number Np",
    "laminar_constant": "laminar constant Kp", "zero_flow_number": "zero-flow number Poz",
    "flow_constant": "flow constant k1", "speed_ratio": "ratio of roll speeds",
    "pressure": "pressure", "pass_energy": "energy of a pass",
    "minute_energy": "energy of a minute",
}  # fmt: skip
_ALWAYS = ("tip_speed", "gap", "pressure", "speed_ratio")
"""Parameters that set the stress, and so count even where the energy was measured."""


@dataclass(slots=True)
class StepSettings:
    """A step's settings with what had to be assumed.

    Attributes
    ----------
    contents : StepContents
    volume_L : float
        Of the contents.
    warnings : list of str
    """

    contents: StepContents
    volume_L: float
    warnings: list[str] = field(default_factory=list)
    _assumed: dict[str, str] = field(default_factory=dict)

    @property
    def place(self) -> str:
        """How sentences name the step."""
        return f"Step {self.contents.number} ({device(self.contents.step.device).name})"

    def stated(self, setting: str) -> float | None:
        """Return a setting that the step states."""
        return self.contents.step.settings.get(setting)

    def value(self, parameter: str, setting: str = "") -> float:
        """Return a setting of the step, else the device's default, which is then noted.

        Parameters
        ----------
        parameter : str
            Of `zincite.data.device_defaults`.
        setting : str
            Key of the step's settings; none where a step cannot state it.
        """
        own = self.stated(setting) if setting else None
        if own is not None:
            return own
        found = device_default(self.contents.step.device, parameter)
        self._note(parameter, found.value, found.unit)
        return found.value

    def diameter_m(self) -> float:
        """Return the rotor's or roll's diameter; lab rotors grow with their vessel. [m]"""
        own = self.stated("diameter_m")
        if own is not None:
            return own
        key = self.contents.step.device
        if has_default(key, "diameter"):
            size = device_default(key, "diameter").value
        else:
            per_litre = device_default(key, "diameter_per_litre").value
            size = per_litre * self.volume_L ** (1 / 3)
        self._note("diameter", size, "mm")
        return size / 1e3

    def _note(self, parameter: str, value: float, unit: str) -> None:
        words = _WORDS.get(parameter, parameter)
        shown = f"{value:.0f}" if value >= 1000 else f"{value:.3g}"
        self._assumed[parameter] = f"{words} {shown} {unit}".strip()

    def note_viscosity(self, viscosity_mPas: float, how: str) -> None:
        """Note that the contents' viscosity was estimated."""
        if how:
            self._note("viscosity", viscosity_mPas, f"mPa s under shear ({how})")

    def assumed(self, *, for_energy: bool) -> tuple[str, ...]:
        """Return a sentence with what was assumed, power and time only where they count."""
        said = [text for key, text in self._assumed.items() if for_energy or key in _ALWAYS]
        return (f"{self.place}: assumed {', '.join(said)}.",) if said else ()

    def require_possible(self) -> None:
        """Refuse a tip speed no such device is built for; warn outside its usual range.

        Raises
        ------
        OutOfRangeError
        """
        key = self.contents.step.device
        speed = self._stated_speed()
        if speed is None or not has_default(key, "highest_tip_speed"):
            return
        most = device_default(key, "highest_tip_speed").value
        usual = device(key).tip_speed_m_s
        span = f"{usual.low:g} to {usual.high:g} m/s"
        if speed > most:
            raise OutOfRangeError(
                f"process step {self.contents.number} states a tip speed of {speed:.3g} m/s, "
                f"expected at most {most:g} m/s: no {device(key).name} is built for it (usual are "
                f"{span})"
            )
        if not usual.holds(speed):
            self.warnings.append(
                f"{self.place}: a tip speed of {speed:.3g} m/s is outside the usual {span}."
            )

    def _stated_speed(self) -> float | None:
        own = self.stated("tip_speed_m_s")
        turns, size = self.stated("speed_rpm"), self.stated("diameter_m")
        if own is None and turns is not None and size is not None:
            return float(tip_speed_m_s(turns, size))
        return own
