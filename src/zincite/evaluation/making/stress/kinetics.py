"""How fast and how far each device frees particles: assumed, or fitted to own size data."""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from zincite.data.device_defaults import device_default, has_default
from zincite.formula.process import DEVICES
from zincite.sources import Sourced

__all__ = ["PARAMETERS", "DeviceKinetics", "assumed_kinetics", "normal_numbers", "normal_of"]

Array = NDArray[np.float64]

PARAMETERS = ("rate", "limit", "end_size")
"""Of each device; worked with as ln k, logit F_inf and ln d_end."""

_Z90 = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class DeviceKinetics:
    """Kinetics of one device as a normal distribution.

    Attributes
    ----------
    device : str
    mean : tuple of float
        ln(rate in mL/J), logit of the limit of fines, ln(end size in nm).
    covariance : tuple of tuple of float
    points : int
        Own size analyses behind it; 0 is assumed.
    source : str
        Where it comes from.
    """

    device: str
    mean: tuple[float, float, float]
    covariance: tuple[tuple[float, ...], ...]
    points: int = 0
    source: str = "assumed, from memory"

    @property
    def is_assumed(self) -> bool:
        """Whether no own data went in."""
        return self.points == 0

    @property
    def sd(self) -> tuple[float, float, float]:
        """Standard deviations of `mean`."""
        root = [math.sqrt(self.covariance[i][i]) for i in range(3)]
        return root[0], root[1], root[2]

    def rows(self, z: Array) -> tuple[Array, Array, Array]:
        """Return rate [mL/J], limit [-] and ln end size [nm] of standard normal numbers (3, n)."""
        spread = np.linalg.cholesky(np.array(self.covariance))
        rate, limit, size = np.array(self.mean)[:, None] + spread @ z
        return np.exp(rate), 1 / (1 + np.exp(-limit)), size

    def intervals(self) -> dict[str, tuple[float, float, float]]:
        """Return median, low and high (90 %) of each of `PARAMETERS` in its own unit."""
        found = {}
        for name, middle, sd in zip(PARAMETERS, self.mean, self.sd, strict=True):
            ends = (middle, middle - _Z90 * sd, middle + _Z90 * sd)
            natural = [1 / (1 + math.exp(-e)) if name == "limit" else math.exp(e) for e in ends]
            found[name] = (natural[0], natural[1], natural[2])
        return found

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        units = {"rate": "rate_mL_J", "limit": "limit_of_fines", "end_size": "end_size_nm"}
        shown: dict[str, object] = {"device": self.device}
        for name, (middle, low, high) in self.intervals().items():
            shown[units[name]] = {"median": middle, "low": low, "high": high}
        shown |= {"evidence": "assumed" if self.is_assumed else "measured", "points": self.points}
        return shown


def normal_of(value: Sourced, scale: str) -> tuple[float, float]:
    """Return mean and standard deviation of a value on a scale: "log", "logit" or "plain".

    The value's low and high hold 90 %; without them it is certain.
    """

    def change(number: float) -> float:
        if scale == "logit":
            return math.log(number / (1 - number))
        return math.log(number) if scale == "log" else number

    if value.low is None or value.high is None:
        return change(value.value), 0.0
    return change(value.value), (change(value.high) - change(value.low)) / (2 * _Z90)


@lru_cache(maxsize=1)
def assumed_kinetics() -> Mapping[str, DeviceKinetics]:
    """Return the assumed kinetics of the devices that free anything; others add nothing (R32)."""
    found = {}
    for key in DEVICES:
        if not has_default(key, "rate"):
            continue
        pairs = [
            normal_of(device_default(key, name), "logit" if name == "limit" else "log")
            for name in PARAMETERS
        ]
        mean, sd = zip(*pairs, strict=True)
        square = tuple(tuple(sd[i] ** 2 if i == j else 0.0 for j in range(3)) for i in range(3))
        found[key] = DeviceKinetics(key, mean, square)
    return found


@lru_cache(maxsize=256)
def normal_numbers(name: str, count: int) -> Array:
    """Return standard normal numbers that always belong to a name, evenly spread, read-only.

    Their median is 0, so that a state at the middle of its draws is that of the middle values.
    """
    order = np.random.default_rng(zlib.crc32(name.encode())).permutation(count)
    numbers = np.asarray(ndtri((order + 0.5) / count))
    numbers.flags.writeable = False
    return numbers
