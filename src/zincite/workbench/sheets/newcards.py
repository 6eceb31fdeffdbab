"""Minimal cards for names that no card has, everything about them marked as assumed."""

from __future__ import annotations

from zincite.formula.formula import PHASE_KINDS
from zincite.formula.material import Material
from zincite.workbench.sheets.naming import Cards, NameMatch
from zincite.workbench.sheets.phases import PhaseLabel

__all__ = ["new_card"]


def new_card(
    match: NameMatch, cards: Cards, function: str, phase: PhaseLabel | None, origin: str
) -> Material:
    """Return a card that knows a name, an INCI name and a usual phase, no value.

    Parameters
    ----------
    match : NameMatch
    cards : Cards
        The new id is none of theirs.
    function : str
        As the sheet says, "" where it does not.
    phase : PhaseLabel or None
        Where it stands in the sheet.
    origin : str
        File, sheet and cells.
    """
    inci = match.inci or match.name
    trade = f"Trade name {match.name}. " if match.inci and match.name != match.inci else ""
    kind = phase.kind if phase and phase.kind in PHASE_KINDS else "oil"
    return Material(
        id=cards.new_id(match.name),
        inci=inci,
        functions=(function.strip()[:80],) if function.strip() else (),
        phase=kind,
        notes=f"{trade}Made by the import of {origin}: phase and every value are assumed until "
        "they are entered.",
    )
