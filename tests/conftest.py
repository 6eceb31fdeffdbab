"""Settings that all tests share."""

import sys
from pathlib import Path

from hypothesis import settings

# `from reference.x import y`, the second opinions, from any folder of tests
sys.path.insert(0, str(Path(__file__).parent))

# the same examples each time: a red test must be red for everyone
settings.register_profile("zincite", deadline=None, derandomize=True, print_blob=False)
# for a night's search: --hypothesis-profile=thorough
settings.register_profile("thorough", deadline=None, max_examples=2000)
settings.load_profile("zincite")
