"""Acts on a laboratory's tests: read, evaluate by the standard, hold the prediction to it.

The acts live in `plates`, `panels`, `recorded`, `appearance` and `powders`; import them from there,
so that a command loads no more than it needs.
"""

from zincite.workbench.assay.overlay import Comparison, Expected, Overlay, open_expected
from zincite.workbench.assay.report import AssayReport, FileRead, Lines

__all__ = [
    "AssayReport",
    "Comparison",
    "Expected",
    "FileRead",
    "Lines",
    "Overlay",
    "open_expected",
]
