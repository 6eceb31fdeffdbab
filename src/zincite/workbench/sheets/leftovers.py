"""What a plan leaves to be said, and what of the answers is worth remembering."""

from __future__ import annotations

from typing import Protocol

from zincite.errors import UnknownMaterialError
from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.workbench.sheets.answers import Answers, LayoutMapping
from zincite.workbench.sheets.naming import NameMatch
from zincite.workbench.sheets.words import plain

__all__ = ["learnt", "refuse_unnamed"]


class Plan(Protocol):
    """What plans of formulas and of materials share."""

    @property
    def file(self) -> str:
        """Name of the file."""

    @property
    def names(self) -> tuple[NameMatch, ...]:
        """Each name once."""

    @property
    def layouts(self) -> dict[str, dict[str, str]]:
        """Answered roles of columns by layout and header."""

    @property
    def unnamed(self) -> tuple[NameMatch, ...]:
        """Names that have no card yet."""


def refuse_unnamed(plan: Plan) -> None:
    """Refuse a plan whose names do not all have cards.

    Raises
    ------
    UnknownMaterialError
        Naming the first cell, how many more there are, and what helps.
    """
    if not plan.unnamed:
        return
    first = plan.unnamed[0]
    near = f", nearest {', '.join(first.suggestions[:3])}" if first.suggestions else ""
    others = [shown(match.name) for match in plan.unnamed[1:]]
    more = ""
    if others:
        more = f"; nor do {', '.join(others[:4])}" if len(others) > 1 else f"; nor does {others[0]}"
        more += f" and {len(others) - 4} more" if len(others) > 4 else ""
    new = " or --new-cards" if any(m.how == "no card" for m in plan.unnamed) else ""
    refuse(
        plan.file,
        f"{first.place} says {shown(first.name)}, which names no card ({first.how}{near}){more}, "
        f"expected --map {shown(f'{first.name}=ID', 80)} for each{new}",
        UnknownMaterialError,
    )


def learnt(plan: Plan, answers: Answers) -> dict[str, LayoutMapping]:
    """Return what is worth remembering, by layout: answers that the file does not give itself."""
    found = {
        layout: LayoutMapping(dict(columns), dict(known.names) if known else {})
        for layout, columns in plan.layouts.items()
        for known in [answers.remembered.get(layout)]
    }
    for match in plan.names:
        if match.how in ("as you said", "remembered", "new card"):
            found[match.layout].names[plain(match.name)] = match.material
    return {layout: mapping for layout, mapping in found.items() if mapping != LayoutMapping()}
