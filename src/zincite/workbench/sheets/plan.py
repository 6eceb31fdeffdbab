"""A whole file understood as formulas: what was read, what it means, what is still to be said."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.phase_reading import KnownCards
from zincite.formula.writing import formula_text
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.building import Draft, make_formula
from zincite.workbench.sheets.formulas import ReadTable, read_formula_tables
from zincite.workbench.sheets.found_names import FoundNames
from zincite.workbench.sheets.layout import answered_columns, require_columns
from zincite.workbench.sheets.naming import Cards, NameMatch
from zincite.workbench.sheets.opening import Opened, open_file

__all__ = ["FormulaPlan", "PlannedFormula", "understand_formulas"]


@dataclass(frozen=True, slots=True)
class PlannedFormula:
    """A formula of the file.

    Attributes
    ----------
    code, label : str
        `label` tells versions side by side apart.
    origin : str
        File, sheet and cells.
    formula : Formula or None
        None while names have no card.
    rows : tuple of (str, str, float, bool)
        Phase, name as written, percent, whether it fills up.
    """

    code: str
    label: str
    origin: str
    formula: Formula | None
    rows: tuple[tuple[str, str, float, bool], ...]

    @property
    def toml(self) -> str:
        """The formula as a formula file, "" while names have no card."""
        return "" if self.formula is None else formula_text(self.formula)

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "code": self.code,
            "label": self.label,
            "origin": self.origin,
            "emulsion": self.formula.emulsion if self.formula else None,
            "ingredients": [
                {"phase": phase, "name": name, "percent": percent, "rest": rest}
                for phase, name, percent, rest in self.rows
            ],
            "toml": self.toml or None,
        }


@dataclass(frozen=True, slots=True)
class FormulaPlan:
    """What an import would add.

    Attributes
    ----------
    file, sha256 : str
    content : bytes
    understood : tuple of str
        In sentences.
    formulas : tuple of PlannedFormula
        In order of the file; those of one code are its versions.
    names : tuple of NameMatch
        Each name once.
    layouts : dict of str to dict of str to str
        Answered roles of columns by layout and header.
    cards : tuple of Material
        New ones.
    """

    file: str
    sha256: str
    content: bytes
    understood: tuple[str, ...]
    formulas: tuple[PlannedFormula, ...]
    names: tuple[NameMatch, ...]
    layouts: dict[str, dict[str, str]]
    cards: tuple[Material, ...] = ()

    @property
    def unnamed(self) -> tuple[NameMatch, ...]:
        """Names that have no card yet."""
        return tuple(match for match in self.names if not match.material)

    @property
    def is_ready(self) -> bool:
        """Whether everything is understood."""
        return not self.unnamed

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {
            "file": self.file,
            "sha256": self.sha256,
            "ready": self.is_ready,
            "understood": list(self.understood),
            "formulas": [formula.to_dict() for formula in self.formulas],
            "names": [match.to_dict() for match in self.names],
            "new_cards": [card.id for card in self.cards],
        }


def understand_formulas(
    path: str | Path, answers: Answers, own: Mapping[str, Material] | None = None
) -> FormulaPlan:
    """Return what a file of formulas holds, without writing anything.

    Parameters
    ----------
    path : str or Path
        XLSX workbook or delimited text.
    answers : Answers
        What is known beside the file.
    own : mapping of str to Material, optional
        Cards before the library's, by id.

    Raises
    ------
    InputError
        If anything is ambiguous or wrong: one sentence that names the cell.
    """
    opened = open_file(path, sheet=answers.sheet or None)
    tables, notes = _tables(opened, answers, Path(path).stem)
    names = FoundNames(Cards(own or {}), answers)
    for read in tables:
        for share in (share for draft in read.drafts for share in draft.shares):
            names.add(read, share.row)
    formulas: list[PlannedFormula] = []
    said: list[str] = list(opened.notes)
    for read in tables:
        said += read.understood
        for draft in read.drafts:
            planned, assumed = _plan(opened.name, draft, names)
            formulas.append(planned)
            said += [f"{draft.code}{f' {draft.label}' if draft.label else ''}: {text}"
                     for text in assumed]  # fmt: skip
    return FormulaPlan(
        file=opened.name,
        sha256=hashlib.sha256(opened.content).hexdigest(),
        content=opened.content,
        understood=tuple(dict.fromkeys([*said, *notes, *names.odd()])),
        formulas=tuple(formulas),
        names=names.once(),
        layouts=answered_columns(read.area for read in tables),
        cards=tuple(names.made.values()),
    )


def _tables(opened: Opened, answers: Answers, stem: str) -> tuple[list[ReadTable], list[str]]:
    tables: list[ReadTable] = []
    notes: list[str] = []
    for sheet in opened.sheets:
        found = read_formula_tables(sheet, answers, stem) if sheet.cells else []
        if found:
            require_columns(sheet, [read.area for read in found], answers)
        elif sheet.name:
            notes.append(f"Sheet {shown(sheet.name)} holds no table of a formula and is not read.")
        tables += found
    if not tables:
        refuse(
            opened.name,
            "holds no table of a formula, expected a row of headers such as Phase, Ingredient, "
            "INCI and % with the ingredients below it",
        )
    return tables, notes


def _plan(file: str, draft: Draft, names: FoundNames) -> tuple[PlannedFormula, tuple[str, ...]]:
    """Return a draft as a formula, as far as its names have cards, and what was assumed."""
    formula: Formula | None = None
    assumed: tuple[str, ...] = ()
    if names.all_known:
        ids = {share.row.number: names.match(share.row).material for share in draft.shares}
        known = KnownCards(names.cards.own)
        formula, assumed = make_formula(file, draft, ids, known, names.answers.emulsion)
    rows = tuple(
        (s.row.phase.name if s.row.phase else "", s.row.called, s.percent, s.is_rest)
        for s in draft.shares
    )
    return PlannedFormula(draft.code, draft.label, draft.origin, formula, rows), assumed
