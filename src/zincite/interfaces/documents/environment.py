"""The templates' environment, which all pages share."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from markupsafe import Markup

from zincite.formula.brief import SKIN_CLASSES
from zincite.interfaces.documents.marks import verdict_icon
from zincite.interfaces.documents.names import short_name
from zincite.interfaces.documents.numbers import (
    found_text,
    interval_text,
    number_text,
    percent_text,
    signed_text,
    typeset,
    value_text,
    with_unit,
)
from zincite.interfaces.documents.rows import is_assumed

if TYPE_CHECKING:
    from jinja2 import Environment

__all__ = ["environment"]


@cache
def environment() -> Environment:
    """Return the templates' environment; everything is escaped unless it is a picture of ours."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=PackageLoader("zincite.interfaces.documents", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "found": found_text,
        "found_signed": lambda value: found_text(value, signed=True),
        "value": value_text,
        "interval": interval_text,
        "number": number_text,
        "places": lambda value, decimals: number_text(value, decimals=decimals),
        "signed": signed_text,
        "probability": percent_text,
        "short_name": short_name,
        "typeset": typeset,
        "assumed": is_assumed,
    }
    made.globals |= {
        "icon": lambda verdict: Markup(verdict_icon(verdict)),
        "with_unit": with_unit,
        "skin_classes": SKIN_CLASSES,
    }
    return made
