"""A laboratory's size analyses after known energies: reading, and what the fit of them says."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from zincite.data.device_defaults import POWDER_AS_SUPPLIED, device_default
from zincite.evaluation.assay.reading.records import ColumnRule, Record, Records, read_records
from zincite.evaluation.making.basis import Basis
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, assumed_kinetics
from zincite.evaluation.making.stress.size_fit import SHARE_ERROR, SizePoint, fit_devices
from zincite.formula.process import DEVICES, device_key
from zincite.physics.deagglomeration import approached, fines_limit
from zincite.physics.mixing import energy_density_J_mL

__all__ = ["FittedPoint", "SizeFit", "fit_sizes", "read_size_points"]

_ANY = 1e12
_STATE = {
    "aggregate_fraction": ColumnRule(("aggregates", "share in aggregates"), above=-_ANY, most=_ANY),
    "standard_error": ColumnRule(("se",), needed=False),
    "median_nm": ColumnRule(("aggregate_median_nm", "median"), needed=False),
    "tip_speed_m_s": ColumnRule(("tip speed",), needed=False),
}
_BY_ENERGY = {
    "device": ColumnRule(text=True),
    "energy_J_mL": ColumnRule(("energy", "ev", "energy density"), above=-_ANY),
    **_STATE,
}
_BY_POWER = {
    "device": ColumnRule(text=True),
    "minutes": ColumnRule(("time", "t"), above=-_ANY),
    "power_W": ColumnRule(("power",), above=-_ANY),
    "volume_mL": ColumnRule(("volume",)),
    **_STATE,
}


@dataclass(frozen=True, slots=True)
class FittedPoint:
    """A size analysis beside the fit.

    Attributes
    ----------
    point : SizePoint
    expected : float
        Share in aggregates that the fit's middle gives from the usual powder. [-]
    """

    point: SizePoint
    expected: float


@dataclass(frozen=True, slots=True)
class SizeFit:
    """Kinetics of devices fitted to a file.

    Attributes
    ----------
    file : str
        Name of the file.
    kinetics : dict of str to DeviceKinetics
        Of the fitted devices.
    points : tuple of FittedPoint
    basis : Basis
    """

    file: str
    kinetics: dict[str, DeviceKinetics]
    points: tuple[FittedPoint, ...]
    basis: Basis

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        prior = assumed_kinetics()
        return {
            "devices": [
                {**found.to_dict(), "assumed_before": prior[key].to_dict()}
                for key, found in self.kinetics.items()
            ],
            "points": [
                {
                    "device": item.point.device,
                    "energy_J_mL": item.point.energy_J_mL,
                    "aggregate_fraction": item.point.aggregate_fraction,
                    "median_nm": item.point.median_nm,
                    "expected_fraction": item.expected,
                }
                for item in self.points
            ],
        }


def read_size_points(
    path: str | Path, *, decimal: str | None = None
) -> tuple[Records, tuple[SizePoint, ...]]:
    """Return the size analyses of a file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with columns device, energy_J_mL (or minutes, power_W and
        volume_mL), aggregate_fraction, and where known standard_error, median_nm and
        tip_speed_m_s.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    records = read_records(path, _BY_POWER, _BY_ENERGY, decimal=decimal)
    return records, tuple(_point(records, row) for row in records.rows)


def _point(records: Records, row: Record) -> SizePoint:
    key = device_key(row.text("device"))
    if key not in assumed_kinetics():
        known = ", ".join(d for d in DEVICES if d in assumed_kinetics())
        records.fail(
            f"{row.place} names device {row.text('device')!r}, expected one that frees pigment: "
            f"{known}"
        )
    energy = row.number("energy_J_mL")
    if energy is None:
        power, minutes = row.number("power_W") or 0.0, row.number("minutes") or 0.0
        volume = row.number("volume_mL") or 1.0
        energy = float(energy_density_J_mL(power, 60 * minutes, volume / 1e3))
    share = row.number("aggregate_fraction")
    if energy < 0:
        records.fail(f"{row.place} brings in {energy:g} J/mL, expected 0 or more")
    if share is None or not 0 <= share <= 1:
        records.fail(f"{row.place} holds {share} for aggregate_fraction, expected 0 to 1")
    speed = row.number("tip_speed_m_s")
    reference = device_default(key, "reference_intensity")
    by_speed = speed is not None and reference.unit == "m/s"
    return SizePoint(
        key,
        energy,
        share,
        row.number("standard_error"),
        row.number("median_nm"),
        speed / reference.value if by_speed and speed is not None else 1.0,
    )


def fit_sizes(path: str | Path, *, decimal: str | None = None) -> SizeFit:
    """Return the kinetics of devices fitted to a file of size analyses.

    Parameters
    ----------
    path, decimal
        As `read_size_points`.
    """
    records, points = read_size_points(path, decimal=decimal)
    used = list(dict.fromkeys(point.device for point in points))
    every = fit_devices(points, source=f"own sizes, {records.name}")
    kinetics = {key: every[key] for key in used}
    assumed = ["Prior of each device: the assumed rates, limits and end sizes."]
    if any(point.standard_error is None for point in points):
        assumed.append(f"Standard error of a share where none is stated: {SHARE_ERROR:g}.")
    assumed.append(
        "Powders before the first step: as supplied, 98 % in lumps of 4 um, fitted along."
    )
    few = [key for key in used if sum(p.device == key for p in points) < 3]
    warnings = (
        [f"{', '.join(few)}: fewer than three analyses; the prior still speaks."] if few else []
    )
    expected = tuple(FittedPoint(p, _expected(p, kinetics[p.device])) for p in points)
    return SizeFit(
        records.name, kinetics, expected, Basis(("R31", "R32"), tuple(assumed), tuple(warnings))
    )


def _expected(point: SizePoint, found: DeviceKinetics) -> float:
    supplied = device_default(POWDER_AS_SUPPLIED, "aggregate_fraction").value
    middle = found.intervals()
    exponent = device_default(point.device, "limit_exponent").value
    most = fines_limit(middle["limit"][0], point.intensity, exponent)
    return float(approached(supplied, 1 - most, middle["rate"][0], point.energy_J_mL))
