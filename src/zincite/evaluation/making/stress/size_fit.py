"""Fitting of the devices' kinetics to own size analyses, with the assumed ones as prior."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import expit

from zincite.data.device_defaults import POWDER_AS_SUPPLIED, device_default
from zincite.errors import MissingDataError
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics, normal_of
from zincite.physics.deagglomeration import approached, end_size_nm, fines_limit

__all__ = ["SHARE_ERROR", "SizePoint", "fit_devices"]

Array = NDArray[np.float64]

SHARE_ERROR = 0.05
"""Standard error of a measured aggregate share where the file states none, assumed. [-]"""
_LOG_SIZE_ERROR = 0.10


@dataclass(frozen=True, slots=True)
class SizePoint:
    """One size analysis of a dispersion made on one device from powder.

    Attributes
    ----------
    device : str
    energy_J_mL : float
    aggregate_fraction : float
    standard_error : float or None
        Of the fraction.
    median_nm : float or None
        Of the aggregates.
    intensity : float
        Relative to the device's reference. [-]
    """

    device: str
    energy_J_mL: float
    aggregate_fraction: float
    standard_error: float | None = None
    median_nm: float | None = None
    intensity: float = 1.0


def fit_devices(
    points: Sequence[SizePoint], *, source: str = "own size analyses"
) -> dict[str, DeviceKinetics]:
    """Return the kinetics of each device that the points name.

    Parameters
    ----------
    points : sequence of SizePoint
    source : str
        How the result names its data.

    Returns
    -------
    dict of str to DeviceKinetics
        The assumed kinetics where there is no point of a device.

    Raises
    ------
    MissingDataError
        If a device is none whose work is modelled.

    Notes
    -----
    Most probable ln k, logit F_inf and ln d_end under the assumed prior and normal errors, with
    Laplace's approximation for the covariance (Gauss-Newton Hessian). Share and size of the powder
    as supplied are fitted along and dropped. A limit at another tip speed is brought to the
    reference by the assumed exponents.
    """
    prior = assumed_kinetics()
    found: dict[str, DeviceKinetics] = {}
    for key in dict.fromkeys(point.device for point in points):
        if key not in prior:
            raise MissingDataError(
                f"device {key!r} frees nothing in this model, expected one of {', '.join(prior)}"
            )
        found[key] = _fitted(prior[key], [p for p in points if p.device == key], source)
    return {**prior, **found}


def _fitted(prior: DeviceKinetics, points: list[SizePoint], source: str) -> DeviceKinetics:
    before = [
        normal_of(device_default(POWDER_AS_SUPPLIED, "aggregate_fraction"), "logit"),
        normal_of(device_default(POWDER_AS_SUPPLIED, "aggregate_median"), "log"),
    ]
    mean = np.array([*prior.mean, *(m for m, _ in before)])
    sd = np.array([*prior.sd, *(s for _, s in before)])
    energy = np.array([p.energy_J_mL for p in points])
    strength = np.array([p.intensity for p in points])
    measured = np.array([p.aggregate_fraction for p in points])
    error = np.array([p.standard_error or SHARE_ERROR for p in points])
    sized = np.array([p.median_nm is not None for p in points])
    sizes = np.log([p.median_nm or 1.0 for p in points])
    powers = [device_default(prior.device, f"{n}_exponent").value for n in ("limit", "size")]

    def misfit(z: Array) -> Array:
        rate, limit, end, share0, size0 = mean + sd * z
        most = fines_limit(expit(limit), strength, powers[0])
        share = approached(expit(share0), 1 - most, np.exp(rate), energy)
        finest = np.log(end_size_nm(np.exp(end), strength, powers[1]))
        size = approached(size0, finest, np.exp(rate), energy)
        return np.concatenate(
            [z, (share - measured) / error, (size - sizes)[sized] / _LOG_SIZE_ERROR]
        )

    best = least_squares(misfit, np.zeros(mean.size), x_scale=1.0, method="trf")
    spread = np.linalg.inv(best.jac.T @ best.jac)
    covariance = (sd[:, None] * spread * sd[None, :])[:3, :3]
    middle = mean + sd * best.x
    return DeviceKinetics(
        prior.device,
        (float(middle[0]), float(middle[1]), float(middle[2])),
        tuple(tuple(float(v) for v in row) for row in covariance),
        len(points),
        source,
    )
