"""HLB of the emulsifiers, only where it says something."""

from __future__ import annotations

import math
from dataclasses import dataclass

from zincite.evaluation.making.emulsions.emulsifier_budget import is_emulsifier
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.substances import leaves

__all__ = ["HlbScreen", "hlb_screen"]

_POLYMERIC = ("polyglyceryl", "polyhydroxystear", "polyricinoleate", "dimethicone", "copolymer",
              "dimer", "acrylate")  # fmt: skip
_IONIC = ("phosphate", "sulfate", "glutamate", "lactylate", "potassium ", "sodium ")
_LOW, _HIGH = 3.0, 6.0  # for W/O, trade relation R21 (source S108)
_OFF = 1.0  # HLB units off the required one, common practice, no source
_MOST_PERCENT = 50.0  # of the oils, assumed: less known speaks for no one


@dataclass(frozen=True, slots=True)
class HlbScreen:
    """What HLB says of a formula.

    Attributes
    ----------
    use : str
        "valid" (O/W), "coarse screen" (W/O) or "not valid".
    statement : str
        Why, in one or two sentences.
    mix : float or None
        Of the emulsifiers by mass, where HLB says something. [-]
    required : float or None
        Of the oils whose cards have one (O/W only). [-]
    oils_known_percent : float
        Share of the oils by mass that these are. [%]
    """

    use: str
    statement: str
    mix: float | None = None
    required: float | None = None
    oils_known_percent: float = 0.0

    @property
    def speaks_against(self) -> bool:
        """Whether it warns: outside the W/O range, or off what most of the oils ask for."""
        if self.mix is None:
            return False
        if self.use == "coarse screen":
            return not _LOW <= self.mix <= _HIGH
        if self.required is None or self.oils_known_percent < _MOST_PERCENT:
            return False
        return abs(self.mix - self.required) > _OFF

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {name: getattr(self, name) for name in self.__slots__}


def hlb_screen(formula: Formula) -> HlbScreen:
    """Return what HLB says of a formula's emulsifiers.

    Parameters
    ----------
    formula : Formula

    Notes
    -----
    Trade relation R22: mass means of emulsifiers and of required values.
    """
    if formula.emulsion == "anhydrous":
        return HlbScreen("not valid", "There is no emulsion.")
    emulsifiers = [(m, share) for m, share in leaves(formula) if is_emulsifier(m) and share > 0]
    if not emulsifiers:
        return HlbScreen("not valid", "No card of the formula says that it emulsifies.")
    barred = [m.inci for m, _ in emulsifiers if _barred(m)]
    if barred:
        return HlbScreen(
            "not valid",
            f"HLB does not hold for polymeric, polyglyceryl, silicone or ionic emulsifiers "
            f"({', '.join(barred)}): they work by their anchor and layer, so choose by trial.",
        )
    missing = [m.inci for m, _ in emulsifiers if "hlb" not in m.properties]
    if missing:
        return HlbScreen("not valid", f"No HLB on the card of {', '.join(missing)}.")
    whole = math.fsum(share for _, share in emulsifiers)
    mix = math.fsum(share * m.properties["hlb"].value for m, share in emulsifiers) / whole
    if formula.emulsion == "water-in-oil":
        fits = "within" if _LOW <= mix <= _HIGH else "outside"
        return HlbScreen(
            "coarse screen",
            f"HLB {mix:.1f} is {fits} the {_LOW:g} to {_HIGH:g} of W/O emulsifiers; for W/O this "
            "only sorts out gross mistakes.",
            mix,
        )
    return _against_oils(formula, mix)


def _barred(material: Material) -> bool:
    name = f"{material.inci.lower()} "
    return any(word in name for word in (*_POLYMERIC, *_IONIC))


def _against_oils(formula: Formula, mix: float) -> HlbScreen:
    oils = [
        (m, share)
        for m, share in leaves(formula)
        if share > 0 and ({"emollient", "plant oil", "butter", "wax", "fatty alcohol"}
                          & set(m.functions) or "required_hlb" in m.properties)
    ]  # fmt: skip
    known = [(m.properties["required_hlb"].value, s) for m, s in oils if "required_hlb" in
             m.properties]  # fmt: skip
    amount, whole = math.fsum(s for _, s in known), math.fsum(s for _, s in oils)
    if amount <= 0:
        return HlbScreen("valid", f"The emulsifiers have HLB {mix:.1f}; no card of the oils has a "
                         "required HLB to hold against it.", mix)  # fmt: skip
    required = math.fsum(value * s for value, s in known) / amount
    covered = 100 * amount / whole
    return HlbScreen(
        "valid",
        f"The emulsifiers have HLB {mix:.1f}, the oils with a known value ({covered:.0f} % of "
        f"all oils) ask for {required:.1f}.",
        mix,
        required,
        covered,
    )
