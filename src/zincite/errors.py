"""The error vocabulary: one class for each situation a chemist can be in.

Every message is one sentence that says where, what was found and what is expected.
"""

from __future__ import annotations

__all__ = [
    "ConflictError",
    "DamagedError",
    "FormulaError",
    "InputError",
    "MissingDataError",
    "NotAllowedError",
    "NotebookError",
    "OutOfRangeError",
    "ReadOnlyError",
    "UnknownMaterialError",
    "ZinciteError",
]


class ZinciteError(Exception):
    """Base of all errors that zincite raises on purpose."""


class InputError(ZinciteError):
    """A file, option or cell cannot be read as what it should be."""


class FormulaError(InputError):
    """A formula is readable but not possible, such as a sum that is not 100 %."""


class UnknownMaterialError(InputError):
    """A material id that neither the library nor the formula file knows."""


class OutOfRangeError(InputError, ValueError):
    """A number outside the range in which the model or the data hold."""


class MissingDataError(ZinciteError):
    """A value that the question needs and no card or file gives."""


class NotebookError(InputError):
    """A notebook that is not there, is damaged, or does not hold what is asked for."""


class ConflictError(NotebookError):
    """Somebody else changed the same thing since it was opened."""


class DamagedError(NotebookError):
    """A notebook whose file is broken."""


class ReadOnlyError(NotebookError):
    """A notebook that can be read but not written."""


class NotAllowedError(NotebookError):
    """An act that the account's role does not include."""
