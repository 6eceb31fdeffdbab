"""Sheets of the tests on plates: UVA in vitro, photostability, broad spectrum."""

from __future__ import annotations

from zincite.evaluation.assay.broad_spectrum import BroadSpectrumUsa
from zincite.evaluation.assay.photostability import FIGURES, Photostability
from zincite.evaluation.assay.plate_statistics import PlateMean
from zincite.evaluation.assay.uva_result import UvaInVitro
from zincite.interfaces.documents.numbers import number_text
from zincite.interfaces.documents.sheet import (
    Number,
    Sheet,
    SheetTable,
    interval,
    joined,
    value,
)
from zincite.workbench.assay.plate_readings import PlateReadings
from zincite.workbench.assay.report import AssayReport

__all__ = ["broad_spectrum_sheet", "photostability_sheet", "uva_sheet"]


def _ends(found: PlateMean | None, decimals: int | None = None) -> str:
    return "" if found is None else interval(found.low, found.high, decimals=decimals)


def _mean(name: str, found: PlateMean | None, shown: float | None) -> Number:
    return Number(name, value(shown), _ends(found))


def uva_sheet(report: AssayReport[UvaInVitro, PlateReadings]) -> Sheet:
    """Return the sheet of an ISO 24443 test."""
    r, means = report.result, report.result.intervals
    ratio = r.eu_test.uva_pf_to_label_spf
    lc = value(r.critical_wavelength_nm, "nm", decimals=1)
    if r.uva_pf is None:
        headline = "Irradiate the plates" if r.initial_valid else "Not valid"
        dose = value(r.dose_J_cm2, "J/cm2", decimals=1)
        sentence = f"UVA-PF0 {value(r.uva_pf0, decimals=1)}: irradiate with {dose}, measure again."
        verdict = "needs a test" if r.initial_valid else "fails"
    else:
        headline = "Valid test" if r.valid else "Not valid"
        says = "passes" if r.eu_test.passes else "misses"
        sentence = (
            f"UVA-PF {value(r.uva_pf, decimals=1)} at label SPF {r.label_spf:g}, ratio "
            f"{value(ratio, decimals=2)} (a third is asked), critical wavelength {lc} "
            f"(370 nm is asked): it {says} the European UVA test"
            + ("." if r.valid else ", if the test were valid.")
        )
        verdict = "fails" if not r.valid else "passes" if r.eu_test.passes else "short"
    agree = r.ci95_half_width_percent
    numbers = (
        _mean("SPF in vitro, C = 1", means["spf_in_vitro"], r.spf_in_vitro),
        _mean("adjustment coefficient C", means["c"], r.c),
        _mean("UVA-PF0, before irradiation", means["uva_pf0"], r.uva_pf0),
        Number("UVA dose", value(r.dose_J_cm2, "J/cm2", decimals=1), "1.2 J/cm2 times UVA-PF0"),
        _mean("UVA-PF, after irradiation", means.get("uva_pf"), r.uva_pf),
        Number("UVA-PF / label SPF", value(ratio), "European recommendation: at least 1/3"),
        Number("critical wavelength", lc, _ends(means["critical_wavelength_nm"], 1)),
        _mean("UVA / UVB absorbance", means["uva_to_uvb"], r.uva_to_uvb),
        Number("95 % half width over plates", value(agree, "%"), _plates_needed(r)),
    )  # fmt: skip
    return Sheet(
        "UVA protection in vitro",
        r.method,
        verdict,
        headline,
        sentence,
        r.reasons,
        numbers,
        (_plate_table(report),),
        r.notes,
    )


def _plates_needed(r: UvaInVitro) -> str:
    found = len(r.plates)
    if r.plates_needed is None or r.plates_needed <= found:
        return f"of the mean, {found} plate{'s' * (found > 1)}"
    return f"{r.plates_needed} plates would be needed with this scatter"


def _plate_table(report: AssayReport[UvaInVitro, PlateReadings]) -> SheetTable:
    rows = tuple(
        (
            label,
            str(row.spots),
            number_text(row.c, decimals=3),
            number_text(row.spf_in_vitro),
            number_text(row.uva_pf0),
            number_text(row.uva_pf),
            number_text(row.critical_wavelength_nm, decimals=1),
            number_text(row.uva_to_uvb),
            str(row.saturated_readings),
        )
        for label, row in zip(report.readings.plates, report.result.plates, strict=True)
    )
    columns = (
        "spots",
        "C",
        "SPF in vitro",
        "UVA-PF0",
        "UVA-PF",
        "crit. nm",
        "UVA/UVB",
        "saturated",
    )
    return SheetTable("Plates", (("plate", "left"), *((name, "right") for name in columns)), rows)


def photostability_sheet(report: AssayReport[Photostability, PlateReadings]) -> Sheet:
    """Return the sheet of a photostability test."""
    r = report.result
    kept = r.retained_percent
    told = ", ".join(f"{value(kept[k], '%', decimals=0)} of {FIGURES[k]}" for k in ("spf_in_vitro",
                     "uva_pf"))  # fmt: skip
    if r.limit_percent is None:
        says, verdict = "No limit was given, so nothing is judged", "unknown"
    elif report.missed:
        says, verdict = f"Loses more than {r.limit_percent:g} %", "fails"
    elif "undecided" in r.verdicts.values():
        says, verdict = f"Not shown to lose at most {r.limit_percent:g} %", "short"
    else:
        says, verdict = f"Loses at most {r.limit_percent:g} %", "passes"
    rows = tuple(
        (
            name,
            number_text(r.before[key].mean),
            number_text(r.after[key].mean),
            value(r.loss_percent[key].mean, "%", decimals=1),
            interval(r.loss_percent[key].low, r.loss_percent[key].high, decimals=1),
            r.verdicts[key],
        )
        for key, name in FIGURES.items()
    )
    columns = (
        ("figure", "left"),
        ("before", "right"),
        ("after", "right"),
        ("lost", "right"),
        ("interval of the loss, %", "left"),
        ("against the limit", "left"),
    )
    return Sheet(
        "Photostability in vitro",
        r.method,
        verdict if r.valid else "fails",
        says if r.valid else "Not valid",
        f"Irradiation leaves {told}" + ("." if r.valid else ", if the test were valid."),
        (*r.reasons, *report.missed),
        (),
        (SheetTable("Losses", columns, rows, "mean over plates; below 0 is a gain"),),
        r.notes,
    )


def broad_spectrum_sheet(report: AssayReport[BroadSpectrumUsa, PlateReadings]) -> Sheet:
    """Return the sheet of the broad spectrum test of the United States."""
    r = report.result
    mean = value(r.critical_wavelength_nm, "nm", decimals=1)
    says = "broad spectrum" if r.broad_spectrum else "not broad spectrum"
    found = r.interval
    rows = tuple(
        (label, number_text(nm, decimals=1))
        for label, nm in zip(report.readings.plates, r.plates_nm, strict=True)
    )
    return Sheet(
        "Broad spectrum, United States",
        r.method,
        "fails" if not r.valid else "passes" if r.broad_spectrum else "fails",
        says.capitalize() if r.valid else "Not valid",
        f"Mean critical wavelength {mean}, 370 nm is asked: {says}"
        + ("." if r.valid else ", if the test were valid."),
        r.reasons,
        (
            Number(
                "critical wavelength, mean",
                mean,
                joined([interval(found.low, found.high, decimals=1), "the rule judges the mean"]),
            ),
        ),
        (SheetTable("Plates", (("plate", "left"), ("critical wavelength, nm", "right")), rows),),
        r.notes,
    )
