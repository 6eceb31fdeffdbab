"""Readers of instrument files: each says what it understood and refuses what is ambiguous."""

from __future__ import annotations

from zincite.evaluation.assay.reading.grid import Grid, Origin, read_grid
from zincite.evaluation.assay.reading.spectra import SpectraFile, read_spectra

__all__ = ["Grid", "Origin", "SpectraFile", "read_grid", "read_spectra"]
