"""The fuzz of the readers of results with the suite's modest number of examples."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "fuzz"))

from fuzz_result_tables import *  # noqa: F403
