"""Market rules as frozen rows: limits, uses, label classes, claims, tests and notes.

Every row names its source, section, date and how sure it is. "unverified" means that the figure
is remembered and was not read; `in_force` "verify" means that the row must not decide anything.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, TypeVar

from zincite.data.regulation_rows import (
    CONFIDENCES,
    Ceiling,
    ClaimRule,
    FilterRule,
    LabelRow,
    Market,
    MarketNote,
    OrderedTest,
    Provenance,
    UseRule,
)
from zincite.data.tables import read_rows
from zincite.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "ceilings",
    "claim_rules",
    "filter_rules",
    "label_rows",
    "market",
    "market_notes",
    "markets",
    "ordered_tests",
    "use_rules",
]


def _number(cell: str, empty: float = math.nan) -> float:
    return float(cell) if cell else empty


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split("|") if part.strip())


def _origin(row: dict[str, str]) -> Provenance:
    if row["confidence"] not in CONFIDENCES:
        raise InputError(
            f"market rules: a row of {row['market']} says confidence = {row['confidence']!r}, "
            f"expected one of {', '.join(CONFIDENCES)}"
        )
    return Provenance(row["source"], row["section"], row["date"], row["confidence"])


def _coating(cell: str) -> tuple[tuple[str, float], ...]:
    found = []
    for part in cell.split("+"):
        name, _, percent = part.partition(":")
        found.append((name.strip(), _number(percent)))
    return tuple(found)


_Row = TypeVar("_Row", FilterRule, UseRule, LabelRow, ClaimRule, Ceiling, OrderedTest, MarketNote)


@lru_cache(maxsize=1)
def markets() -> tuple[Market, ...]:
    """Return all markets in the order of the file."""
    return tuple(
        Market(
            row["market"],
            row["name"],
            _parts(row["aliases"]),
            row["product_status"],
            row["nano_rule"],
            row["label_scheme"],
            _origin(row),
        )
        for row in read_rows("regulation/markets.csv")
    )


def market(name: str) -> Market:
    """Return a market by key or usual name, in any case.

    Raises
    ------
    InputError
        If there is none of that name.

    Examples
    --------
    >>> market("EU").name
    'European Union'
    """
    key = name.strip().lower().replace(" ", "-").replace("_", "-")
    for found in markets():
        if key == found.key or key in found.aliases:
            return found
    known = ", ".join(m.key for m in markets())
    raise InputError(f"market is {name!r}, expected one of {known}")


def _of(rows: Iterable[_Row], key: str) -> tuple[_Row, ...]:
    return tuple(row for row in rows if row.market == key)


def filter_rules(key: str) -> tuple[FilterRule, ...]:
    """Return a market's entries of mineral filters, by market key."""
    return _of(_filters(), key)


@lru_cache(maxsize=1)
def _filters() -> tuple[FilterRule, ...]:
    return tuple(
        FilterRule(
            market=row["market"],
            filter=row["filter"],
            form=row["form"],
            max_percent=_number(row["max_percent"]),
            disputed=row["disputed"] == "yes",
            group_max_percent=_number(row["group_max_percent"]),
            group=row["group"],
            counts_colourant=row["counts_colourant"] == "yes",
            coating_rule=row["coating_rule"],
            coatings=tuple(_coating(part) for part in _parts(row["coatings"])),
            purity_min_percent=_number(row["purity_min_percent"]),
            number_median_min_nm=_number(row["number_median_min_nm"]),
            number_d1_min_nm=_number(row["number_d1_min_nm"]),
            size_bound=row["size_bound"],
            aspect_ratio_max=_number(row["aspect_ratio_max"]),
            vssa_max_m2_cm3=_number(row["vssa_max_m2_cm3"]),
            water_solubility_max_mg_l=_number(row["water_solubility_max_mg_l"]),
            anatase_max_percent=_number(row["anatase_max_percent"]),
            photocatalytic_max_percent=_number(row["photocatalytic_max_percent"]),
            in_force=row["in_force"],
            note=row["note"],
            origin=_origin(row),
        )
        for row in read_rows("regulation/filters.csv")
    )


def use_rules(key: str) -> tuple[UseRule, ...]:
    """Return a market's rules on sprays, powders and lip products."""
    return _of(_uses(), key)


@lru_cache(maxsize=1)
def _uses() -> tuple[UseRule, ...]:
    return tuple(
        UseRule(
            row["market"],
            row["filter"],
            row["form"],
            row["product"],
            row["ruling"],
            _number(row["max_percent"]),
            row["text"],
            row["in_force"],
            _origin(row),
        )
        for row in read_rows("regulation/uses.csv")
    )


def label_rows(key: str, scheme: str = "SPF") -> tuple[LabelRow, ...]:
    """Return a market's label classes of one scheme ("SPF" or "PA") in rising order."""
    return tuple(row for row in _of(_labels(), key) if row.scheme == scheme)


@lru_cache(maxsize=1)
def _labels() -> tuple[LabelRow, ...]:
    return tuple(
        LabelRow(
            market=row["market"],
            scheme=row["scheme"],
            class_label=row["class_label"],
            tested_min=_number(row["tested_min"]),
            tested_below=_number(row["tested_below"], math.inf),
            labels=_parts(row["labels"]),
            label_max=_number(row["label_max"], math.inf),
            uva_rule=row["uva_rule"],
            uva_spf=_number(row["uva_spf"]),
            critical_wavelength_min_nm=_number(row["critical_wavelength_min_nm"]),
            in_force=row["in_force"],
            note=row["note"],
            origin=_origin(row),
        )
        for row in read_rows("regulation/label_classes.csv")
    )


def claim_rules(key: str) -> tuple[ClaimRule, ...]:
    """Return what a market's label must or must not say."""
    return _of(_claims(), key)


@lru_cache(maxsize=1)
def _claims() -> tuple[ClaimRule, ...]:
    return tuple(
        ClaimRule(row["market"], row["kind"], row["condition"], row["text"], _origin(row))
        for row in read_rows("regulation/claims.csv")
    )


def ceilings(key: str) -> tuple[Ceiling, ...]:
    """Return a market's ceilings of ingredients that are no filters."""
    return _of(_ceilings(), key)


@lru_cache(maxsize=1)
def _ceilings() -> tuple[Ceiling, ...]:
    return tuple(
        Ceiling(row["market"], row["inci"], _number(row["max_percent"]), row["text"], _origin(row))
        for row in read_rows("regulation/ceilings.csv")
    )


def ordered_tests(key: str) -> tuple[OrderedTest, ...]:
    """Return the tests to order for a market."""
    return _of(_tests(), key)


@lru_cache(maxsize=1)
def _tests() -> tuple[OrderedTest, ...]:
    return tuple(
        OrderedTest(row["market"], row["quantity"], row["method"], row["text"], _origin(row))
        for row in read_rows("regulation/tests.csv")
    )


def market_notes(key: str) -> tuple[MarketNote, ...]:
    """Return the notes on a market, then those on all markets."""
    return _of(_notes(), key) + _of(_notes(), "all")


@lru_cache(maxsize=1)
def _notes() -> tuple[MarketNote, ...]:
    return tuple(
        MarketNote(row["market"], row["subject"], row["kind"], row["text"], _origin(row))
        for row in read_rows("regulation/notes.csv")
    )
