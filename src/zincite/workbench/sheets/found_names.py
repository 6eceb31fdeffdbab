"""The names of a file's formulas, each with the card that it means."""

from __future__ import annotations

from dataclasses import replace

from zincite.evaluation.assay.reading.files import shown
from zincite.formula.material import Material
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.formulas import ReadTable
from zincite.workbench.sheets.naming import Cards, NameMatch, inci_key
from zincite.workbench.sheets.newcards import new_card
from zincite.workbench.sheets.rows import Row
from zincite.workbench.sheets.water import is_water
from zincite.workbench.sheets.words import plain

__all__ = ["FoundNames"]


class FoundNames:
    """Collects names, and makes cards for those that have none where that is wanted.

    Attributes
    ----------
    cards : Cards
        The known ones and those made.
    answers : Answers
    made : dict of str to Material
        New cards by id.
    """

    def __init__(self, cards: Cards, answers: Answers) -> None:
        self.cards = cards
        self.answers = answers
        self.made: dict[str, Material] = {}
        self._matches: dict[tuple[str, str, str], NameMatch] = {}

    def add(self, read: ReadTable, row: Row) -> None:
        """Find the card of an ingredient."""
        key = (row.name, row.inci, row.code)
        if key in self._matches:
            return
        place = read.area.sheet.place(row.number, _name_column(read, row))
        match = self.cards.match(key, place, self.answers, read.area.layout)
        if not match.material and self.answers.new_cards and match.how == "no card":
            function = read.area.text(row.number, "function")
            card = new_card(match, self.cards, function, row.phase, read.place)
            self.cards.own[card.id] = self.made[card.id] = card
            match = replace(match, material=card.id, how="new card", suggestions=())
        self._matches[key] = match

    def match(self, row: Row) -> NameMatch:
        """Return what was found for an ingredient."""
        return self._matches[row.name, row.inci, row.code]

    @property
    def all_known(self) -> bool:
        """Whether every name has a card."""
        return all(match.material for match in self._matches.values())

    def once(self) -> tuple[NameMatch, ...]:
        """Return each name once."""
        found: dict[tuple[str, str], NameMatch] = {}
        for match in self._matches.values():
            found.setdefault((plain(match.name), match.material), match)
        return tuple(found.values())

    def odd(self) -> list[str]:
        """Say where the INCI name of a card that was answered for a name is not the sheet's."""
        said = []
        for match in self._matches.values():
            if not (match.material and match.inci) or match.how in ("INCI", "new card"):
                continue
            inci = self.cards[match.material].inci
            same = inci_key(match.inci) in (inci_key(inci), inci_key(match.material))
            if not same and not (is_water(match.inci) and is_water(inci)):
                said.append(
                    f"{match.place}: {shown(match.name)} is {match.material} ({match.how}), whose "
                    f"INCI name is {shown(inci)}; the sheet says {shown(match.inci)}."
                )
        return said


def _name_column(read: ReadTable, row: Row) -> int:
    for role, text in (("name", row.name), ("inci", row.inci), ("code", row.code)):
        if text:
            return read.area.role(role)[0].index
    return read.area.columns[0].index
