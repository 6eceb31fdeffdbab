"""The series of the coated sphere for a block of spheres of similar size."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["sphere_sums"]

_SMALL = 0.5  # below, psi_1 from its ratio to psi_0: sin z / z - cos z would cancel


def _orders_needed(y_max: float) -> int:
    """Return the number of terms (Wiscombe 1980, Appl. Opt. 19, 1505, eq. 8, widened by 2)."""
    return int(math.ceil(y_max + 4.05 * y_max ** (1 / 3))) + 4


def _downward_ratios(z: NDArray[Any], orders: int) -> NDArray[Any]:
    """Return u_n = psi_(n-1)(z)/psi_n(z) for n = 0..orders (row 0 unused).

    Downward recurrence u_n = (2n+1)/z - 1/u_(n+1). The start lies beyond |z| by so many Airy
    widths that any start value is forgotten to double precision.
    """
    largest = float(np.abs(z).max())
    start = max(orders, int(largest + 8.0 * largest ** (1 / 3))) + 12
    inverse = 1.0 / z
    u = (2 * start + 1) * inverse
    table = np.empty((orders + 1, z.size), dtype=z.dtype)
    scratch = np.empty_like(u)
    for n in range(start - 1, orders, -1):
        np.divide(1.0, u, out=u)
        np.multiply(inverse, 2 * n + 1, out=scratch)
        np.subtract(scratch, u, out=u)
    previous = u
    for n in range(orders, 0, -1):
        row = table[n]
        np.divide(1.0, previous, out=row)
        np.multiply(inverse, 2 * n + 1, out=scratch)
        np.subtract(scratch, row, out=row)
        previous = row
    return table


def _scaled_psi1(z: NDArray[Any], u1: NDArray[Any], e2: NDArray[Any]) -> NDArray[Any]:
    """Return exp(iz) psi_1(z), where e2 = exp(2iz)."""
    direct = (e2 - 1) / (2j * z) - (e2 + 1) / 2
    small = np.abs(z) < _SMALL
    if np.any(small):
        direct[small] = ((e2[small] - 1) / 2j) / u1[small]
    return direct


def _first_shell_ratio(
    z2: NDArray[Any], z3: NDArray[Any], u2: NDArray[Any], u3: NDArray[Any]
) -> NDArray[Any]:
    """Return Q_1 = [psi_1/zeta_1](z2) / [psi_1/zeta_1](z3) without overflow."""
    e2, e3 = np.exp(2j * z2), np.exp(2j * z3)
    ratio = _scaled_psi1(z2, u2, e2) / _scaled_psi1(z3, u3, e3)
    result: NDArray[Any] = ratio * np.exp(2j * (z3 - z2)) * (1 + 1j / z3) / (1 + 1j / z2)
    return result


def sphere_sums(
    x: NDArray[np.float64], y: NDArray[np.float64], m1: NDArray[Any], m2: NDArray[Any]
) -> NDArray[np.float64]:
    """Return scattering and absorption efficiency and asymmetry.

    Parameters
    ----------
    x, y : ndarray, shape (n,)
        Size parameters of core and outer sphere.
    m1, m2 : ndarray, shape (n,)
        Relative indices of core and shell; real arrays stay real, which halves the work.

    Returns
    -------
    ndarray, shape (3, n)
    """
    orders = _orders_needed(float(y.max()))
    if np.array_equal(x, y) or np.array_equal(m1, m2):
        return _series(y, m1, _downward_ratios(m1 * y, orders + 1), None, orders)
    return _series(y, m1, _downward_ratios(m1 * x, orders + 1), (x, m2), orders)


class _Shell:
    """Marches the shell's ratios upward and mixes the core into them."""

    def __init__(
        self, x: NDArray[np.float64], y: NDArray[np.float64], m2: NDArray[Any], orders: int
    ) -> None:
        self.m2 = m2
        self.inverse2, self.inverse3 = 1.0 / (m2 * x), 1.0 / (m2 * y)
        self.u2 = _downward_ratios(m2 * x, orders + 1)
        self.u3 = _downward_ratios(m2 * y, orders + 1)
        # w_1 = zeta_0/zeta_1 = i / (1 + i/z)
        self.w2 = 1j / (1 + 1j * self.inverse2)
        self.w3 = 1j / (1 + 1j * self.inverse3)
        self.q = _first_shell_ratio(m2 * x, m2 * y, self.u2[1], self.u3[1])

    def step(self, n: int) -> None:
        """Go from order n - 1 to n (n >= 2)."""
        self.w2 = 1.0 / ((2 * n - 1) * self.inverse2 - self.w2)
        self.w3 = 1.0 / ((2 * n - 1) * self.inverse3 - self.w3)
        self.q *= (self.w2 * self.u3[n]) / (self.u2[n] * self.w3)

    def surface(
        self, n: int, core: NDArray[Any], core_times: NDArray[Any], shell_times: NDArray[Any]
    ) -> tuple[NDArray[Any], NDArray[Any]]:
        """Return numerator and denominator of H_n + n/z3 (Yang 2003, eqs 5 and 8).

        `core` is core_times * D_n(m1 x); `shell_times` multiplies D_n(m2 x).
        """
        n_z2 = n * self.inverse2
        g1 = (core - shell_times * (self.u2[n] - n_z2)) * self.q
        g2 = core - shell_times * (self.w2 - n_z2)
        return g2 * self.u3[n] - g1 * self.w3, g2 - g1


def _series(
    y: NDArray[np.float64],
    m1: NDArray[Any],
    u1: NDArray[Any],
    coating: tuple[NDArray[np.float64], NDArray[Any]] | None,
    orders: int,
) -> NDArray[np.float64]:
    size = y.size
    inverse_y = 1.0 / y
    uy = _downward_ratios(y, orders + 1)
    if coating is None:
        shell = None
        m_out = m1
        n_over_z1 = 1.0 / (m1 * y)
    else:
        x, m2 = coating
        shell = _Shell(x, y, m2, orders)
        m_out = m2
        n_over_z1 = 1.0 / (m1 * x)
    # a_n needs H/m + n/y = (H + n/(m y))/m + (1 - 1/m^2) n/y, b_n needs m H + n/y
    inverse_m = 1.0 / m_out
    bend = (1.0 - inverse_m * inverse_m) * inverse_y
    psi_before, psi = np.sin(y), np.sin(y) / uy[1]
    chi_before, chi = np.cos(y), np.cos(y) * inverse_y + np.sin(y)
    absorbing = np.iscomplexobj(m1) or np.iscomplexobj(m_out)
    scattering, absorption, forward = np.zeros(size), np.zeros(size), np.zeros(size)
    a_before: NDArray[Any] | None = None
    b_before: NDArray[Any] | None = None
    for n in range(1, orders + 1):
        if n > 1:
            chi, chi_before = (2 * n - 1) * inverse_y * chi - chi_before, chi
            psi, psi_before = psi / uy[n], psi
            if shell is not None:
                shell.step(n)
        if shell is None:
            top_a = top_b = u1[n]
            base_a: Any = 1.0
            base_b: Any = 1.0
        else:
            log_derivative = u1[n] - n * n_over_z1
            top_a, base_a = shell.surface(n, m_out * log_derivative, m_out, m1)
            top_b, base_b = shell.surface(n, m1 * log_derivative, m1, m_out)
        x_a = top_a * inverse_m + (n * bend) * base_a
        x_b = top_b * m_out
        if shell is None:
            # m H + n/y with H = u - n/(m y): the n/y cancels exactly
            x_b = top_b * m_out
        zeta, zeta_before = psi - 1j * chi, psi_before - 1j * chi_before
        below_a = x_a * zeta - base_a * zeta_before
        below_b = x_b * zeta - base_b * zeta_before
        a = (x_a * psi - base_a * psi_before) / below_a
        b = (x_b * psi - base_b * psi_before) / below_b
        scattering += (2 * n + 1) * (a.real**2 + a.imag**2 + b.real**2 + b.imag**2)
        if absorbing:
            absorption += (2 * n + 1) * (
                _loss(x_a, base_a, below_a) + _loss(x_b, base_b, below_b)
            )
        forward += ((2 * n + 1) / (n * (n + 1))) * (a.real * b.real + a.imag * b.imag)
        if a_before is not None and b_before is not None:
            forward += ((n - 1) * (n + 1) / n) * (
                a_before.real * a.real
                + a_before.imag * a.imag
                + b_before.real * b.real
                + b_before.imag * b.imag
            )
        a_before, b_before = a, b
    scale = 2.0 * inverse_y * inverse_y
    with np.errstate(invalid="ignore", divide="ignore"):
        asymmetry = np.where(scattering > 0, 2.0 * forward / scattering, 0.0)
    return np.stack([scale * scattering, scale * absorption, asymmetry])


def _loss(top: NDArray[Any], base: Any, below: NDArray[Any]) -> NDArray[np.float64]:
    """Return Re(c) - |c|^2 of a coefficient by the Wronskian psi' chi - psi chi' = const.

    With X = top/base, c = (X psi - psi')/(X zeta - zeta') and
    Re(c) - |c|^2 = -Im(X) / |X zeta - zeta'|^2.
    """
    flux = top * np.conj(base)
    lost: NDArray[np.float64] = -flux.imag / (below.real**2 + below.imag**2)
    return lost
