"""Run all benchmarks of this folder and write RESULTS.md.

    python benchmarks/run.py            measure and rewrite RESULTS.md
    python benchmarks/run.py --smoke    run everything small, write nothing

A benchmark is a module bench_*.py with `main(smoke: bool) -> list[tuple[str, str, str]]`: name,
value, requirement. Each runs in a process of its own with one thread.
"""

from __future__ import annotations

import argparse
import datetime
import json
import os
import platform
import subprocess
import sys
from pathlib import Path

FOLDER = Path(__file__).parent
MARK = "benchmark rows: "
ONE_THREAD = dict.fromkeys(
    (
        "OPENBLAS_NUM_THREADS",
        "OMP_NUM_THREADS",
        "MKL_NUM_THREADS",
        "NUMEXPR_NUM_THREADS",
        "NUMBA_NUM_THREADS",
        "VECLIB_MAXIMUM_THREADS",
    ),
    "1",
)
PROGRAM = """
import importlib, json, sys
sys.path.insert(0, sys.argv[1])
rows = importlib.import_module(sys.argv[2]).main(sys.argv[3] == "smoke")
print(sys.argv[4] + json.dumps(rows))
"""


def measure(name: str, smoke: bool) -> list[list[str]]:
    """Return the rows of one benchmark module, run in its own process."""
    answer = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(FOLDER), name, "smoke" if smoke else "full", MARK],
        env=os.environ | ONE_THREAD,
        capture_output=True,
        text=True,
        check=False,
    )
    found = [line for line in answer.stdout.splitlines() if line.startswith(MARK)]
    if answer.returncode or not found:
        raise SystemExit(f"{name} failed:\n{answer.stderr}")
    rows: list[list[str]] = json.loads(found[-1].removeprefix(MARK))
    return rows


def processor() -> str:
    """Return the processor's model as the system names it."""
    information = Path("/proc/cpuinfo")
    if information.exists():
        for line in information.read_text("utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or platform.machine()


def machine() -> str:
    """Return one sentence on what the numbers were measured with; no host, no paths."""
    import numpy as np

    return (
        f"{processor()}, {os.cpu_count()} logical cores, one thread used; {platform.system()}, "
        f"Python {platform.python_version()}, NumPy {np.__version__}."
    )


def results(tables: dict[str, list[list[str]]]) -> str:
    """Return the text of RESULTS.md."""
    lines = [
        "# Benchmark results",
        "",
        f"Measured on {datetime.date.today().isoformat()}: {machine()}",
        "",
        "Rates are by processor time, best of several runs, on a machine that may be shared: read",
        "them as +-20 %. Remade by `python benchmarks/run.py`.",
    ]
    for name, rows in tables.items():
        lines += ["", f"## {name.removeprefix('bench_').replace('_', ' ')}", ""]
        lines += ["| what | measured | required |", "| --- | --- | --- |"]
        lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Run the benchmarks and show or write their rows."""
    parser = argparse.ArgumentParser(description="Run all benchmarks of this folder.")
    parser.add_argument("--smoke", action="store_true", help="run small, write nothing")
    smoke = parser.parse_args().smoke
    tables = {}
    for path in sorted(FOLDER.glob("bench_*.py")):
        tables[path.stem] = measure(path.stem, smoke)
        for row in tables[path.stem]:
            print(path.stem, *row, sep=" | ")
    if not smoke:
        (FOLDER / "RESULTS.md").write_text(results(tables), "utf-8")


if __name__ == "__main__":
    main()
