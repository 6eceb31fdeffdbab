"""Settings that all tests share; its place also puts `tests/` on the import path."""

from hypothesis import settings

# the same examples each time: a red test must be red for everyone
settings.register_profile("zincite", deadline=None, derandomize=True, print_blob=False)
settings.load_profile("zincite")
