"""Values that a prediction needs and a card may lack: stated, worked out from parts, or assumed.

`assumed_*` give the documented class default (data/materials/class_defaults.csv and
price_classes.csv), always tagged "assumed". `*_of` take the best there is: the card's own value,
then one worked out from the parts, then the class default. Naturality has no default: missing
stays missing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache

from zincite.data.tables import read_rows
from zincite.formula.material import Coating, Grade, Material
from zincite.formula.substances import leaves_of
from zincite.sources import Evidence, Sourced

__all__ = [
    "assumed_density_g_ml",
    "assumed_price",
    "assumed_refractive_index",
    "coating_density_g_ml",
    "density_g_ml_of",
    "powder_density_g_ml",
    "price_of",
    "refractive_index_of",
]

_COATING_DENSITIES_G_ML: dict[str, float] = {
    "alumina": 3.0,  # hydrated or amorphous layer, from memory
    "aluminum hydroxide": 2.4,  # from memory
    "silica": 2.2,  # dense amorphous layer, from memory
    "triethoxycaprylylsilane": 1.1,  # condensed silsesquioxane layer, from memory
    "dimethicone": 0.97,  # from memory
}
"""Densities of coating layers by INCI name in lower case; others count as organic. [g/mL]"""

_ORGANIC_LAYER_G_ML = 0.95  # fatty acids and their soaps, from memory


@cache
def _rows(table: str) -> dict[str, dict[str, str]]:
    return {row["class"]: row for row in read_rows(f"materials/{table}.csv")}


def _default(material: Material, table: str, value: str, low: str, high: str, unit: str) -> Sourced:
    rows = _rows(table)
    names = (material.id, *material.functions, f"phase {material.phase}")
    name = next(name for name in names if name in rows)
    row = rows[name]
    return Sourced(
        float(row[value]),
        unit,
        Evidence.ASSUMED,
        f"class default for {name}, from memory",
        float(row[low]),
        float(row[high]),
    )


def assumed_density_g_ml(material: Material) -> Sourced:
    """Return the class default of density, whatever the card says. [g/mL]"""
    return _default(
        material, "class_defaults", "density_g_ml", "density_low", "density_high", "g/mL"
    )


def assumed_refractive_index(material: Material) -> Sourced:
    """Return the class default of the refractive index at 589 nm, whatever the card says. [-]"""
    return _default(material, "class_defaults", "refractive_index", "index_low", "index_high", "")


def assumed_price(material: Material) -> Sourced:
    """Return a rough bulk price of the material's class. [EUR/kg]

    Examples
    --------
    >>> from zincite.formula.library import library
    >>> assumed_price(library()["glycerin"]).evidence.value
    'assumed'
    """
    return _default(material, "price_classes", "price_per_kg", "low", "high", "EUR/kg")


def coating_density_g_ml(coating: Coating) -> float:
    """Return the density of a coating layer: the card's, the table's, else an organic layer's."""
    if coating.density_g_ml is not None:
        return coating.density_g_ml
    return _COATING_DENSITIES_G_ML.get(coating.inci.strip().lower(), _ORGANIC_LAYER_G_ML)


def powder_density_g_ml(grade: Grade) -> float:
    """Return the density of a coated powder from core and coating volumes. [g/mL]

    Notes
    -----
    1/rho = sum of mass share / density.
    """
    volume = grade.core_mass_fraction / grade.core_density_g_ml
    for layer in grade.coatings:
        volume += layer.mass_percent / 100.0 / coating_density_g_ml(layer)
    return 1.0 / volume


def density_g_ml_of(material: Material, materials: Mapping[str, Material] | None = None) -> Sourced:
    """Return a material's density: stated, from its parts, or the class default. [g/mL]

    Parameters
    ----------
    material : Material
    materials : mapping of str to Material, optional
        Cards in which a blend's parts are looked up before the library.

    Notes
    -----
    Blends and coated powders add volumes (ideal mixing); the result is tagged "assumed" where a
    part's density is.
    """
    own = material.properties.get("density_g_ml")
    if own is not None:
        return own
    if material.grade is not None:
        density = powder_density_g_ml(material.grade)
        return Sourced(density, "g/mL", Evidence.CALCULATED, "core and coating volumes")
    if not material.composition:
        return assumed_density_g_ml(material)
    parts = [
        (fraction, density_g_ml_of(card, materials))
        for card, fraction in leaves_of(material, materials or {})
    ]
    volume = sum(fraction / density.value for fraction, density in parts)
    return Sourced(1 / volume, "g/mL", _weakest(parts), "volumes of the parts")


def refractive_index_of(
    material: Material, materials: Mapping[str, Material] | None = None
) -> Sourced:
    """Return a liquid's refractive index at 589 nm: stated, from its parts, or assumed. [-]

    Parameters
    ----------
    material : Material
    materials : mapping of str to Material, optional
        Cards in which a blend's parts are looked up before the library.

    Notes
    -----
    A blend mixes (n^2 - 1)/(n^2 + 2) by volume (Lorentz-Lorenz), pigment powders left out because
    they scatter instead.
    """
    own = material.properties.get("refractive_index")
    if own is not None:
        return own
    if not material.composition:
        return assumed_refractive_index(material)
    cards = [(c, f) for c, f in leaves_of(material, materials or {}) if c.grade is None]
    if not cards:
        return assumed_refractive_index(material)
    parts = [(f / density_g_ml_of(c).value, refractive_index_of(c)) for c, f in cards]
    volume = sum(share for share, _ in parts)
    mixed = sum(s * (n.value**2 - 1) / (n.value**2 + 2) for s, n in parts) / volume
    index = ((1 + 2 * mixed) / (1 - mixed)) ** 0.5
    return Sourced(index, "", _weakest(parts), "Lorentz-Lorenz mean of the parts")


def _weakest(parts: list[tuple[float, Sourced]]) -> Evidence:
    assumed = any(value.is_assumed for _, value in parts)
    return Evidence.ASSUMED if assumed else Evidence.CALCULATED


def price_of(
    material: Material,
    prices_per_kg: Mapping[str, Sourced] | None = None,
    *,
    assumed: Callable[[Material], Sourced] = assumed_price,
) -> Sourced:
    """Return a price: of the formula file, else of the card, else the class default.

    Parameters
    ----------
    material : Material
    prices_per_kg : mapping of str to Sourced, optional
        The formula's `prices_per_kg`, in its own currency.
    assumed : callable, optional
        What gives the default.

    Returns
    -------
    Sourced
        Its unit names the currency; card and class prices are in EUR.
    """
    found = (prices_per_kg or {}).get(material.id) or material.properties.get("price_per_kg")
    return found or assumed(material)
