"""Quantities of the notebook in words: what a key such as "delta_e00 dark" is called."""

from __future__ import annotations

from zincite.notebook.quantities import unit_of

__all__ = ["quantity_words"]

_WORDS = {
    "spf": "SPF",
    "spf_in_vitro": "SPF in vitro",
    "spf_static": "SPF, static",
    "spf_wet": "SPF, wet",
    "uva_pf": "UVA-PF",
    "uva_pf0": "UVA-PF0",
    "uva_pf_to_spf": "UVA-PF / SPF",
    "uva_to_uvb": "UVA / UVB",
    "uva1_share": "UVA1 share",
    "delta_l": "dL*",
    "delta_e00": "dE00",
    "delta_ita_deg": "dITA",
    "natural_origin_percent": "natural origin",
    "natural_origin_percent_without_water": "natural origin without water",
    "cost_per_kg": "cost",
    "retention_percent": "SPF retained in water",
    "loss_percent": "loss of",
    "ph": "pH",
}
_OF_SKIN = ("delta_l", "delta_e00", "delta_ita_deg")
_ENDINGS = ("_percent", "_nm", "_um", "_g_ml", "_mPas", "_Pa", "_deg", "_m2_g", "_C")


def quantity_words(key: str) -> str:
    """Return a quantity in words, its unit left out.

    Examples
    --------
    >>> quantity_words("critical_wavelength_nm"), quantity_words("delta_e00 dark")
    ('critical wavelength', 'dE00, dark skin')
    """
    first, _, rest = key.partition(" ")
    words = _WORDS.get(first)
    if words is None and "_" in first:
        ending = next((end for end in _ENDINGS if unit_of(first) and first.endswith(end)), "")
        words = first.removesuffix(ending).replace("_", " ")
    said = first if words is None else words
    if first in _OF_SKIN and rest:
        return f"{said}, {rest} skin"
    return f"{said} {_WORDS.get(rest, rest)}".strip()
