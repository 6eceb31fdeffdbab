"""Physics as pure functions of arrays: spheres, films, skin, colour and their neighbours."""

from __future__ import annotations

from zincite.physics.slab import Fluxes, slab
from zincite.physics.spheres import Efficiencies, coated_sphere

__all__ = ["Efficiencies", "Fluxes", "coated_sphere", "slab"]
