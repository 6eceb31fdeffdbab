"""Reading of minimal erythema doses per subject."""

from __future__ import annotations

from pathlib import Path

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.tables import Table, read_table

__all__ = ["MED_COLUMNS", "read_med_table"]

MED_COLUMNS: dict[str, tuple[str, ...]] = {
    "subject": (
        "volunteer", "panellist", "panelist", "subject id", "subject no", "subject number",
        "volunteer no", "id", "proband", "sujet", "volontaire", "code",
    ),
    "med_unprotected": (
        "MEDu", "MEDui", "MED u", "unprotected MED", "MED unprotected skin", "MED bare",
        "MED without product", "unprotected",
    ),
    "med_protected": (
        "MEDp", "MEDpi", "MED p", "protected MED", "MED protected skin", "MED with product",
        "MED product", "protected",
    ),
    "product": ("sample", "formula", "test product", "product code"),
    "remark": ("comment", "note", "rejected", "reason", "remarks", "comments"),
}  # fmt: skip
"""Columns of an erythema file with the names they go by."""

_SWAPPED_SHARE = 0.5


def read_med_table(path: str | Path, *, decimal: str | None = None) -> Table:
    """Return subject, med_unprotected and med_protected of each row, in the file's dose unit.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX; `product` and `remark` are optional columns.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Raises
    ------
    InputError
        Also if the two dose columns have different units or look swapped: a protected dose below
        the unprotected one in more than half of the rows.
    """
    table = read_table(
        path,
        MED_COLUMNS,
        text=("subject", "product", "remark"),
        optional=("product", "remark"),
        unique=("product", "subject"),
        decimal=decimal,
    )
    units = [table.units[name] for name in ("med_unprotected", "med_protected")]
    if all(units) and units[0].lower() != units[1].lower():
        raise InputError(
            f"{shown(table.name, 120)[1:-1]}: med_unprotected is in {shown(units[0])} and "
            f"med_protected in {shown(units[1])}, expected one unit for both"
        )
    bare, film = table.numbers("med_unprotected"), table.numbers("med_protected")
    lower = [index for index, (u, p) in enumerate(zip(bare, film, strict=True)) if p < u]
    if len(lower) > _SWAPPED_SHARE * len(bare):
        raise InputError(
            f"{shown(table.name, 120)[1:-1]}: med_protected is below med_unprotected in "
            f"{len(lower)} of {len(bare)} rows, first in {table.places[lower[0]]}, so the columns "
            "look swapped, expected protected doses above unprotected ones"
        )
    return table
