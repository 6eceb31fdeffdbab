"""Small coated sphere as a point dipole, the limit every sphere code must reach.

Bohren C.F., Huffman D.R. (1983), eq. 5.36 (polarisability of a coated sphere), 5.8 and 5.9
(efficiencies). Errors are of the order of the size parameter squared.
"""

from __future__ import annotations

__all__ = ["small_coated_sphere"]


def small_coated_sphere(x: float, y: float, core: complex, shell: complex) -> dict[str, float]:
    """Return absorption and scattering efficiency for core and outer size parameters x and y."""
    e1, e2, filling = core**2, shell**2, (x / y) ** 3
    inner, outer = (e1 - e2) * filling, e1 + 2 * e2
    polarisability = ((e2 - 1) * outer + inner * (1 + 2 * e2)) / (
        (e2 + 2) * outer + inner * 2 * (e2 - 1)
    )
    return {
        "absorption": 4 * y * polarisability.imag,
        "scattering": 8 / 3 * y**4 * abs(polarisability) ** 2,
    }
