"""Names of phases: what they are called, what kind they say to be, how warm they are held."""

from __future__ import annotations

import re
from dataclasses import dataclass

from zincite.workbench.sheets.words import plain

__all__ = ["PhaseLabel", "heading", "phase_label"]

_WORD = r"(?:phase|ph|teil|partie|fase|part)"
_NAMED = re.compile(
    rf"{_WORD}\s*[.:#-]?\s*([a-z]\d?|\d{{1,2}}[a-z]?|[ivx]{{1,4}})(?![\w])(.*)", re.I
)
_LEADING = re.compile(r"([A-Z]\d?|\d{1,2}|[IVX]{1,4})\s*[:.)–-]\s*(.*)")
_SINGLE = re.compile(r"[A-Za-z]\d?|\d{1,2}[a-z]?|[IVX]{1,4}")
_NUMBERED = re.compile(r"(\d{1,2})\.0+")
_TEMPERATURE = re.compile(r"(-?\d{1,3}(?:[.,]\d)?)\s*(?:°\s*|deg\s*|grad\s*)?C(?![a-z])", re.I)
_KINDS = (
    ("pigment", r"pigments?|pigmento?s?|powders?|pulver|poudres?|polvos?|uv filters?|filter"
                r"|mill ?base|mahlgut|farbphase"),
    ("water", r"water|aqueous|wasser|wassrig\w*|aqueuse|eau|agua|acuosa|aq"),
    ("cool-down", r"cool ?(?:ing)?(?: |-)?down|cool|cooling|abkuhl\w*|kuhl\w*|refroid\w*|enfri\w*"
                  r"|additives?|zusatze|additifs|aditivos|post|actives|wirkstoffe"),
    ("oil", r"oils?|oily|ol|olig\w*|fett\w*|lipid\w*|lipo\w*|huile|huileuse|grasse|aceite|oleosa"
            r"|grasa|fat|silicone|wax"),
)  # fmt: skip
_KIND_PATTERNS = tuple((kind, re.compile(rf"(?<!\w)(?:{p})(?!\w)")) for kind, p in _KINDS)
_PHASE_WORD = re.compile(rf"(?<!\w)(?:{_WORD}|\w*phase)(?!\w)")


@dataclass(frozen=True, slots=True)
class PhaseLabel:
    """What a text says about a phase.

    Attributes
    ----------
    name : str
        Short name, such as "A".
    kind : str
        "oil", "water", "pigment", "cool-down", or "" where it does not say.
    temperature_C : float or None
    remark : str
        Further words.
    """

    name: str
    kind: str = ""
    temperature_C: float | None = None
    remark: str = ""


def _kind(text: str) -> str:
    """Return the kind that words name, "" for none or several ("oil in water")."""
    words = plain(text)
    # German joins the words: "Ölphase", "Wasserphase"
    words = re.sub(r"(\w{2,})phase(?!\w)", r"\1 phase", words)
    found = [kind for kind, pattern in _KIND_PATTERNS if pattern.search(words)]
    return found[0] if len(found) == 1 else ""


def _temperature(text: str) -> float | None:
    found = _TEMPERATURE.search(text)
    value = float(found[1].replace(",", ".")) if found else None
    return value if value is None or -20 <= value <= 150 else None


def phase_label(text: str) -> PhaseLabel:
    """Return what a cell of a phase column, or a heading, says.

    Examples
    --------
    >>> phase_label("Phase B: Wasserphase (75 °C)")
    PhaseLabel(name='B', kind='water', temperature_C=75.0, remark='Wasserphase (75 °C)')
    """
    text = text.strip()
    numbered = _NUMBERED.fullmatch(text)
    named = _NAMED.fullmatch(text) or _LEADING.fullmatch(text)
    if numbered:
        return PhaseLabel(numbered[1])
    if named:
        rest = named[2].strip(" :.-–()/")
        return PhaseLabel(named[1], _kind(named[2]), _temperature(named[2]), rest)
    if _SINGLE.fullmatch(text):
        return PhaseLabel(text)
    short = re.sub(r"\(.*?\)", "", text).strip(" :.-–")
    return PhaseLabel((short or text)[:60], _kind(text), _temperature(text))


def heading(text: str) -> PhaseLabel | None:
    """Return the phase that a line between ingredients opens, None where it opens none.

    Examples
    --------
    >>> heading("Ölphase").kind, heading("B) water phase").name, heading("stir well")
    ('oil', 'B', None)
    """
    text = text.strip()
    if len(text) > 80 or not text:
        return None
    if _NAMED.fullmatch(text) or _SINGLE.fullmatch(text):
        return phase_label(text)
    leading = _LEADING.fullmatch(text)
    if leading and (_kind(leading[2]) or _PHASE_WORD.search(plain(leading[2]))):
        return phase_label(text)
    short = plain(re.sub(r"\(.*?\)", "", text))
    if len(_PHASE_WORD.findall(short)) == 1 and len(short.split()) <= 4:
        return phase_label(text)
    # "Water" or "Wax" alone may be an ingredient without an amount; these are not
    alone = any(k in ("pigment", "cool-down") and p.sub("", short).strip() in ("", "dispersion")
                and p.search(short) for k, p in _KIND_PATTERNS)  # fmt: skip
    return phase_label(text) if alone else None
