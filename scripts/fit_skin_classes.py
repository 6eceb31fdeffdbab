"""Fit the skin model to the example colour of each class and write the tables that ship.

The model has one parameter more than a colour has coordinates. Of all compositions that have
exactly the wanted L*, a*, b* (D65, 10 deg, d/8, specular included) the one nearest to typical
values is kept. Run from the repository: python scripts/fit_skin_classes.py
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from zincite.data.colour_tables import ItaClass, haemoglobin, ita_classes, observer_illuminants
from zincite.physics.colour import (
    delta_e00,
    ita_deg,
    lab_from_xyz,
    tristimulus_weights,
    white_point,
)
from zincite.physics.skin import (
    SKIN_SURFACE_INDEX,
    SkinComposition,
    internal_from_surface,
    internal_reflectance,
    surface_reflectance,
)

FOLDER = Path(__file__).resolve().parents[1] / "src" / "zincite" / "data" / "colour"

TYPICAL = np.array([np.log(0.004), 0.0, 0.7])
SPREAD = np.array([1.0, 0.5, 0.1])
"""Typical ln(blood fraction), ln(scattering scale) and oxygen saturation with their spread: the
middle and width of the ranges in `SkinComposition` (from memory); melanin is left free."""

BOUNDS = [(-9.0, -0.3), (-11.0, -1.0), (-2.5, 2.5), (0.4, 0.98)]

UV_POINTS = (
    # nm, seen in air: best guess, low (dark skin), high (very light skin); from memory
    (290, 0.050, 0.040, 0.060),
    (300, 0.050, 0.040, 0.060),
    (320, 0.065, 0.042, 0.085),
    (340, 0.085, 0.043, 0.120),
    (360, 0.105, 0.044, 0.155),
    (380, 0.130, 0.045, 0.190),
    (400, 0.160, 0.045, 0.240),
)

TABLES = observer_illuminants()
WEIGHTS = tristimulus_weights(TABLES.cie_1964_10deg, TABLES.d65)
BLOOD = haemoglobin().at(TABLES.wavelength_nm)


def internal(composition: SkinComposition) -> NDArray[np.float64]:
    """Return the internal reflectance on the colour grid."""
    return internal_reflectance(
        TABLES.wavelength_nm, BLOOD.oxy_per_cm_molar, BLOOD.deoxy_per_cm_molar, composition
    )


def bare_lab(composition: SkinComposition) -> NDArray[np.float64]:
    """Return L*, a*, b* of the bare skin."""
    return lab_from_xyz(surface_reflectance(internal(composition)) @ WEIGHTS, white_point(WEIGHTS))


def composition_of(x: NDArray[np.float64]) -> SkinComposition:
    """Return the composition of a point of the search."""
    melanin, blood, scale = np.exp(x[:3])
    return SkinComposition(float(melanin), float(blood), float(scale), float(x[3]))


def fit(one: ItaClass) -> SkinComposition:
    """Return the most typical composition with the class's example colour."""
    target = np.array(one.example_lab)
    best: tuple[float, SkinComposition] | None = None
    for melanin in (0.02, 0.08, 0.3):
        for blood in (0.002, 0.008, 0.015):
            found = minimize(
                lambda x: float(np.sum(((x[1:] - TYPICAL) / SPREAD) ** 2)),
                np.array([np.log(melanin), np.log(blood), 0.0, 0.75]),
                method="SLSQP",
                bounds=BOUNDS,
                constraints={"type": "eq", "fun": lambda x: bare_lab(composition_of(x)) - target},
                options={"maxiter": 300, "ftol": 1e-12},
            )
            candidate = composition_of(found.x)
            missed = float(delta_e00(bare_lab(candidate), target))
            if missed < 1e-4 and (best is None or found.fun < best[0]):
                best = (float(found.fun), candidate)
    if best is None:
        raise SystemExit(f"no composition has the example colour of the class {one.name!r}")
    return best[1]


def write(name: str, comments: list[str], rows: list[list[object]]) -> None:
    """Write a table with its comment lines."""
    with (FOLDER / name).open("w", newline="", encoding="utf-8") as file:
        file.writelines(f"# {line}\n" for line in comments)
        csv.writer(file, lineterminator="\n").writerows(rows)


def write_classes() -> None:
    """Fit all classes and write compositions and spectra."""
    names = ["melanin_fraction", "blood_fraction", "scattering_scale", "oxygen_saturation"]
    names += ["epidermis_thickness_um", "surface_index", "l", "a", "b", "ita_deg"]
    rows: list[list[object]] = [["class", *names, "delta_e00_to_example", "status"]]
    spectra = []
    for one in ita_classes():
        # Rounded first, so that the shipped spectrum belongs to the shipped digits.
        skin = SkinComposition(*(float(f"{value:.6g}") for value in fit(one)))
        lab = bare_lab(skin)
        missed = float(delta_e00(lab, one.example_lab))
        print(f"{one.name:13s} {skin} dE00 {missed:.1e}")
        rows.append(
            [
                *(one.name, *skin, SKIN_SURFACE_INDEX),
                *(f"{v:.3f}" for v in (*lab, float(ita_deg(lab)))),
                *(f"{missed:.0e}", "computed"),
            ]
        )
        spectra.append(internal(skin))
    write(
        "skin_classes.csv",
        [
            "source: skin_class_fit",
            "unit: fractions and scale are pure numbers; um; deg",
            "note: composition nearest to typical values that has the example colour of its class "
            "(D65; 10 deg; d/8; specular included). The example colours are assumed.",
        ],
        rows,
    )
    columns = [one.name.replace(" ", "_") for one in ita_classes()]
    table: list[list[object]] = [["wavelength_nm", *columns]]
    for i, wavelength in enumerate(TABLES.wavelength_nm):
        table.append([int(wavelength), *(f"{s[i]:.6f}" for s in spectra)])
    write(
        "skin_reflectance_internal.csv",
        [
            "source: skin_class_fit",
            "unit: nm; reflectance 0-1",
            "note: diffuse reflectance below the face to air of the skins in skin_classes.csv; "
            "range 380-780 nm",
        ],
        table,
    )


def write_ultraviolet() -> None:
    """Write the ultraviolet points with their internal values."""
    sides = ("surface", "internal")
    columns = [f"{side}{end}" for side in sides for end in ("", "_low", "_high")]
    rows: list[list[object]] = [["wavelength_nm", *columns]]
    for wavelength, *outside in UV_POINTS:
        below = internal_from_surface(outside)
        rows.append([wavelength, *(f"{r:.3f}" for r in outside), *(f"{r:.4f}" for r in below)])
    write(
        "skin_uv_reflectance.csv",
        [
            "source: skin_uv_reflectance",
            "unit: nm; reflectance 0-1",
            "note: assumed; from memory of the general level; low is dark and high is very light "
            "skin; internal values by Saunderson's correction at index 1.45; range 290-400 nm",
        ],
        rows,
    )


if __name__ == "__main__":
    write_classes()
    write_ultraviolet()
