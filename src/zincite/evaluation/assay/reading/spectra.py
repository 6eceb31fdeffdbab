"""Reading of spectra: any export of a spectrophotometer to readings at 290-400 nm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from zincite.evaluation.assay.reading.axes import Block, find_blocks
from zincite.evaluation.assay.reading.cleaning import clean
from zincite.evaluation.assay.reading.deciding import decide_kinds
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.grid import Grid, read_grid
from zincite.evaluation.assay.reading.labels import Label, is_statistic, label_columns, settle
from zincite.evaluation.assay.reading.quantity import Kind, requested_kinds
from zincite.evaluation.assay.reading.readings import Column, read_column
from zincite.evaluation.assay.reading.regridding import GRID_NM, SATURATION_ABSORBANCE, Gap
from zincite.evaluation.assay.reading.sentences import (
    axis_sentences,
    label_sentence,
    left_out_sentences,
    repair_sentences,
)

__all__ = ["SpectraFile", "read_spectra"]


@dataclass(frozen=True, slots=True, eq=False)
class SpectraFile:
    """The spectra of one file at 290-400 nm.

    Attributes
    ----------
    name : str
        File name.
    wavelength_nm : ndarray, shape (111,)
        290 to 400 in steps of 1. [nm]
    values : ndarray, shape (n_spectra, 111)
        Transmittance as a fraction, or absorbance, as `quantity` says. [-]
    quantity : str
        "transmittance" or "absorbance".
    names, plates, spots, conditions : tuple of str, length n_spectra
        Header text, plate label, spot label, and "before", "after" or "" of each spectrum.
    columns : tuple of str, length n_spectra
        Where each spectrum stands, such as "column B of sheet 'Scan'".
    saturated : ndarray of bool, shape (n_spectra, 111)
        Where absorbance is only a lower bound (transmittance an upper one).
    gaps : tuple of Gap
        Stretches that were interpolated.
    understood : tuple of str
        What the reader understood, in sentences.
    """

    name: str
    wavelength_nm: NDArray[np.float64]
    values: NDArray[np.float64]
    quantity: str
    names: tuple[str, ...]
    plates: tuple[str, ...]
    spots: tuple[str, ...]
    conditions: tuple[str, ...]
    columns: tuple[str, ...]
    saturated: NDArray[np.bool_]
    gaps: tuple[Gap, ...]
    understood: tuple[str, ...]

    @property
    def absorbance(self) -> NDArray[np.float64]:
        """Absorbance, shape (n_spectra, 111). [-]"""
        if self.quantity == "absorbance":
            return self.values
        return np.asarray(-np.log10(self.values))

    @property
    def transmittance(self) -> NDArray[np.float64]:
        """Transmittance as a fraction, shape (n_spectra, 111). [-]"""
        return self.values if self.quantity == "transmittance" else np.asarray(10.0**-self.values)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.name,
            "quantity": self.quantity,
            "wavelength_nm": self.wavelength_nm.tolist(),
            "spectra": [
                {
                    "name": self.names[index],
                    "plate": self.plates[index],
                    "spot": self.spots[index],
                    "condition": self.conditions[index] or None,
                    "column": self.columns[index],
                    "values": self.values[index].tolist(),
                    "saturated_nm": self.wavelength_nm[self.saturated[index]].tolist(),
                }
                for index in range(len(self.names))
            ],
            "understood": list(self.understood),
        }


def read_spectra(
    path: str | Path, *, quantity: str | None = None, decimal: str | None = None
) -> SpectraFile:
    """Return the spectra of an instrument's file.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with wavelengths in a column or in a row, in one block or several.
    quantity : str, optional
        "absorbance" or "transmittance", also "transmittance_percent" and
        "transmittance_fraction", where the file itself cannot tell or holds both.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    SpectraFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.

    Notes
    -----
    Repairs, each said in `understood`: gaps of at most 2 nm and steps other than 1 nm are
    interpolated linearly in absorbance; a reading over range becomes its lower bound; transmittance
    of 0 and noise down to -0.5 % become the bound of 3.5 A. Means, baselines and indices beside
    the spectra are left out.
    """
    requested = requested_kinds(quantity)
    grid = read_grid(path, decimal=decimal, thousands_possible=False)
    blocks = find_blocks(grid)
    groups, left_out = _columns(grid, blocks)
    labels, label_notes = settle([labels for _, labels in groups])
    columns = [column for members, _ in groups for column in members]
    decision = decide_kinds(grid, columns, requested)
    labels = [label for label, keep in zip(labels, decision.keep, strict=True) if keep]
    columns = [column for column, keep in zip(columns, decision.keep, strict=True) if keep]
    highest = _highest(columns, decision.kinds)
    spectra = [
        clean(column, kind, highest=highest)
        for column, kind in zip(columns, decision.kinds, strict=True)
    ]
    is_absorbance = decision.kinds[0] is Kind.ABSORBANCE
    understood = (
        grid.describe(),
        *grid.notes,
        *axis_sentences(blocks, spectra),
        decision.sentence,
        label_sentence(labels),
        *label_notes,
        *left_out_sentences(left_out),
        *repair_sentences(spectra),
    )
    return SpectraFile(
        name=grid.name,
        wavelength_nm=GRID_NM,
        values=np.array([s.absorbance if is_absorbance else s.transmittance for s in spectra]),
        quantity="absorbance" if is_absorbance else "transmittance",
        names=tuple(label.name for label in labels),
        plates=tuple(label.plate for label in labels),
        spots=tuple(label.spot for label in labels),
        conditions=tuple(label.condition for label in labels),
        columns=tuple(column.place for column in columns),
        saturated=np.array([s.saturated for s in spectra]),
        gaps=tuple(
            Gap(index, first, last)
            for index, spectrum in enumerate(spectra)
            for first, last in spectrum.gaps
        ),
        understood=understood,
    )


def _columns(
    grid: Grid, blocks: Sequence[Block]
) -> tuple[list[tuple[list[Column], list[Label]]], list[str]]:
    """Return the spectra of each block with their labels, and what was left out."""
    groups: list[tuple[list[Column], list[Label]]] = []
    left_out: list[str] = []
    for block in blocks:
        _check_even(grid, block)
        found: list[Column] = []
        for index in block.columns:
            column, reason = read_column(block, index)
            if column is not None:
                found.append(column)
            elif reason:
                left_out.append(f"{block.view.column_name(index)} ({reason})")
        labels = label_columns(block, [column.index for column in found])
        members = [
            (column, label)
            for column, label in zip(found, labels, strict=True)
            if not is_statistic(label.name)
        ]
        left_out += [
            f"{column.place} ({shown(label.name)})"
            for column, label in zip(found, labels, strict=True)
            if is_statistic(label.name) and members
        ]
        members = members or list(zip(found, labels, strict=True))
        if members:
            groups.append(([column for column, _ in members], [label for _, label in members]))
    if not groups:
        where = blocks[0].view.column_name(blocks[0].column)
        grid.fail(f"has wavelengths in {where} but no readings beside them, expected spectra")
    return groups, left_out


def _check_even(grid: Grid, block: Block) -> None:
    """Refuse a row whose cells are shifted: one too few between blanks, one too many elsewhere."""
    if not grid.delimiter or block.view.turned:
        return
    rows = block.view.lines
    usual = Counter(len(rows[line]) for line in block.lines).most_common(1)[0][0]
    head = len(rows[block.header_line]) if block.header_line >= 0 else 0
    for line in block.lines:
        found = len(rows[line])
        if found < usual and grid.delimiter == " ":
            grid.fail(
                f"{block.view.line_name(line)} holds {found} cells where others hold {usual}, "
                "expected the same number (a gap needs a word such as NaN between blanks)"
            )
        if found > max(usual, head) and isinstance(rows[line][-1], float):
            grid.fail(
                f"{block.view.line_name(line)} holds {found} cells where others hold {usual}, "
                "expected the same number (is a decimal sign taken for the cells' delimiter?)"
            )


def _highest(columns: Sequence[Column], kinds: Sequence[Kind]) -> float:
    """Return the highest absorbance read, the least that a bare OVER means. [-]"""
    tops = [
        float(np.nanmax(column.values))
        for column, kind in zip(columns, kinds, strict=True)
        if kind is Kind.ABSORBANCE and np.isfinite(column.values).any()
    ]
    return max(tops, default=SATURATION_ABSORBANCE)
