"""Whether a grade's coatings stand on the list of a nano filter's entry."""

from __future__ import annotations

import math

from zincite.data.regulation_rows import FilterRule
from zincite.formula.material import Coating

__all__ = ["coating_name", "judge_coatings"]

_SAME = {
    "aluminum hydroxide": "aluminium hydroxide",
    "aluminum stearate": "aluminium stearate",
    "aluminum oxide": "alumina",
    "aluminium oxide": "alumina",
    "silicon dioxide": "silica",
    "octyltriethoxysilane": "octyl triethoxy silane",
    "octyl triethoxysilane": "octyl triethoxy silane",
    "dimethoxydiphenylsilanetriethoxycaprylylsilane crosspolymer": (
        "dimethoxydiphenylsilane/triethoxycaprylylsilane crosspolymer"
    ),
    "manganese oxide": "manganese dioxide",
    "mno2": "manganese dioxide",
}


def coating_name(inci: str) -> str:
    """Return a coating's name as the lists of the entries write it."""
    name = " ".join(inci.lower().split())
    return _SAME.get(name, name)


def _within(share: float, largest: float) -> bool:
    return math.isnan(largest) or share <= largest + 1e-9


def _combination(shares: dict[str, float], entry: tuple[tuple[str, float], ...]) -> bool | None:
    """Return whether the coatings are within an entry, None where they are not its substances."""
    if set(shares) != {name for name, _ in entry}:
        return None
    return all(_within(shares[name], largest) for name, largest in entry)


def judge_coatings(coatings: tuple[Coating, ...], rule: FilterRule) -> tuple[str, str]:
    """Return verdict and reason of a grade's coatings against a nano entry's list.

    Parameters
    ----------
    coatings : tuple of Coating
        From the core outwards.
    rule : FilterRule
        An entry with a list; its alternatives may carry largest shares of the powder.

    Returns
    -------
    verdict, reason : str
        "passes" where an alternative holds them, "fails" where one is not listed or too much,
        "unknown" where the entry does not say whether they may be combined or the core be bare.
    """
    listed = {name for entry in rule.coatings for name, _ in entry}
    if not coatings:
        if "uncoated" in listed:
            return "passes", "the entry names the uncoated form"
        return "unknown", "the entry names coated forms only, whether it covers bare ones is open"
    shares: dict[str, float] = {}
    for coating in coatings:
        name = coating_name(coating.inci)
        shares[name] = shares.get(name, 0.0) + coating.mass_percent
    strangers = sorted(set(shares) - listed)
    if strangers:
        return "fails", f"{' and '.join(strangers)} not on the list of coatings of this entry"
    matches = [m for e in rule.coatings if (m := _combination(shares, e)) is not None]
    if any(matches):
        return "passes", "the coating is on the list of this entry"
    if matches:
        return "fails", "the coating is on the list, but its share of the powder is too large"
    singles = {entry[0][0] for entry in rule.coatings if len(entry) == 1}
    if rule.coating_rule == "any of" and set(shares) <= singles:
        return "passes", "all coatings are on the list of this entry"
    return "unknown", "each coating is listed, whether they may be combined is open"
