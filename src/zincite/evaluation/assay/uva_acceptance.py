"""Acceptance of an ISO 24443 result: range of C, plates, agreement, reference, saturation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from zincite.errors import OutOfRangeError
from zincite.evaluation.assay.lamps import LAMPS, lamp_marks
from zincite.evaluation.assay.plate_statistics import plate_mean, plates_needed
from zincite.evaluation.assay.rules import Limit, formula_marks, limit, limit_marks
from zincite.evaluation.assay.uva_result import (
    EuUvaTest,
    PlateUva,
    ReferenceCheck,
    SaturationEffect,
)

__all__ = [
    "Agreement",
    "PlateKind",
    "agreement",
    "amount_limit",
    "check_reference_sunscreen",
    "eu_uva_test",
    "initial_reasons",
    "method_marks",
    "saturation_effect",
    "saturation_reasons",
]

PlateKind = Literal["high roughness", "low roughness", "moulded", "sandblasted"]

_MATERIAL_PERCENT, _MATERIAL_NM = 1.0, 0.5
"""Changes by saturation that spoil a result; rules of this package, no source."""

_AMOUNT_TOLERANCE_MG_CM2 = 0.05
"""Half a unit of the last digit of 1.3 mg/cm2; the standard's own tolerance is not known."""


def check_reference_sunscreen(uva_pf: float, *, edition: str = "2021") -> ReferenceCheck:
    """Compare the UVA-PF found for reference sunscreen S2 with its range, 10.7 to 14.7.

    Parameters
    ----------
    uva_pf : float
        In vitro UVA-PF of S2 in this laboratory, > 0.
    edition : {"2012", "2021"}

    Returns
    -------
    ReferenceCheck

    Raises
    ------
    OutOfRangeError
        If the value is not a positive number.

    References
    ----------
    ISO 24443, range of S2, from memory.

    Examples
    --------
    >>> check_reference_sunscreen(12.7).passes, check_reference_sunscreen(15.0).passes
    (True, False)
    """
    if not 0 < uva_pf < float("inf"):
        raise OutOfRangeError(f"UVA-PF of the reference is {uva_pf:g}, expected above 0")
    rule = limit(f"ISO 24443:{edition}", "reference_s2")
    (mark,) = limit_marks([rule])
    return ReferenceCheck("S2", float(uva_pf), rule.low, rule.high, rule.holds(uva_pf), mark)


def amount_limit(method: str, kind: PlateKind) -> Limit:
    """Return the amount that a method asks for on a kind of plate.

    Raises
    ------
    MissingDataError
        If the edition knows no such plate.
    """
    return limit(method, "amount_" + kind.replace(" ", "_"))


def method_marks(method: str, kind: PlateKind | None, *, with_reference: bool) -> tuple[str, ...]:
    """Return all that an evaluation takes from memory or assumes."""
    limits = [limit(method, name) for name in ("c", "plates", "half_width_percent")]
    if kind is not None:
        limits.append(amount_limit(method, kind))
    if with_reference:
        limits.append(limit(method, "reference_s2"))
    return (*formula_marks("ISO 24443"), *limit_marks(limits), *lamp_marks(LAMPS))


def initial_reasons(
    rows: tuple[PlateUva, ...],
    method: str,
    *,
    reference: ReferenceCheck | None,
    plate_kind: PlateKind | None,
    amount_mg_cm2: float | None,
) -> list[str]:
    """Return what already stands against the plates before irradiation."""
    reasons = []
    needed = limit(method, "plates")
    if not needed.holds(len(rows)):
        reasons.append(
            f"{len(rows)} plate{'s' * (len(rows) > 1)} found, {method} asks for at least "
            f"{needed.low:g}"
        )
    span = limit(method, "c")
    reasons += [
        f"plate {row.plate}: C is {row.c:.3f}, outside {span.low:g} to {span.high:g}: check the "
        "application and replace the plate"
        for row in rows
        if not span.holds(row.c)
    ]
    if amount_mg_cm2 is not None and plate_kind is not None:
        asked = amount_limit(method, plate_kind).low
        # a rounding error of the subtraction must not refuse 1.25 mg/cm2
        if not abs(amount_mg_cm2 - asked) <= _AMOUNT_TOLERANCE_MG_CM2 + 1e-9:
            reasons.append(
                f"{amount_mg_cm2:g} mg/cm2 applied, {method} asks for {asked:g} mg/cm2 on "
                f"{plate_kind} plates"
            )
    if reference is not None and not reference.passes:
        reasons.append(
            f"reference sunscreen {reference.name} has UVA-PF {reference.uva_pf:g}, outside "
            f"{reference.low:g} to {reference.high:g}"
        )
    return reasons


@dataclass(frozen=True, slots=True)
class Agreement:
    """Agreement of the plates in one figure.

    Attributes
    ----------
    half_width_percent : float or None
        Of the 95 % interval of the mean; None for one plate. [%]
    plates_needed : int or None
        Plates that would meet the limit with this scatter; None if unknown or too many.
    reasons : tuple of str
        What stands against it.
    """

    half_width_percent: float | None
    plates_needed: int | None
    reasons: tuple[str, ...]


def agreement(values: list[float], method: str, name: str) -> Agreement:
    """Judge the agreement of plates: 95 % half width of at most 17 % of the mean (from memory).

    Parameters
    ----------
    values : list of float
        One value a plate.
    method : str
        Standard with edition.
    name : str
        Name of the figure, for the reason.
    """
    half = plate_mean(values).half_width_percent
    rules = limit(method, "half_width_percent"), limit(method, "plates")
    if half is None:
        why = f"one plate has no interval, so the agreement of {name} cannot be judged"
        return Agreement(None, None, (why,))
    enough = plates_needed(values, rules[0].high)
    if enough is not None:
        enough = max(enough, int(rules[1].low))
    if half <= rules[0].high:
        return Agreement(half, enough, ())
    advice = f"needs about {enough} plates in all" if enough else "no number of plates would do"
    why = (
        f"95 % interval of {name} is +/-{half:.1f} % of the mean, more than {rules[0].high:g} %: "
        f"{advice}"
    )
    return Agreement(half, enough, (why,))


def saturation_effect(rows: tuple[PlateUva, ...], raised: tuple[PlateUva, ...]) -> SaturationEffect:
    """Return how far the figures of the plates move when saturated readings are raised."""

    def uva(row: PlateUva) -> float:
        return row.uva_pf0 if row.uva_pf is None else row.uva_pf

    pairs = list(zip(rows, raised, strict=True))
    c = max(abs(b.c / a.c - 1) for a, b in pairs) * 100
    factor = max(max(abs(uva(b) / uva(a) - 1), abs(b.uva_pf0 / a.uva_pf0 - 1)) for a, b in pairs)
    shift = max(abs(b.critical_wavelength_nm - a.critical_wavelength_nm) for a, b in pairs)
    percent = factor * 100
    material = max(c, percent) > _MATERIAL_PERCENT or shift > _MATERIAL_NM
    count = sum(row.saturated_readings for row in rows)
    return SaturationEffect(count, c, percent, shift, material)


def saturation_reasons(effect: SaturationEffect | None) -> list[str]:
    """Return what saturation stands against."""
    if effect is None or not effect.material:
        return []
    return [
        f"{effect.readings} saturated readings matter: ten times less light there would move C by "
        f"{effect.c_change_percent:.1f} %, UVA-PF by {effect.uva_pf_change_percent:.1f} % and the "
        f"critical wavelength by {effect.critical_wavelength_change_nm:.1f} nm; measure with more "
        "light or a longer integration"
    ]


def eu_uva_test(uva_pf: float | None, label_spf: float, critical_wavelength: float) -> EuUvaTest:
    """Compare with Commission Recommendation 2006/647/EC, point 10.

    Parameters
    ----------
    uva_pf : float or None
    label_spf : float
        SPF of the label; for 50+ give 60, the careful reading.
    critical_wavelength : float
        [nm]

    Returns
    -------
    EuUvaTest

    Examples
    --------
    >>> eu_uva_test(10.0, 30.0, 372.0).passes, eu_uva_test(9.9, 30.0, 372.0).passes
    (True, False)
    """
    if uva_pf is None:
        return EuUvaTest(None, critical_wavelength, None)
    ratio = uva_pf / label_spf
    # a tenth of a billionth: 10/30 must pass whatever its last binary digit
    passes = ratio >= limit("EU claim", "uva_pf_to_label_spf").low - 1e-10
    passes = passes and limit("EU claim", "critical_wavelength_nm").holds(critical_wavelength)
    return EuUvaTest(ratio, critical_wavelength, passes)
