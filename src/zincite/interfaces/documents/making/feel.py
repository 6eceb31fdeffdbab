"""Sheet and picture of the indicators of feel."""

from __future__ import annotations

from zincite.evaluation.making.emulsions.feel import FeelOutlook, FreeOil
from zincite.interfaces.documents.figures.making_feel import cascade
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import Number, Picture, Sheet, SheetTable, value
from zincite.workbench.making.report import MakingReport

__all__ = ["pictures", "sheet"]

_TENDENCY = {
    "dry": "the feel tends to dry",
    "oily": "the feel tends to greasy",
    "undecided": "between dry and greasy, as far as known",
}


def sheet(report: MakingReport[FeelOutlook]) -> Sheet:
    """Return the sheet of the indicators of feel."""
    found = report.result
    return Sheet(
        "Feel, by indicators",
        "spreading of the oils, oil absorption of the powders",
        found.verdict,
        _headline(found),
        _sentence(found),
        (),
        _numbers(found),
        tuple(t for t in (_oils(found), _powders(found.free_oil)) if t.rows),
        (
            "Indicators, not a panel: they say which way a change will go. Gloss, stickiness and "
            "the like follow from viscosity, surface tension and spreading (eight oils, fourteen "
            "assessors), yet the coefficients are not printed there, so no number is given.",
            "Emulsifiers, waxes and gellants feel too and are in none of these numbers.",
        ),
    )


def _headline(found: FeelOutlook) -> str:
    if not found.oils:
        return "No oil to judge"
    if not found.missing_classes:
        return "A whole cascade"
    if found.known_percent <= 0:
        return "Cascade not known"
    missing = " or ".join(found.missing_classes)
    if found.verdict == "short":
        return f"No {missing} oil"
    return f"Cascade not known, no {missing} oil so far"


def _sentence(found: FeelOutlook) -> str:
    free = found.free_oil
    oil = f"{number_text(free.free_percent, decimals=1)} % oil is free of the powders after drying"
    tendency = f"{oil}: {_TENDENCY[free.tendency]}."
    if not found.oils:
        return tendency
    return f"Spreading is known for {found.known_percent:.0f} % of the oil. {tendency}"


def _numbers(found: FeelOutlook) -> tuple[Number, ...]:
    free, shares = found.free_oil, found.class_percent
    limits = {"fast": "above 1000", "medium": "500 to 1000", "slow": "below 500"}
    rows = [
        Number(f"{name} spreading oil", value(shares[name], "%"), f"{limit} mm2 in 10 min")
        for name, limit in limits.items()
    ]
    rows += [
        Number("spreading not known", value(shares[""], "%"), "no value on the card"),
        Number("oil that stays", value(free.oil_percent, "%"),
               f"{value(free.volatile_percent, '%')} more leave while drying"),
        Number("oil the powders take", value(free.held_percent, "%"),
               _range(free.held_low_percent, free.held_high_percent)),
        Number("free oil", value(free.free_percent, "%"),
               _range(free.oil_percent - free.held_high_percent,
                      free.oil_percent - free.held_low_percent)),
    ]  # fmt: skip
    if found.oil_viscosity_mPas is not None:
        rows.append(Number("viscosity of the oils", value(found.oil_viscosity_mPas, "mPa s"),
                           "blend by volume, volatile oils included"))  # fmt: skip
    return tuple(rows)


def _range(low: float, high: float) -> str:
    if high - low < 1e-9:
        return ""
    return f"{number_text(low, digits=2)} to {number_text(high, digits=2)} %"


def _oils(found: FeelOutlook) -> SheetTable:
    columns = (
        ("oil", "left"),
        ("%", "right"),
        ("mm2/10 min", "right"),
        ("class", "left"),
        ("evidence", "left"),
        ("", "left"),
    )
    rows = tuple(
        (
            oil.inci,
            number_text(oil.percent),
            "" if oil.spreading is None else number_text(oil.spreading.value),
            oil.spread_class or "not known",
            "" if oil.spreading is None else oil.spreading.evidence.value,
            "volatile" if oil.volatile else "",
        )
        for oil in found.oils
    )
    return SheetTable("Cascade", columns, rows, "fastest first")


def _powders(free: FreeOil) -> SheetTable:
    columns = (("powder", "left"), ("%", "right"), ("g oil/100 g", "right"), ("takes, %", "right"),
               ("evidence", "left"))  # fmt: skip
    rows = tuple(
        (
            name,
            number_text(share),
            number_text(oil.value),
            number_text(share * oil.value / 100, digits=2),
            oil.evidence.value,
        )
        for name, share, oil in free.powders
    )
    return SheetTable("Oil that powders take", columns, rows)


def pictures(report: MakingReport[FeelOutlook]) -> tuple[Picture, ...]:
    """Return the cascade, nothing without oils."""
    if not report.result.oils:
        return ()
    return (
        Picture(
            "Spreading cascade",
            cascade(report.result),
            "Each bar is an oil, as wide as its share; hatched where no spreading is known.",
        ),
    )
