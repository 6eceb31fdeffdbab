"""Reading of panels: doses or dose ladders of each subject, and SPF before and after water."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from zincite.errors import InputError
from zincite.evaluation.assay.panel_subjects import PanelSubject, subject_from_ladders
from zincite.evaluation.assay.reading.files import shown
from zincite.evaluation.assay.reading.med import MED_COLUMNS
from zincite.evaluation.assay.reading.records import ColumnRule, Record, Records, read_records
from zincite.evaluation.assay.water_resistance import WaterSubject

__all__ = ["PanelFile", "WaterFile", "read_panel", "read_water"]

T = TypeVar("T", str, bool)

_SUBJECT = MED_COLUMNS["subject"]
_EXCLUDED = ColumnRule(
    ("rejected", "left out", "exclusion", "reason", "reason of exclusion", "excluded because"),
    text=True,
    needed=False,
)
_PRODUCT = ColumnRule(MED_COLUMNS["product"], text=True, needed=False)
_ITA = ColumnRule(("ita", "ita deg", "ITA\u00b0", "typology angle"), needed=False, above=-90.0,
                  most=90.0)  # fmt: skip
_SKIN_WORDS = {
    "unprotected": ("unprotected", "bare", "u", "untreated", "without", "without product", "no"),
    "protected": ("protected", "p", "product", "treated", "with", "with product", "yes"),
}
_RESPONSE_WORDS = {
    True: ("1", "yes", "y", "+", "x", "true", "positive", "response", "ja", "oui"),
    False: ("0", "no", "n", "false", "negative", "none", "nein", "non"),
}
_KEPT_WORDS = ("", "no", "n", "0", "false", "included", "used", "valid", "ok", "nein", "non")
_LADDER = {
    "subject": ColumnRule(_SUBJECT, text=True),
    "skin": ColumnRule(("site", "area", "condition", "treatment"), text=True),
    "dose": ColumnRule(("uv dose", "exposure", "dose step")),
    "response": ColumnRule(("erythema", "reaction", "pigmentation", "reading"), text=True),
    "ita_deg": _ITA,
    "excluded": _EXCLUDED,
    "product": _PRODUCT,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PanelFile:
    """Subjects of one file, the unit of their doses ("" if not stated) and the preview."""

    name: str
    subjects: tuple[PanelSubject, ...]
    dose_unit: str
    understood: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WaterFile:
    """Subjects of a water resistance test and the preview."""

    name: str
    subjects: tuple[WaterSubject, ...]
    understood: tuple[str, ...]


def _dose_columns(dose: str) -> dict[str, ColumnRule]:
    key = dose.lower()
    known = {
        side: tuple(n.replace("MED", dose) for n in MED_COLUMNS[f"med_{side}"])
        for side in ("unprotected", "protected")
    }
    return {
        "subject": ColumnRule(_SUBJECT, text=True),
        f"{key}_unprotected": ColumnRule(known["unprotected"], blank=True),
        f"{key}_protected": ColumnRule(known["protected"], blank=True),
        "ita_deg": _ITA,
        "excluded": _EXCLUDED,
        "product": _PRODUCT,
    }


def read_panel(path: str | Path, *, dose: str = "MED", decimal: str | None = None) -> PanelFile:
    """Return the subjects of a panel.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX. Either a row a subject (subject, med_unprotected, med_protected),
        or a row a spot of the dose ladders (subject, skin, dose, response). Optional columns:
        ita_deg, excluded (why the laboratory leaves a subject out), product (one only).
    dose : {"MED", "MPPDD"}
        What the doses are.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    PanelFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected; also where the two
        dose columns have different units.
    """
    columns = _dose_columns(dose)
    found = read_records(path, _LADDER, columns, decimal=decimal)
    _one_product(found)
    if found.layout == 0:
        return PanelFile(found.name, _from_ladders(found), found.units["dose"], found.understood)
    found.each_once("subject")
    bare, covered = f"{dose.lower()}_unprotected", f"{dose.lower()}_protected"
    subjects = tuple(
        PanelSubject(
            row.text("subject"),
            row.number(bare),
            row.number(covered),
            row.number("ita_deg"),
            _excluded(row),
        )
        for row in found.rows
    )
    return PanelFile(found.name, subjects, found.one_unit(bare, covered), found.understood)


def _excluded(row: Record) -> str:
    """Return why a subject is left out, "" where the cell says that it is not."""
    said = row.text("excluded").strip()
    if said.lower() in _KEPT_WORDS:
        return ""
    return "no reason given" if said.lower() in ("yes", "y", "1", "x", "true") else said


def _one_product(found: Records) -> None:
    products = dict.fromkeys(row.text("product") for row in found.rows if row.text("product"))
    if len(products) > 1:
        names = " and ".join(shown(name, 24) for name in list(products)[:3])
        found.fail(f"holds {len(products)} products ({names}), expected one a file")


def _from_ladders(found: Records) -> tuple[PanelSubject, ...]:
    ladders: dict[str, dict[str, list[tuple[float, bool]]]] = {}
    first: dict[str, Record] = {}
    for row in found.rows:
        subject = row.text("subject")
        first.setdefault(subject, row)
        side = _word(found, row, "skin", _SKIN_WORDS)
        spots = ladders.setdefault(subject, {"unprotected": [], "protected": []})[side]
        spots.append((row.number("dose") or 0.0, _word(found, row, "response", _RESPONSE_WORDS)))
    subjects = []
    for subject, sides in ladders.items():
        for side, spots in sides.items():
            if not spots:
                found.fail(f"subject {shown(subject)} has no row of {side} skin, expected both")
        doses = {side: sorted(spots) for side, spots in sides.items()}
        pairs = {s: ([d for d, _ in spots], [r for _, r in spots]) for s, spots in doses.items()}
        row = first[subject]
        try:
            subjects.append(
                subject_from_ladders(
                    subject,
                    pairs["unprotected"],
                    pairs["protected"],
                    ita_deg=row.number("ita_deg"),
                    excluded=_excluded(row),
                )
            )
        except InputError as error:
            found.fail(str(error))
    return tuple(subjects)


def _word(found: Records, row: Record, column: str, words: Mapping[T, tuple[str, ...]]) -> T:
    said = row.text(column).strip().lower()
    for meaning, known in words.items():
        if said in known:
            return meaning
    options = " or ".join(known[0] for known in words.values())
    return found.fail(
        f"{row.place} holds {shown(row.text(column))} for {column}, expected {options}"
    )


def read_water(path: str | Path, *, decimal: str | None = None) -> WaterFile:
    """Return static and wet SPF of each subject.

    Parameters
    ----------
    path : str or Path
        Delimited text or XLSX with columns subject, spf_static, spf_wet; or subject,
        med_unprotected, med_static, med_wet, whose ratios are the SPF. Optional: excluded.
    decimal : str, optional
        "." or "," where the file itself cannot tell.

    Returns
    -------
    WaterFile

    Raises
    ------
    InputError
        One sentence: the file, the place, what was found and what is expected.
    """
    names = {
        "subject": ColumnRule(_SUBJECT, text=True),
        "spf_static": ColumnRule(
            ("static SPF", "SPF before", "SPF dry", "SPF static", "SPFs", "SPF before immersion"),
            blank=True,
        ),
        "spf_wet": ColumnRule(
            ("wet SPF", "SPF after", "SPF wet", "SPFw", "SPF after immersion"), blank=True
        ),
        "excluded": _EXCLUDED,
    }
    doses = {
        "subject": ColumnRule(_SUBJECT, text=True),
        "med_unprotected": ColumnRule(MED_COLUMNS["med_unprotected"], blank=True),
        "med_static": ColumnRule(("MED protected static", "MEDp static", "static MED"), blank=True),
        "med_wet": ColumnRule(("MED protected wet", "MEDp wet", "wet MED"), blank=True),
        "excluded": _EXCLUDED,
    }
    found = read_records(path, doses, names, unique=("subject",), decimal=decimal)
    read = _wet_doses if found.layout == 0 else _wet_factors
    extra = ("SPF = protected over unprotected MED.",) if found.layout == 0 else ()
    return WaterFile(found.name, read(found), (*found.understood, *extra))


def _wet_factors(found: Records) -> tuple[WaterSubject, ...]:
    return tuple(
        WaterSubject(
            row.text("subject"), row.number("spf_static"), row.number("spf_wet"), _excluded(row)
        )
        for row in found.rows
    )


def _wet_doses(found: Records) -> tuple[WaterSubject, ...]:
    found.one_unit("med_unprotected", "med_static", "med_wet")
    return tuple(
        WaterSubject(
            row.text("subject"), _ratio(row, "med_static"), _ratio(row, "med_wet"), _excluded(row)
        )
        for row in found.rows
    )


def _ratio(row: Record, column: str) -> float | None:
    bare, covered = row.number("med_unprotected"), row.number(column)
    return covered / bare if bare and covered else None
