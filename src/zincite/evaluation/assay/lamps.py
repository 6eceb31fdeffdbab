"""The spectra that an in-vitro evaluation uses, and which of them are assumed."""

from __future__ import annotations

from collections.abc import Iterable

from zincite.data.photobiology import photobiology

__all__ = ["LAMPS", "lamp_labels", "lamp_marks"]

LAMPS = ("erythema", "simulator_W_m2_nm", "ppd", "uva_source_relative")
"""Spectra that an evaluation uses, as fields of `zincite.data.photobiology.Photobiology`."""


def lamp_labels(columns: Iterable[str]) -> tuple[dict[str, str], ...]:
    """Return label, status and note of the spectra that an evaluation used, to print beside it.

    Parameters
    ----------
    columns : iterable of str
        Fields of `zincite.data.photobiology.Photobiology`.
    """
    info = photobiology().info
    return tuple(
        {"label": x.label, "status": x.status.value, "note": x.note}
        for x in (info[column] for column in columns)
    )


def lamp_marks(columns: Iterable[str]) -> tuple[str, ...]:
    """Return one line for each spectrum that is an assumption."""
    return tuple(
        f"{x['label']}: assumed ({x['note']})"
        for x in lamp_labels(columns)
        if x["status"] == "assumed"
    )
