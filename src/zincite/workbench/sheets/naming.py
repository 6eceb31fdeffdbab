"""Which material card a name in a sheet means."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from zincite.errors import UnknownMaterialError
from zincite.evaluation.assay.reading.files import shown
from zincite.formula.library import card_id, library, suggest
from zincite.formula.material import Material
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.water import is_water
from zincite.workbench.sheets.words import plain

__all__ = ["Cards", "NameMatch", "inci_key"]

_JOIN = re.compile(r"\s*(?:\(and\)|\(und\)|\(et\)|\(y\)|\s&\s|\s\+\s|;|\n|,\s+(?![0-9]))\s*", re.I)
_SPELLINGS = (
    (r"\bsulph", "sulf"),
    (r"\baluminium\b", "aluminum"),
    (r"\bglycerine?\b|\bglycerol\b", "glycerin"),
    (r"\btriglycerides\b", "triglyceride"),
    (r"\bnano\b", ""),
    (r"\bci ?(\d{5})\b", r"ci \1"),
)
_SAME = {
    "ci 77891": "titanium dioxide",
    "ci 77947": "zinc oxide",
    "alcohol denat": "alcohol",
    "denatured alcohol": "alcohol",
    "ethanol": "alcohol",
    "zinkoxid": "zinc oxide",
    "oxyde de zinc": "zinc oxide",
    "oxido de zinc": "zinc oxide",
    "titandioxid": "titanium dioxide",
    "dioxyde de titane": "titanium dioxide",
    "dioxido de titanio": "titanium dioxide",
    "glyzerin": "glycerin",
    "glicerina": "glycerin",
    "magnesiumsulfat": "magnesium sulfate",
    "sulfate de magnesium": "magnesium sulfate",
    "natriumchlorid": "sodium chloride",
    "mct": "caprylic capric triglyceride",
    "shea butter": "butyrospermum parkii butter",
    "sheabutter": "butyrospermum parkii butter",
    "jojoba oil": "simmondsia chinensis seed oil",
    "jojobaol": "simmondsia chinensis seed oil",
    "castor oil": "ricinus communis seed oil",
    "sunflower oil": "helianthus annuus seed oil",
    "beeswax": "cera alba",
    "bienenwachs": "cera alba",
    "candelilla wax": "euphorbia cerifera wax",
    "carnauba wax": "copernicia cerifera wax",
}
"""Common names and second INCI names of substances of the library."""


def inci_key(name: str) -> str:
    """Return a name as it is compared: spellings unified, parts of a blend in one order.

    Examples
    --------
    >>> inci_key("Zinc Oxide [nano] & TRIETHOXYCAPRYLYLSILANE")
    'triethoxycaprylylsilane + zinc oxide'
    """
    parts = []
    for part in _JOIN.split(name):
        words = plain(part)
        for pattern, spelling in _SPELLINGS:
            words = re.sub(pattern, spelling, words)
        words = " ".join(words.split())
        parts.append(_SAME.get(words, words))
    return " + ".join(sorted(filter(None, parts)))


@dataclass(frozen=True, slots=True)
class NameMatch:
    """A name of the sheet and the card that it means.

    Attributes
    ----------
    name, inci : str
        As written.
    place : str
        First cell where it stands.
    material : str
        Id of the card, "" where none is sure.
    how : str
        "id", "INCI", "as you said", "remembered", "new card", or why there is none.
    suggestions : tuple of str
        Ids that may be meant.
    layout : str
        Fingerprint of the table it stands in.
    """

    name: str
    inci: str
    place: str
    material: str
    how: str
    suggestions: tuple[str, ...] = ()
    layout: str = ""

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "name": self.name,
            "inci": self.inci,
            "place": self.place,
            "material": self.material or None,
            "how": self.how,
            "suggestions": list(self.suggestions),
        }


class Cards:
    """The cards that names may mean: own ones before the library's.

    Attributes
    ----------
    own : dict of str to Material
        Of the notebook or of a file, by id.
    """

    def __init__(self, own: Mapping[str, Material]) -> None:
        self.own = dict(own)
        self._by_inci: dict[str, list[str]] = {}
        for key, card in {**library(), **self.own}.items():
            self._by_inci.setdefault(inci_key(card.inci), []).append(key)

    def __contains__(self, key: str) -> bool:
        return key in self.own or key in library()

    def __getitem__(self, key: str) -> Material:
        return self.own[key] if key in self.own else library()[key]

    def match(
        self, names: tuple[str, str, str], place: str, answers: Answers, layout: str
    ) -> NameMatch:
        """Return the card of a row's name, INCI name and code.

        Raises
        ------
        UnknownMaterialError
            If an answer names a card that is not there.
        """
        name, inci, code = names
        called = name or inci or code
        found, how = self._answered(names, answers, layout)
        if not found:
            found, how = self._exact((code, name, inci))
        if found:
            return NameMatch(called, inci, place, found, how, layout=layout)
        for text in (inci, name):
            candidates = self._by_inci.get(inci_key(text), []) if text else []
            if is_water(text):
                candidates = ["water"]
            if len(candidates) == 1:
                return NameMatch(called, inci, place, candidates[0], "INCI", layout=layout)
            if candidates:
                why = f"{len(candidates)} cards have this INCI name"
                return NameMatch(called, inci, place, "", why, tuple(candidates), layout)
        return NameMatch(called, inci, place, "", "no card", self._near(names), layout)

    def _answered(
        self, names: tuple[str, str, str], answers: Answers, layout: str
    ) -> tuple[str, str]:
        for text in names:
            key, how = answers.name_id(text, layout) if text else ("", "")
            if not key:
                continue
            if key not in self:
                if how == "remembered":
                    continue
                close = suggest(key, self.own)
                raise UnknownMaterialError(
                    f"--map {shown(text)}: no card has the id {shown(key)}"
                    + (f", expected a known one such as {', '.join(close)}" if close else "")
                )
            return key, how
        return "", ""

    def _exact(self, names: tuple[str, ...]) -> tuple[str, str]:
        for text in names:
            if text.strip() in self:
                return text.strip(), "id"
            # "Silica" is an INCI name that several grades have, "Zinc Oxide 100" a card's own
            key = card_id(text) if text else ""
            if key in self and len(self._by_inci.get(inci_key(text), [])) <= 1:
                same = inci_key(text) == inci_key(self[key].inci)
                return key, "INCI" if same else "id"
        return "", ""

    def _near(self, names: tuple[str, str, str]) -> tuple[str, ...]:
        name, inci, _ = names
        found = [key for text in (inci, name) if text for key in suggest(text, self.own)]
        parts = inci_key(inci or name).split(" + ")
        blends = [key for joined, keys in self._by_inci.items() for key in keys
                  if len(parts) > 1 and set(parts) & set(joined.split(" + "))
                  and " + " in joined]  # fmt: skip
        return tuple(dict.fromkeys([*found, *blends]))[:3]

    def new_id(self, name: str) -> str:
        """Return an id for a new card that no other card has."""
        base = card_id(name)[:60].strip("-") or "material"
        number, made = 2, base
        while made in self:
            made, number = f"{base}-{number}", number + 1
        return made
