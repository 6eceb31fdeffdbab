"""Readers of instrument files: each says what it understood and refuses what is ambiguous.

All raise `InputError` with one sentence that names the file and, where there is one, the cell.
"""

from __future__ import annotations

from zincite.evaluation.assay.reading.colour import ColourFile, ColourRow, read_colour
from zincite.evaluation.assay.reading.flow_curve import FlowFile, read_flow_curve
from zincite.evaluation.assay.reading.grid import Grid, Origin, read_grid
from zincite.evaluation.assay.reading.med import MED_COLUMNS, read_med_table
from zincite.evaluation.assay.reading.size_distribution import SizeFile, read_size_distribution
from zincite.evaluation.assay.reading.spectra import SpectraFile, read_spectra
from zincite.evaluation.assay.reading.tables import Table, read_table

__all__ = [
    "MED_COLUMNS",
    "ColourFile",
    "ColourRow",
    "FlowFile",
    "Grid",
    "Origin",
    "SizeFile",
    "SpectraFile",
    "Table",
    "read_colour",
    "read_flow_curve",
    "read_grid",
    "read_med_table",
    "read_size_distribution",
    "read_spectra",
    "read_table",
]
