"""Double-plate and hybrid-reflectance results as the laboratory reported them, never computed.

The equations of ISO 23675:2024 and ISO 23698:2024 are not public; a number worked out here must
not bear their names.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.plain import plain
from zincite.evaluation.assay.plate_statistics import (
    PlateMean,
    plate_mean,
    plate_mean_of_summary,
)

__all__ = [
    "DOUBLE_PLATE",
    "HYBRID",
    "NEVER_COMPUTED",
    "ReportedResult",
    "ReportedSummary",
    "record_double_plate",
    "record_hybrid",
]

DOUBLE_PLATE, HYBRID = "ISO 23675:2024", "ISO 23698:2024"

NEVER_COMPUTED = (
    "figures are recorded as reported by the laboratory; the equations of the standard are not "
    "public here, so nothing was computed under its name except mean, standard deviation and "
    "interval of the reported values"
)

_OUTSIDE_SCOPE = {
    # public scope statements of the two standards, paraphrased
    DOUBLE_PLATE: {
        "powder": "powders are outside the scope of ISO 23675:2024",
        "stick": "sticks are outside the scope of ISO 23675:2024",
    },
    HYBRID: {"powder": "ISO 23698:2024 was not evaluated for powders"},
}
_PRODUCT_FORMS = ("emulsion", "alcoholic", "powder", "stick")
_RANGES = {
    "spf": (1.0, 1000.0),
    "uva_pf": (1.0, 1000.0),
    "critical_wavelength_nm": (290.0, 400.0),
}
"""What a reported figure can be; a typing error lies outside."""


@dataclass(frozen=True, slots=True)
class ReportedSummary:
    """Mean, standard deviation (None if not reported) and number as reported."""

    mean: float
    sd: float | None
    n: int


@dataclass(frozen=True, slots=True)
class ReportedResult:
    """A laboratory's result with its statistics.

    Attributes
    ----------
    method : str
        Standard and edition.
    laboratory, report : str
        Who reported it and in which document; "" if not stated.
    figures : dict of str to PlateMean
        By `spf`, `uva_pf`, `critical_wavelength_nm`: mean, sd, n and t interval (95 %).
    values : dict of str to tuple of float
        Individual values where they were reported.
    computed : bool
        Always False.
    statement : str
        `NEVER_COMPUTED`.
    valid : bool
        The laboratory's own statement, unless the product is outside the scope.
    reasons, marks : tuple of str
        Why not valid; what is from memory (nothing).
    """

    method: str
    laboratory: str
    report: str
    figures: dict[str, PlateMean]
    values: dict[str, tuple[float, ...]]
    computed: bool
    statement: str
    valid: bool
    reasons: tuple[str, ...]
    marks: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        found = dict(plain(self))
        for name, mean in self.figures.items():
            found["figures"][name]["ci95_half_width_percent"] = plain(mean.half_width_percent)
        return found


Reported = Sequence[float] | ReportedSummary


def _figure(name: str, given: Reported) -> tuple[PlateMean, tuple[float, ...]]:
    values = (given.mean,) if isinstance(given, ReportedSummary) else tuple(map(float, given))
    if not values:
        raise OutOfRangeError(f"reported {name} has no value, expected at least one")
    low, high = _RANGES[name]
    for value in values:
        if not (math.isfinite(value) and low <= value <= high):
            raise OutOfRangeError(f"reported {name} is {value:g}, expected {low:g} to {high:g}")
    if isinstance(given, ReportedSummary):
        return plate_mean_of_summary(given.mean, given.sd, given.n), ()
    return plate_mean(values), values


def _record(
    method: str,
    given: dict[str, Reported | None],
    *,
    laboratory_valid: bool | None,
    product_form: str | None,
    laboratory: str,
    report: str,
) -> ReportedResult:
    present = {name: value for name, value in given.items() if value is not None}
    if not present:
        raise OutOfRangeError(f"{method}: no figure was given, expected {', '.join(given)}")
    if product_form is not None and product_form not in _PRODUCT_FORMS:
        raise OutOfRangeError(
            f"product form is {product_form!r}, expected one of {', '.join(_PRODUCT_FORMS)}"
        )
    pairs = {name: _figure(name, value) for name, value in present.items()}
    reasons = []
    if laboratory_valid is None:
        reasons.append("whether the laboratory found the test valid was not stated")
    elif not laboratory_valid:
        reasons.append("the laboratory reported the test as not valid")
    outside = _OUTSIDE_SCOPE[method].get(product_form or "")
    if outside:
        reasons.append(outside)
    return ReportedResult(
        method,
        laboratory,
        report,
        {name: pair[0] for name, pair in pairs.items()},
        {name: pair[1] for name, pair in pairs.items() if pair[1]},
        False,
        NEVER_COMPUTED,
        not reasons,
        tuple(reasons),
    )


def record_double_plate(
    spf: Reported,
    *,
    laboratory_valid: bool | None = None,
    product_form: str | None = None,
    laboratory: str = "",
    report: str = "",
) -> ReportedResult:
    """Record a double-plate SPF in vitro (ISO 23675:2024) as reported.

    Parameters
    ----------
    spf : sequence of float, or ReportedSummary
        SPF of each plate pair, or mean, standard deviation and number. [-]
    laboratory_valid : bool, optional
        The laboratory's own statement of validity; without it the record is not valid.
    product_form : {"emulsion", "alcoholic", "powder", "stick"}, optional
        Powders and sticks are outside the scope.
    laboratory, report : str
        Who reported it and where.

    Returns
    -------
    ReportedResult

    Raises
    ------
    OutOfRangeError
        If a figure is impossible or none is given.

    References
    ----------
    ISO 23675:2024, scope (assay-iso-23675). Static SPF only, not water resistance.

    Examples
    --------
    >>> found = record_double_plate([30.0, 32.0, 34.0], laboratory_valid=True)
    >>> found.figures["spf"].mean, found.computed
    (32.0, False)
    """
    return _record(
        DOUBLE_PLATE,
        {"spf": spf},
        laboratory_valid=laboratory_valid,
        product_form=product_form,
        laboratory=laboratory,
        report=report,
    )


def record_hybrid(
    spf: Reported | None = None,
    *,
    uva_pf: Reported | None = None,
    critical_wavelength_nm: Reported | None = None,
    laboratory_valid: bool | None = None,
    product_form: str | None = None,
    laboratory: str = "",
    report: str = "",
) -> ReportedResult:
    """Record a hybrid diffuse-reflectance result (ISO 23698:2024) as reported.

    Parameters
    ----------
    spf, uva_pf, critical_wavelength_nm : sequence of float, or ReportedSummary, optional
        One value a subject, or mean, standard deviation and number; at least one figure.
        [-], [-], [nm]
    laboratory_valid, product_form, laboratory, report
        As `record_double_plate`; the method was not evaluated for powders.

    Returns
    -------
    ReportedResult

    Raises
    ------
    OutOfRangeError
        If a figure is impossible or none is given.

    References
    ----------
    ISO 23698:2024, scope (assay-iso-23698).
    """
    return _record(
        HYBRID,
        {"spf": spf, "uva_pf": uva_pf, "critical_wavelength_nm": critical_wavelength_nm},
        laboratory_valid=laboratory_valid,
        product_form=product_form,
        laboratory=laboratory,
        report=report,
    )
