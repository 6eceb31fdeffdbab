"""Slow literal Mie series of a coated sphere with many digits, as a second opinion.

Bohren C.F., Huffman D.R. (1983) Absorption and Scattering of Light by Small Particles, eqs 8.2
(after Aden A.L., Kerker M. 1951) with psi, chi and their derivatives from Bessel functions, and
eqs 4.61, 4.62 and p. 120 for the efficiencies. Nothing is scaled or recurred: the working
precision takes care of overflow and cancellation.
"""

from __future__ import annotations

import mpmath as mp

__all__ = ["coated_sphere_coefficients", "coated_sphere_series"]


def _riccati(order: int, z: mp.mpc) -> tuple[mp.mpc, mp.mpc, mp.mpc, mp.mpc]:
    """Return psi, psi', chi, chi' with psi = z j, chi = -z y (Bohren and Huffman, p. 101, 183)."""
    root = mp.sqrt(mp.pi * z / 2)

    def psi(n: int) -> mp.mpc:
        return root * mp.besselj(n + mp.mpf(1) / 2, z)

    def chi(n: int) -> mp.mpc:
        return -root * mp.bessely(n + mp.mpf(1) / 2, z)

    p, c = psi(order), chi(order)
    return p, psi(order - 1) - order * p / z, c, chi(order - 1) - order * c / z


def coated_sphere_coefficients(
    order: int, x: mp.mpf, y: mp.mpf, m1: mp.mpc, m2: mp.mpc
) -> tuple[mp.mpc, mp.mpc]:
    """Return a_n and b_n (Bohren and Huffman 1983, eq. 8.2)."""
    p1, dp1, _, _ = _riccati(order, m1 * x)
    p2, dp2, c2, dc2 = _riccati(order, m2 * x)
    p3, dp3, c3, dc3 = _riccati(order, m2 * y)
    p, dp, c, dc = _riccati(order, mp.mpc(y))
    xi, dxi = p - 1j * c, dp - 1j * dc
    big_a = (m2 * p2 * dp1 - m1 * dp2 * p1) / (m2 * c2 * dp1 - m1 * dc2 * p1)
    big_b = (m2 * p1 * dp2 - m1 * p2 * dp1) / (m2 * dc2 * p1 - m1 * dp1 * c2)
    out_a, d_out_a = p3 - big_a * c3, dp3 - big_a * dc3
    out_b, d_out_b = p3 - big_b * c3, dp3 - big_b * dc3
    a = (p * d_out_a - m2 * dp * out_a) / (xi * d_out_a - m2 * dxi * out_a)
    b = (m2 * p * d_out_b - dp * out_b) / (m2 * xi * d_out_b - dxi * out_b)
    return a, b


def coated_sphere_series(
    x: float, y: float, m1: complex, m2: complex, *, digits: int = 50, orders: int | None = None
) -> dict[str, float]:
    """Return extinction, scattering, absorption and asymmetry.

    x and y are size parameters of core and outer sphere, m1 and m2 relative indices of core and
    shell with k >= 0. `digits` counts on top of what the growth in an absorbing shell eats.
    """
    growth = 2 * y * max(abs(complex(m2).imag), abs(complex(m1).imag))
    with mp.workdps(digits + int(growth / 2.3) + int(0.5 * y)):
        size_x, size_y = mp.mpf(x), mp.mpf(y)
        inner, outer = mp.mpmathify(complex(m1)), mp.mpmathify(complex(m2))
        count = orders or int(y + 7 * y ** (1 / 3)) + 6
        extinction = scattering = forward = mp.mpf(0)
        before: tuple[mp.mpc, mp.mpc] | None = None
        for n in range(1, count + 1):
            a, b = coated_sphere_coefficients(n, size_x, size_y, inner, outer)
            extinction += (2 * n + 1) * mp.re(a + b)
            scattering += (2 * n + 1) * (abs(a) ** 2 + abs(b) ** 2)
            if before is not None:
                pair = before[0] * mp.conj(a) + before[1] * mp.conj(b)
                forward += mp.mpf((n - 1) * (n + 1)) / n * mp.re(pair)
            forward += mp.mpf(2 * n + 1) / (n * (n + 1)) * mp.re(a * mp.conj(b))
            before = (a, b)
        scale = 2 / size_y**2
        return {
            "extinction": float(scale * extinction),
            "scattering": float(scale * scattering),
            "absorption": float(scale * (extinction - scattering)),
            "asymmetry": float(2 * forward / scattering),
        }
