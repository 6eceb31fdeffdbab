"""Results as plain JSON values."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

__all__ = ["plain"]


def plain(value: object) -> Any:
    """Return a result as what JSON can hold: numbers, text, lists and dicts.

    Parameters
    ----------
    value : object
        Number, text, array, mapping, sequence or dataclass of these.

    Returns
    -------
    object
        A number that is not finite becomes None.

    Examples
    --------
    >>> plain({"a": (1, float("nan")), "b": np.float64(2.5)})
    {'a': [1, None], 'b': 2.5}
    """
    if isinstance(value, np.generic | np.ndarray):
        return plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    return value
