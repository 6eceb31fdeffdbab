"""The formula that a command is about: a file, or a version of a notebook; and what pages print."""

from __future__ import annotations

from typing import TYPE_CHECKING

from zincite.errors import InputError

if TYPE_CHECKING:
    from zincite.formula.formula import Formula

__all__ = ["head_line", "opened_formula"]


def opened_formula(formula: str, cards: str | None, notebook: str | None) -> Formula:
    """Return the formula of a file, or of a notebook where one is named.

    Parameters
    ----------
    formula : str
        A file, or a code such as "K-07@2" of the notebook.
    cards : str or None
        Material cards used before the library's; of files only.
    notebook : str or None

    Raises
    ------
    InputError
        If it cannot be opened, or cards are named with a notebook.
    """
    if notebook is None:
        from zincite.workbench.formulas import open_formula

        return open_formula(formula, cards=cards)
    if cards is not None:
        raise InputError(
            "--cards with --notebook: a stored version has its own cards, expected no --cards"
        )
    from zincite.workbench.notebook.formulas import open_version

    return open_version(notebook, formula)


def head_line(notebook: str | None) -> str:
    """Return what a page prints of the notebook it was made from, "" without one."""
    if notebook is None:
        return ""
    from zincite.workbench.notebook.care import head_of

    return head_of(notebook).line
