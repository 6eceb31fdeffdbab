"""The readers' fuzz with the suite's modest number of examples.

`pytest tests/fuzz/fuzz_readers.py --hypothesis-profile=thorough` searches longer.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "fuzz"))

from fuzz_readers import *  # noqa: F403
