"""Spheres per second on a table of sizes and wavelengths, against a compiled Mie code.

200 size parameters (0.1 to 50, logarithmic) times 500 wavelengths, the index going from
3.0 + 0.5i to 2.5 + 0.001i; coated with a shell of 5 % of the outer radius, index 1.007.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

WAVELENGTH_NM = 500.0
SHELL_SHARE = 0.05
SHELL_INDEX = 1.007


def table(smoke: bool) -> tuple[NDArray[np.float64], NDArray[np.complex128]]:
    """Return size parameters and indices, shape (sizes, wavelengths)."""
    sizes, wavelengths = (20, 50) if smoke else (200, 500)
    part = np.linspace(0, 1, wavelengths)
    index = (3.0 - 0.5 * part) + 1j * (0.5 - 0.499 * part)
    return np.broadcast_arrays(np.geomspace(0.1, 50, sizes)[:, None], index)


def best_seconds(work: Callable[[], object], repeats: int) -> float:
    """Return the least processor time of some runs, after one to warm up."""
    work()
    spent = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def _zincite(smoke: bool, share: float) -> float:
    from zincite.physics.spheres import coated_sphere

    size, index = table(smoke)
    outer_nm = size * WAVELENGTH_NM / np.pi
    core_nm, shell_nm = outer_nm * (1 - share), outer_nm * share / 2
    coat = SHELL_INDEX if share else index

    def work() -> object:
        return coated_sphere(core_nm, shell_nm, index, coat, 1.0, WAVELENGTH_NM)

    return size.size / best_seconds(work, 1 if smoke else 4)


def _miepython(smoke: bool) -> dict[str, float]:
    """Run in a process of its own: the switch for compiled kernels is read at import."""
    import miepython

    from zincite.physics.spheres import coated_sphere

    size, index = table(smoke)
    m, x = np.ascontiguousarray(np.conj(index)).ravel(), np.ascontiguousarray(size).ravel()

    def work() -> object:
        return miepython.efficiencies_mx(m, x)

    rate = x.size / best_seconds(work, 1 if smoke else 4)
    extinction, scattering, _, asymmetry = miepython.efficiencies_mx(m, x)
    q = coated_sphere(x * WAVELENGTH_NM / np.pi, 0.0, m.conj(), m.conj(), 1.0, WAVELENGTH_NM)
    differences = (
        q.extinction / extinction - 1,
        q.scattering / scattering - 1,
        q.asymmetry - asymmetry,
    )
    sized = x > 0.15  # below, the library's own expansion is the larger error
    return {"rate": rate, "difference": max(float(np.abs(d[sized]).max()) for d in differences)}


def main(smoke: bool) -> list[tuple[str, str, str]]:
    """Return (name, value, requirement) of each measurement."""
    switch = {"MIEPYTHON_USE_JIT": "1", "NUMBA_NUM_THREADS": "1"}
    command = [sys.executable, "-W", "ignore", __file__, "--miepython"]
    answer = subprocess.run(
        [*command, "--smoke"] if smoke else command,
        env=os.environ | switch,
        check=True,
        capture_output=True,
        text=True,
    )
    library = json.loads(answer.stdout.splitlines()[-1])
    homogeneous, coated = _zincite(smoke, 0.0), _zincite(smoke, SHELL_SHARE)
    return [
        ("homogeneous spheres", f"{homogeneous:,.0f} /s", "as fast as the compiled library"),
        ("coated spheres", f"{coated:,.0f} /s", "300,000 /s"),
        ("homogeneous spheres, miepython compiled", f"{library['rate']:,.0f} /s", ""),
        ("ratio, homogeneous", f"{homogeneous / library['rate']:.2f}", "1"),
        ("ratio, coated to homogeneous miepython", f"{coated / library['rate']:.2f}", ""),
        ("largest difference from miepython", f"{library['difference']:.0e}", "1e-8"),
    ]


if __name__ == "__main__":
    quick = "--smoke" in sys.argv
    if "--miepython" in sys.argv:
        print(json.dumps(_miepython(quick)))
    else:
        for row in main(quick):
            print(*row, sep=" | ")
