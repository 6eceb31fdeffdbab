"""Answers on making as sheets and pictures: one description that terminal and page both show.

Each kind has one module here with `sheet(report) -> Sheet` and `pictures(report)`.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from zincite.interfaces.documents.sheet import Picture, Sheet
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures_of", "sheet_of"]


def _module(report: MakingReport[Any]) -> Any:
    return import_module(f"{__name__}.{report.kind.replace('-', '_')}")


def sheet_of(report: MakingReport[Any]) -> Sheet:
    """Return the sheet of an answer; only that kind's module is loaded."""
    found: Sheet = _module(report).sheet(report)
    return found


def pictures_of(report: MakingReport[Any]) -> tuple[Picture, ...]:
    """Return the pictures of an answer, the telling one first."""
    found: tuple[Picture, ...] = _module(report).pictures(report)
    return found
