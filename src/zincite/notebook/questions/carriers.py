"""Blends that carry a material: a grade in a dispersion is used where the dispersion is."""

from __future__ import annotations

from collections.abc import Mapping

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import ZinciteError
from zincite.formula.library import library
from zincite.formula.material import Material
from zincite.notebook.materials import card_of, get_material
from zincite.notebook.schema import material

__all__ = ["carriers_of"]

_Parts = Mapping[str, Mapping[str, float]]


def carriers_of(connection: Connection, key: str) -> dict[str, float]:
    """Return what a material is used as.

    Parameters
    ----------
    connection : Connection
    key : str
        Of a card in the notebook or the library.

    Returns
    -------
    dict of str to float
        The material itself, with 1, and every blend that holds it, with its mass fraction of the
        blend. [-]
    """
    blends = _compositions(connection)
    shares = {blend: _share(blend, key, blends, ()) for blend in blends}
    return {key: 1.0} | {blend: share for blend, share in shares.items() if share > 0}


def _compositions(connection: Connection) -> _Parts:
    """Return parts and mass fractions of the library's blends and the notebook's own."""
    cards = {key: card for key, card in library().items() if card.composition}
    own = sa.select(material.c.key).where(material.c.toml.contains("composition = ["))
    for key in connection.execute(own.distinct()).scalars():
        try:
            cards[key] = card_of(get_material(connection, key))
        except ZinciteError:  # entered by an earlier release and no longer legal
            continue
    return {key: _parts(card) for key, card in cards.items()}


def _parts(card: Material) -> dict[str, float]:
    found: dict[str, float] = {}
    for part in card.composition:
        found[part.material] = found.get(part.material, 0.0) + part.percent / 100.0
    return found


def _share(blend: str, key: str, blends: _Parts, above: tuple[str, ...]) -> float:
    """Return a material's mass fraction of a blend, blends within it taken apart."""
    if blend in above:  # a circle ends here
        return 0.0
    return sum(
        share * (1.0 if part == key else _share(part, key, blends, (*above, blend)))
        for part, share in blends.get(blend, {}).items()
    )
