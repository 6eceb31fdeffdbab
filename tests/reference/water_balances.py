"""Balances of zinc, magnesium, EDTA, citrate and phosphate in water, written out one by one.

A second opinion on the equilibrium solver: no matrices, no active sets, and the root is found by
scipy. Constants: minteq.v4.dat (US Geological Survey); OH- and phosphate protonation from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

__all__ = ["chelated_water", "hopeite_over_zinc_oxide"]

Array = NDArray[np.float64]


def _ten(exponent: float) -> float:
    return float(10.0**exponent)


def _zinc_hydroxo(zn: float, h: float) -> tuple[float, float, float, float]:
    return (
        _ten(-8.997) * zn / h,
        _ten(-17.794) * zn / h**2,
        _ten(-28.091) * zn / h**3,
        _ten(-40.488) * zn / h**4,
    )


def _solve(residuals, start: list[float]) -> Array:
    found = least_squares(residuals, start, x_scale=1.0, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.max(np.abs(found.fun)) < 1e-10
    return found.x


def chelated_water(
    zinc: float, magnesium: float, edta: float, citrate: float, sodium: float, start: list[float]
) -> dict[str, float]:
    """Return free concentrations of a clear solution; totals in mol/L, pH by electroneutrality.

    Unknowns are log10 of [H+], [Zn2+], [Mg2+], [EDTA4-], [cit3-]; magnesium comes as chloride.
    """

    def species(x: Array) -> dict[str, float]:
        h, zn, mg, y, c = (_ten(v) for v in x)
        one, two, three, four = _zinc_hydroxo(zn, h)
        return {
            "H": h, "OH": _ten(-13.998) / h, "Zn": zn, "ZnOH": one, "Zn(OH)2": two,
            "Zn(OH)3": three, "Zn(OH)4": four, "Mg": mg, "MgOH": _ten(-11.397) * mg / h,
            "Y": y, "HY": _ten(10.948) * h * y, "H2Y": _ten(17.221) * h**2 * y,
            "H3Y": _ten(20.34) * h**3 * y, "H4Y": _ten(22.5) * h**4 * y,
            "ZnY": _ten(18.0) * zn * y, "ZnHY": _ten(21.4) * zn * h * y,
            "MgY": _ten(10.57) * mg * y,
            "C": c, "HC": _ten(6.396) * h * c, "H2C": _ten(11.157) * h**2 * c,
            "H3C": _ten(14.285) * h**3 * c, "ZnC": _ten(6.21) * zn * c,
            "ZnC2": _ten(7.4) * zn * c**2, "ZnHC": _ten(10.2) * zn * h * c,
            "MgC": _ten(4.89) * mg * c,
        }  # fmt: skip

    def residuals(x: Array) -> list[float]:
        s = species(x)
        zn = s["Zn"] + s["ZnOH"] + s["Zn(OH)2"] + s["Zn(OH)3"] + s["Zn(OH)4"]
        zn += s["ZnY"] + s["ZnHY"] + s["ZnC"] + s["ZnC2"] + s["ZnHC"]
        mg = s["Mg"] + s["MgOH"] + s["MgY"] + s["MgC"]
        y = s["Y"] + s["HY"] + s["H2Y"] + s["H3Y"] + s["H4Y"] + s["ZnY"] + s["ZnHY"] + s["MgY"]
        c = s["C"] + s["HC"] + s["H2C"] + s["H3C"]
        c += s["ZnC"] + 2 * s["ZnC2"] + s["ZnHC"] + s["MgC"]
        plus = s["H"] + 2 * s["Zn"] + s["ZnOH"] + 2 * s["Mg"] + s["MgOH"] + sodium
        minus = s["OH"] + s["Zn(OH)3"] + 2 * s["Zn(OH)4"] + 2 * magnesium
        minus += 4 * s["Y"] + 3 * s["HY"] + 2 * s["H2Y"] + s["H3Y"]
        minus += 2 * s["ZnY"] + s["ZnHY"] + 2 * s["MgY"]
        minus += 3 * s["C"] + 2 * s["HC"] + s["H2C"] + s["ZnC"] + 4 * s["ZnC2"] + s["MgC"]
        return [
            np.log(zn / zinc), np.log(mg / magnesium), np.log(y / edta), np.log(c / citrate),
            np.log(plus / minus),
        ]  # fmt: skip

    return species(_solve(residuals, start))


def hopeite_over_zinc_oxide(phosphate: float, sodium: float) -> dict[str, float]:
    """Return water in which zinc oxide and Zn3(PO4)2.4H2O both stand, totals in mol/L.

    [Zn2+] = 10^11.334 [H+]^2 and [Zn2+]^3 [PO4 3-]^2 = 10^-35.42 leave one unknown, log10 [H+].
    """

    def species(log_h: float) -> dict[str, float]:
        h = _ten(log_h)
        zn = _ten(11.334) * h**2
        p = float(np.sqrt(_ten(-35.42) / zn**3))
        one, two, three, four = _zinc_hydroxo(zn, h)
        return {
            "H": h, "OH": _ten(-13.998) / h, "Zn": zn, "ZnOH": one, "Zn(OH)2": two,
            "Zn(OH)3": three, "Zn(OH)4": four, "PO4": p, "HPO4": _ten(12.375) * h * p,
            "H2PO4": _ten(19.573) * h**2 * p, "H3PO4": _ten(21.721) * h**3 * p,
        }  # fmt: skip

    def residuals(x: Array) -> list[float]:
        s = species(float(x[0]))
        plus = s["H"] + 2 * s["Zn"] + s["ZnOH"] + sodium
        minus = s["OH"] + s["Zn(OH)3"] + 2 * s["Zn(OH)4"] + 3 * s["PO4"] + 2 * s["HPO4"]
        return [np.log(plus / (minus + s["H2PO4"]))]

    found = species(float(_solve(residuals, [-9.5])[0]))
    dissolved = found["PO4"] + found["HPO4"] + found["H2PO4"] + found["H3PO4"]
    return {**found, "hopeite": (phosphate - dissolved) / 2}
