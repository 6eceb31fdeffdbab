"""The series of the coated sphere for a block of spheres of similar size.

Electric (a_n) and magnetic (b_n) terms travel together as rows 0 and 1 of each array, inner and
outer face of the shell likewise: fewer, longer array operations.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["orders_needed", "sphere_sums"]

_NO_ZERO = 1e-30  # keeps 1/u finite where psi_(n-1) is 0 to the last bit


def orders_needed(y_max: float) -> int:
    """Return the number of terms (Wiscombe 1980, Appl. Opt. 19, 1505, eq. 8, widened)."""
    return int(math.ceil(y_max + 4.05 * y_max ** (1 / 3))) + 4


def _downward_ratios(inverse_z: NDArray[Any], orders: int) -> NDArray[Any]:
    """Return u_n = psi_(n-1)(z)/psi_n(z), shape (orders + 1,) + z.shape, row 0 unused.

    Downward recurrence u_n = (2n+1)/z - 1/u_(n+1). The start lies beyond |z| by so many Airy
    widths that any start value is forgotten to double precision.
    """
    largest = 1.0 / float(np.abs(inverse_z).min())
    start = max(orders, int(largest + 8.0 * largest ** (1 / 3))) + 4
    table = np.empty((orders + 1, *inverse_z.shape), dtype=inverse_z.dtype)
    scratch = np.empty_like(inverse_z)
    row = (2 * start + 1) * inverse_z
    for n in range(start - 1, 0, -1):
        target = table[n] if n <= orders else row
        np.divide(1.0, row, out=target)
        np.multiply(inverse_z, 2 * n + 1, out=scratch)
        np.subtract(scratch, target, out=target)
        target += _NO_ZERO
        row = target
    return table


class _Shell:
    """Marches the shell's ratios upward; rows 0 and 1 are its inner and outer face.

    Q_n = [psi_n/zeta_n](m2 x) / [psi_n/zeta_n](m2 y) is had from zeta alone, which has no zeros
    where psi has them: psi_n/zeta_n = i / [(u_n - w_n) zeta_n^2] by the Wronskian.

    Attributes
    ----------
    growth : ndarray, shape (n,)
        [zeta_n(m2 y) / zeta_n(m2 x)]^2, at most about 1 in size.
    """

    def __init__(self, inverse_z: NDArray[Any], u: NDArray[Any]) -> None:
        self.inverse_z, self.u = inverse_z, u
        # w_n = zeta_(n-1)/zeta_n, upward: w_1 = i / (1 + i/z)
        self.w = 1j / (1 + 1j * inverse_z)
        z = 1.0 / inverse_z
        bend = self.w[0] / self.w[1]
        self.growth = np.exp(2j * (z[1] - z[0])) * bend * bend

    def step(self, n: int) -> None:
        """Go from order n - 1 to n (n >= 2)."""
        self.w = 1.0 / ((2 * n - 1) * self.inverse_z - self.w)
        ratio = self.w[0] / self.w[1]
        self.growth *= ratio * ratio

    def mix(
        self, n: int, core: NDArray[Any], shell_times: NDArray[Any]
    ) -> tuple[NDArray[Any], NDArray[Any], NDArray[np.float64] | None]:
        """Return numerator and denominator of H_n + n/(m2 y) (Yang 2003, eqs 5 and 8).

        `core` is core_times * D_n(m1 x); `shell_times` multiplies D_n and D_n^(3) of (m2 x).
        Third comes Im(numerator conj(denominator)) where the shell is clear. H is then a real
        Moebius map of the core's part, and its imaginary part is the core's times the map's
        determinant: no digits are lost however weak the absorption.
        """
        n_z = n * self.inverse_z[0]
        gap = self.u[n] - self.w
        g1 = (core - shell_times * (self.u[n, 0] - n_z)) * (self.growth * (gap[1] / gap[0]))
        g2 = core - shell_times * (self.w[0] - n_z)
        loss = None
        if np.isrealobj(self.inverse_z):
            determinant = np.abs(self.growth) * np.abs(gap[1]) ** 2
            loss = (core * np.conj(shell_times)).imag * determinant
        return g2 * self.u[n, 1] - g1 * self.w[1], g2 - g1, loss


def sphere_sums(
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    m1: NDArray[Any],
    m2: NDArray[Any],
    coefficients: list[NDArray[Any]] | None = None,
) -> NDArray[np.float64]:
    """Return scattering and absorption efficiency and asymmetry.

    Parameters
    ----------
    x, y : ndarray, shape (n,)
        Size parameters of core and outer sphere.
    m1, m2 : ndarray, shape (n,)
        Relative indices of core and shell; real arrays stay real, which halves the work.
    coefficients : list, optional
        Collects (a_n, b_n), shape (2, n), of each order when given.

    Returns
    -------
    ndarray, shape (3, n)
    """
    orders = orders_needed(float(y.max()))
    if np.array_equal(x, y) or np.array_equal(m1, m2):
        return _series(y, m1, None, 1.0 / (m1 * y), None, orders, coefficients)
    faces = 1.0 / (m2 * np.stack([x, y]))
    shell = _Shell(faces, _downward_ratios(faces, orders + 1))
    return _series(y, m2, m1, 1.0 / (m1 * x), shell, orders, coefficients)


def _series(
    y: NDArray[np.float64],
    m_out: NDArray[Any],
    m_core: NDArray[Any] | None,
    inverse_z1: NDArray[Any],
    shell: _Shell | None,
    orders: int,
    coefficients: list[NDArray[Any]] | None,
) -> NDArray[np.float64]:
    inverse_y = 1.0 / y
    u1 = _downward_ratios(inverse_z1, orders + 1)
    uy = _downward_ratios(inverse_y, orders + 1)
    inverse_m = 1.0 / m_out
    # a_n needs H/m + n/y = (H + n/(m y))/m + (1 - 1/m^2) n/y; b_n needs m H + n/y = m (H + n/(m y))
    face = np.stack([inverse_m, m_out])
    bend = (1.0 - inverse_m * inverse_m) * inverse_y
    if shell is not None and m_core is not None:
        core_times, shell_times = np.stack([m_out, m_core]), np.stack([m_core, m_out])
    # psi_0, psi_(-1) and chi_0, chi_(-1)
    psi_before, chi_before = np.sin(y), np.cos(y)
    psi = _next_psi(1, y, inverse_y, uy[1], psi_before, chi_before)
    chi = chi_before * inverse_y + psi_before
    sums = np.zeros((3, y.size))
    before: NDArray[Any] | None = None
    for n in range(1, orders + 1):
        if n > 1:
            chi, chi_before = (2 * n - 1) * inverse_y * chi - chi_before, chi
            psi, psi_before = _next_psi(n, y, inverse_y, uy[n], psi, psi_before), psi
        base = loss = None
        if shell is None:
            top = face * u1[n]
            top[0] += n * bend
        else:
            if n > 1:
                shell.step(n)
            core = core_times * (u1[n] - n * inverse_z1)
            top, base, loss = shell.mix(n, core, shell_times)
            top *= face
            top[0] += (n * bend) * base[0]
            if loss is not None:
                loss *= face
        before = _add_order(n, top, base, loss, (psi, psi_before, chi, chi_before), before, sums)
        if coefficients is not None:
            coefficients.append(before)
    scale = 2.0 * inverse_y * inverse_y
    with np.errstate(invalid="ignore", divide="ignore"):
        asymmetry = np.where(sums[0] > 0, 2.0 * sums[2] / sums[0], 0.0)
    return np.stack([scale * sums[0], scale * sums[1], asymmetry])


def _next_psi(
    n: int,
    y: NDArray[np.float64],
    inverse_y: NDArray[np.float64],
    ratio: NDArray[np.float64],
    last: NDArray[np.float64],
    before: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return psi_n(y): by recurrence while psi oscillates, by its ratio once it decays.

    The recurrence is stable up to order y; the ratio alone would lose all digits at a zero.
    """
    wanes = n >= y
    if wanes.all():
        return last / ratio
    upward: NDArray[np.float64] = (2 * n - 1) * inverse_y * last - before
    return np.where(wanes, last / ratio, upward) if wanes.any() else upward


def _add_order(
    n: int,
    top: NDArray[Any],
    base: NDArray[Any] | None,
    loss: NDArray[np.float64] | None,
    outside: tuple[NDArray[np.float64], ...],
    before: NDArray[Any] | None,
    sums: NDArray[np.float64],
) -> NDArray[Any]:
    """Add order n to the sums of scattering, absorption and forward flux.

    With X = top/base, c = (X psi - psi')/(X zeta - zeta'), and by the Wronskian of psi and chi
    Re(c) - |c|^2 = -Im(X) / |X zeta - zeta'|^2: the absorption without a difference.
    """
    psi, psi_before, chi, chi_before = outside
    if base is None:
        real = top * psi - psi_before
        imaginary = top * chi - chi_before
        loss = top.imag if np.iscomplexobj(top) else None
    else:
        real = top * psi - base * psi_before
        imaginary = top * chi - base * chi_before
        if loss is None:
            loss = (top * np.conj(base)).imag
    below = real - 1j * imaginary
    c = real / below
    squares = c.real * c.real + c.imag * c.imag
    sums[0] += (2 * n + 1) * (squares[0] + squares[1])
    if loss is not None:
        lost = loss / (below.real * below.real + below.imag * below.imag)
        sums[1] -= (2 * n + 1) * (lost[0] + lost[1])
    cross = c[0] * np.conj(c[1])
    sums[2] += ((2 * n + 1) / (n * (n + 1))) * cross.real
    if before is not None:
        neighbour = before.real * c.real + before.imag * c.imag
        sums[2] += ((n - 1) * (n + 1) / n) * (neighbour[0] + neighbour[1])
    return c
