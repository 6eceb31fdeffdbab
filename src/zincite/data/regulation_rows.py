"""The frozen rows of the market rules; `regulation_tables` reads them."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "CONFIDENCES",
    "Ceiling",
    "ClaimRule",
    "FilterRule",
    "LabelRow",
    "Market",
    "MarketNote",
    "OrderedTest",
    "Provenance",
    "UseRule",
]

CONFIDENCES = ("verified", "unverified")
"""Whether a figure was read in a source or is only remembered."""


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a rule stands.

    Attributes
    ----------
    key : str
        Source key in the package's source list.
    section : str
        Entry, article or table.
    date : str
        Date of the instrument, or the day it was looked for ("gathered ...").
    confidence : str
        One of `CONFIDENCES`.
    """

    key: str
    section: str
    date: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Market:
    """A market: key, name, product status and whether its law treats nano forms apart."""

    key: str
    name: str
    aliases: tuple[str, ...]
    product_status: str
    nano_rule: str
    label_scheme: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class FilterRule:
    """The entry of one mineral filter in one market.

    Percentages are of the product by mass, coating maxima of the powder; sizes in nm by number;
    nan where the entry states no such limit. `coatings` holds the permitted alternatives, each a
    tuple of (INCI name in lower case, largest percent or nan); `coating_rule` is "one of"
    (a single coating), "any of" (several listed ones together) or "" (no list).
    """

    market: str
    filter: str
    form: str
    max_percent: float
    disputed: bool
    group_max_percent: float
    group: str
    counts_colourant: bool
    coating_rule: str
    coatings: tuple[tuple[tuple[str, float], ...], ...]
    purity_min_percent: float
    number_median_min_nm: float
    number_d1_min_nm: float
    size_bound: str
    aspect_ratio_max: float
    vssa_max_m2_cm3: float
    water_solubility_max_mg_l: float
    anatase_max_percent: float
    photocatalytic_max_percent: float
    in_force: str
    note: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class UseRule:
    """A use that a market restricts: spray, powder or lip product."""

    market: str
    filter: str
    form: str
    product: str
    ruling: str
    max_percent: float
    text: str
    in_force: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class LabelRow:
    """One class of a market's SPF or UVA label.

    Attributes
    ----------
    tested_min, tested_below : float
        Tested value from (inclusive) and up to (exclusive, inf where open).
    labels : tuple of str
        Permitted label texts in rising order; ("actual",) prints the integer part.
    label_max : float
        Largest number that "actual" may print, inf where open.
    uva_rule : str
        "third of label SPF" or "".
    uva_spf : float
        Number that the UVA rule divides by three, nan for the label's own number.
    critical_wavelength_min_nm : float
        In nm, nan where there is none.
    """

    market: str
    scheme: str
    class_label: str
    tested_min: float
    tested_below: float
    labels: tuple[str, ...]
    label_max: float
    uva_rule: str
    uva_spf: float
    critical_wavelength_min_nm: float
    in_force: str
    note: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class ClaimRule:
    """What the label must or must not say."""

    market: str
    kind: str
    condition: str
    text: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class Ceiling:
    """Largest share of an ingredient that is no filter, in percent of the product."""

    market: str
    inci: str
    max_percent: float
    text: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class OrderedTest:
    """A test to order for a market."""

    market: str
    quantity: str
    method: str
    text: str
    origin: Provenance


@dataclass(frozen=True, slots=True)
class MarketNote:
    """A contradiction, draft, opinion or change that a report prints."""

    market: str
    subject: str
    kind: str
    text: str
    origin: Provenance
