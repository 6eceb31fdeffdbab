"""Reading of what a laboratory reported: single values, or mean, deviation and number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.records import ColumnRule, Records, read_records
from zincite.evaluation.assay.reported import ReportedSummary

__all__ = ["ReportedFile", "read_reported"]

_NAMES = {
    "spf": ("SPF value", "SPFi", "sun protection factor"),
    "uva_pf": ("UVA-PF", "UVAPF", "UVA PF value", "UVA protection factor"),
    "critical_wavelength_nm": ("critical wavelength", "lambda c", "\u03bbc"),
}
_WHO = ColumnRule(
    ("plate", "plate pair", "pair", "volunteer", "sample", "id", "no", "run"),
    text=True,
    needed=False,
)


@dataclass(frozen=True, slots=True)
class ReportedFile:
    """Reported figures of one file and the preview.

    Attributes
    ----------
    name : str
        File name.
    figures : dict of str to (tuple of float, or ReportedSummary)
        By "spf", "uva_pf", "critical_wavelength_nm".
    understood : tuple of str
    """

    name: str
    figures: dict[str, tuple[float, ...] | ReportedSummary]
    understood: tuple[str, ...]


def read_reported(
    path: str | Path, figures: Sequence[str], *, decimal: str | None = None
) -> ReportedFile:
    """Return reported figures.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with a row a value and columns named as the figures; or one row with
        spf_mean, spf_sd and n, likewise for the others.
    figures : sequence of str
        Which may be there: "spf", "uva_pf", "critical_wavelength_nm".
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    # a layout for each figure that may be the only one; the plainest last, for messages
    wanted = [*figures[1:], figures[0]]
    summaries = [_summary_columns(figures, needed) for needed in wanted]
    values = [_value_columns(figures, needed) for needed in wanted]
    found = read_records(path, *summaries, *values, decimal=decimal)
    if found.layout < len(summaries):
        return ReportedFile(found.name, _summaries(found, figures), found.understood)
    columns = {
        name: tuple(x for row in found.rows if (x := row.number(name)) is not None)
        for name in figures
        if name in found.columns
    }
    return ReportedFile(found.name, {k: v for k, v in columns.items() if v}, found.understood)


def _value_columns(figures: Sequence[str], needed: str) -> dict[str, ColumnRule]:
    return {
        "subject": _WHO,
        **{
            name: ColumnRule(_NAMES[name], needed=name == needed, blank=len(figures) > 1)
            for name in figures
        },
    }


def _summary_columns(figures: Sequence[str], needed: str) -> dict[str, ColumnRule]:
    columns = {"n": ColumnRule(("number", "subjects", "plates", "count"))}
    for name in figures:
        plain = name.replace("_nm", "").replace("_", " ")
        columns[f"{name}_mean"] = ColumnRule(
            (f"mean {plain}", f"{plain} mean"), needed=name == needed, blank=True
        )
        columns[f"{name}_sd"] = ColumnRule(
            (f"sd {plain}", f"{plain} sd", *(("sd",) if len(figures) == 1 else ())),
            needed=False,
            above=-1e-12,
        )
    return columns


def _summaries(
    found: Records, figures: Sequence[str]
) -> dict[str, tuple[float, ...] | ReportedSummary]:
    if len(found.rows) != 1:
        found.fail(f"holds {len(found.rows)} rows of means, expected one")
    row = found.rows[0]
    n = row.number("n") or 0.0
    if n != int(n):
        found.fail(f"{row.place} holds {n:g} for n, expected a whole number")
    result: dict[str, tuple[float, ...] | ReportedSummary] = {}
    for name in figures:
        mean = row.number(f"{name}_mean")
        if mean is not None:
            result[name] = ReportedSummary(mean, row.number(f"{name}_sd"), int(n))
    return result
