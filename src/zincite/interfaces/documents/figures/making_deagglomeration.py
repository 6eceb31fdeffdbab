"""Freed pigment against energy for each device, and the aggregates before and after."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from zincite.data.devices import device
from zincite.evaluation.making.stress.kinetics import DeviceKinetics, normal_numbers
from zincite.evaluation.making.stress.process_cases import ProcessCase
from zincite.evaluation.making.stress.size_file import FittedPoint
from zincite.interfaces.documents import svg
from zincite.interfaces.documents.chart import Chart
from zincite.physics.deagglomeration import fines_fraction

__all__ = ["fines_curves", "fitted_curve"]

Array = NDArray[np.float64]

_DRAWS = 2000


def _band(found: DeviceKinetics, energy: Array) -> tuple[Array, Array]:
    """Return low and high (90 %) of the freed share."""
    numbers = np.stack([normal_numbers(f"{found.device} {i}", _DRAWS) for i in range(3)])
    rate, limit, _ = found.rows(numbers)
    freed = fines_fraction(energy[None, :], limit[:, None], rate[:, None])
    low, high = np.quantile(100 * freed, [0.05, 0.95], axis=0)
    return low, high


def _middle(found: DeviceKinetics, energy: Array) -> Array:
    values = found.intervals()
    return 100 * fines_fraction(energy, values["limit"][0], values["rate"][0])


def _mark(chart: Chart, energy: float, freed: float, *, hollow: bool) -> None:
    fill = svg.PAPER if hollow else svg.OCHRE
    chart.add(svg.circle(chart.x(energy), chart.y(freed), 4.2, fill=fill, stroke=svg.OCHRE))


def fines_curves(
    cases: Sequence[ProcessCase], kinetics: Mapping[str, DeviceKinetics], *, key: str = "fines"
) -> str:
    """Return the freed share against energy density, with the formula's process in it.

    Parameters
    ----------
    cases : sequence of ProcessCase
        As written first.
    kinetics : mapping of str to DeviceKinetics
        Each drawn as a line, the device of the written process with its 90 % interval.
    key : str

    Returns
    -------
    str
        SVG.
    """
    written = cases[0].main
    energy = np.geomspace(0.1, 2000.0, 161)
    chart = Chart((0.1, 2000.0), (0.0, 100.0), x_log=True, label_room=150.0, width=520.0)
    chart.y_axis("pigment freed from aggregates, %", ticks=[0, 20, 40, 60, 80, 100])
    chart.x_axis("energy density, J/mL", ticks=[0.1, 1, 10, 100, 1000])
    own = kinetics[written.device]
    chart.band(energy, *_band(own, energy), fill=svg.OCHRE)
    for name, found in kinetics.items():
        mine = name == written.device
        chart.line(energy, _middle(found, energy), device(name).name,
                   stroke=svg.OCHRE if mine else svg.MUTED, width=2.2 if mine else 1.2,
                   dash="" if found.points or mine else "4 3")  # fmt: skip
    told = []
    for number, case in enumerate(cases):
        freed = 100 - case.grades[0].share.median
        _mark(chart, max(case.main.energy_J_mL, 0.1), freed, hollow=number > 0)
        told.append(f"{case.name}: {freed:.0f} % freed at {case.main.energy_J_mL:.3g} J/mL")
    return chart.picture(
        title="Freed pigment against energy",
        description=f"Share freed from aggregates by device; {'; '.join(told)}.",
        key=key,
    )


def fitted_curve(
    found: DeviceKinetics,
    prior: DeviceKinetics,
    points: Sequence[FittedPoint],
    *,
    key: str = "fit",
) -> str:
    """Return a device's fit with its points and the interval before and after.

    Parameters
    ----------
    found, prior : DeviceKinetics
        Fitted and assumed.
    points : sequence of FittedPoint
        Of this device.
    key : str

    Returns
    -------
    str
        SVG.
    """
    most = 1.15 * max([*(p.point.energy_J_mL for p in points), 10.0])
    energy = np.linspace(0.0, most, 121)
    chart = Chart((0.0, most), (0.0, 100.0), label_room=110.0, width=480.0)
    chart.y_axis("pigment freed from aggregates, %", ticks=[0, 20, 40, 60, 80, 100])
    chart.x_axis("energy density, J/mL")
    chart.band(energy, *_band(prior, energy), fill=svg.MUTED, opacity=0.16)
    chart.band(energy, *_band(found, energy), fill=svg.OCHRE, opacity=0.3)
    chart.line(energy, _middle(prior, energy), "assumed before", stroke=svg.MUTED, dash="4 3")
    chart.line(energy, _middle(found, energy), "fitted", stroke=svg.OCHRE)
    for item in points:
        chart.add(
            svg.circle(
                chart.x(item.point.energy_J_mL),
                chart.y(100 * (1 - item.point.aggregate_fraction)),
                3.4,
                fill=svg.PAPER,
                stroke=svg.INK,
            )
        )
    return chart.picture(
        title=f"Fit of the {device(found.device).name}",
        description=f"{len(points)} size analyses with the fitted curve and its 90 % interval "
        "beside the assumed ones.",
        key=key,
    )
