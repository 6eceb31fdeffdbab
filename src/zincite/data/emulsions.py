"""Start values of emulsion questions, the polarity classes of oils, osmotic coefficients."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from zincite.data.tables import read_rows
from zincite.sources import Evidence, Sourced

__all__ = ["OilClass", "emulsion_constant", "oil_class", "osmotic_coefficient"]

OilClass = tuple[str, Sourced]
"""Name of a polarity class and the water its oils dissolve, as a volume fraction."""

_MEMORY = "from memory"


def _assumed(value: str, unit: str, low: str, high: str) -> Sourced:
    return Sourced(float(value), unit, Evidence.ASSUMED, _MEMORY, float(low), float(high))


@lru_cache(maxsize=1)
def _constants() -> Mapping[str, Sourced]:
    return MappingProxyType(
        {
            row["name"]: _assumed(row["value"], row["unit"], row["low"], row["high"])
            for row in read_rows("making/emulsion_constants.csv")
        }
    )


def emulsion_constant(name: str) -> Sourced:
    """Return a start value with its range, always assumed.

    Examples
    --------
    >>> emulsion_constant("interfacial_tension").value
    3.0
    """
    return _constants()[name]


@lru_cache(maxsize=1)
def _classes() -> tuple[tuple[float, OilClass], ...]:
    return tuple(
        (
            float(row["tension_above_mN_m"]),
            (row["class"], _assumed(row["water_fraction"], "", row["low"], row["high"])),
        )
        for row in read_rows("making/oil_polarity.csv")
    )


def oil_class(tension_mN_m: float) -> OilClass:
    """Return the polarity class of an oil by its tension against water.

    Parameters
    ----------
    tension_mN_m : float
        Without emulsifier, > 0. [mN/m]

    Examples
    --------
    >>> oil_class(46.2)[0], oil_class(21.3)[0], oil_class(13.7)[0]
    ('non-polar', 'medium', 'polar')
    """
    return next(found for above, found in _classes() if tension_mN_m > above)


@lru_cache(maxsize=1)
def _osmotic() -> Mapping[str, float]:
    rows = read_rows("making/osmotic_coefficients.csv")
    return MappingProxyType({row["material"]: float(row["coefficient"]) for row in rows})


def osmotic_coefficient(material: str, *, salt: bool) -> Sourced:
    """Return the osmotic coefficient of a dissolved material, always assumed. [-]"""
    table = _osmotic()
    found = table.get(material, table["salt" if salt else "neutral"])
    return Sourced(found, "", Evidence.ASSUMED, _MEMORY)
