"""How long a command needs from its start: help, and a cold prediction of the demo's formula.

Wall-clock time of whole processes, the least of several runs; beside each stands the time of an
empty Python process in the same run, because a busy machine slows both.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import zincite.data

FORMULA = Path(zincite.data.__file__).parent / "demo" / "fluid.toml"
COMMAND = "from zincite.interfaces.cli.main import main; main()"
HELP_LIMIT_S = 0.2
PREDICT_LIMIT_S = 2.0


def seconds(arguments: list[str], runs: int) -> float:
    """Return the least wall-clock time of a process. [s]"""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run(arguments, check=True, stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    return min(times)


def main(smoke: bool) -> list[tuple[str, str, str]]:
    """Return name, value and requirement of each measurement."""
    runs = 2 if smoke else 7
    python = [sys.executable, "-c"]
    empty = seconds([*python, "pass"], runs)
    shown = seconds([*python, COMMAND, "--help"], runs)
    made = seconds([*python, COMMAND, "predict", str(FORMULA)], runs)
    return [
        ("empty Python process, the reference", f"{empty:.3f} s", ""),
        ("`zincite --help`", f"{shown:.3f} s, {shown / empty:.1f} x", f"< {HELP_LIMIT_S:g} s"),
        (
            "`zincite predict`, cold, 19 ingredients",
            f"{made:.2f} s, {made / empty:.0f} x",
            f"< {PREDICT_LIMIT_S:g} s",
        ),
    ]


if __name__ == "__main__":
    for row in main("--smoke" in sys.argv):
        print(*row, sep=" | ")
