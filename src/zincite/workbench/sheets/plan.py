"""A whole file understood as formulas: what was read, what it means, what is still to be said."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.formula.formula import Formula
from zincite.formula.material import Material
from zincite.formula.phase_reading import KnownCards
from zincite.formula.writing import formula_text
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.building import Draft, make_formula
from zincite.workbench.sheets.formulas import ReadTable, read_formula_tables
from zincite.workbench.sheets.layout import answered_columns, require_columns
from zincite.workbench.sheets.naming import Cards, NameMatch, inci_key
from zincite.workbench.sheets.newcards import new_card
from zincite.workbench.sheets.opening import Opened, open_file
from zincite.workbench.sheets.rows import Row
from zincite.workbench.sheets.water import is_water
from zincite.workbench.sheets.words import plain

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
    cards = Cards(own or {})
    matches: dict[tuple[str, str, str], NameMatch] = {}
    made: dict[str, Material] = {}
    for read in tables:
        for draft in read.drafts:
            for share in draft.shares:
                key = (share.row.name, share.row.inci, share.row.code)
                if key not in matches:
                    place = read.area.sheet.place(share.row.number, _name_column(read, share.row))
                    match = cards.match(key, place, answers, read.area.layout)
                    matches[key] = _with_new_card(match, read, share.row, cards, made, answers)
    ready = all(match.material for match in matches.values())
    formulas: list[PlannedFormula] = []
    said: list[str] = list(opened.notes)
    for read in tables:
        said += read.understood
        for draft in read.drafts:
            planned, assumed = _plan(opened.name, draft, matches, cards, answers, ready)
            formulas.append(planned)
            said += [f"{draft.code}{f' {draft.label}' if draft.label else ''}: {text}"
                     for text in assumed]  # fmt: skip
    return FormulaPlan(
        file=opened.name,
        sha256=hashlib.sha256(opened.content).hexdigest(),
        content=opened.content,
        understood=tuple(dict.fromkeys([*said, *notes, *_odd_names(matches, cards)])),
        formulas=tuple(formulas),
        names=tuple(_once(matches)),
        layouts=answered_columns(read.area for read in tables),
        cards=tuple(made.values()),
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


def _name_column(read: ReadTable, row: Row) -> int:
    for role, text in (("name", row.name), ("inci", row.inci), ("code", row.code)):
        if text:
            return read.area.role(role)[0].index
    return read.area.columns[0].index


def _with_new_card(
    match: NameMatch,
    read: ReadTable,
    row: Row,
    cards: Cards,
    made: dict[str, Material],
    answers: Answers,
) -> NameMatch:
    """Make a card for a name that no card is like, where new cards are wanted."""
    if match.material or not answers.new_cards or match.how != "no card":
        return match
    card = new_card(match, cards, read.area.text(row.number, "function"), row.phase, read.place)
    cards.own[card.id] = made[card.id] = card
    return replace(match, material=card.id, how="new card", suggestions=())


def _plan(
    file: str,
    draft: Draft,
    matches: Mapping[tuple[str, str, str], NameMatch],
    cards: Cards,
    answers: Answers,
    ready: bool,
) -> tuple[PlannedFormula, tuple[str, ...]]:
    ids = {
        share.row.number: matches[share.row.name, share.row.inci, share.row.code].material
        for share in draft.shares
    }
    formula: Formula | None = None
    assumed: tuple[str, ...] = ()
    if ready:
        known = KnownCards(cards.own)
        formula, assumed = make_formula(file, draft, ids, known, answers.emulsion)
    rows = tuple(
        (s.row.phase.name if s.row.phase else "", s.row.called, s.percent, s.is_rest)
        for s in draft.shares
    )
    return PlannedFormula(draft.code, draft.label, draft.origin, formula, rows), assumed


def _odd_names(matches: Mapping[tuple[str, str, str], NameMatch], cards: Cards) -> list[str]:
    """Say where a card was answered for a name and its INCI name is not the sheet's."""
    said = []
    for match in matches.values():
        if not (match.material and match.inci) or match.how in ("INCI", "new card"):
            continue
        inci = cards[match.material].inci
        same = inci_key(match.inci) in (inci_key(inci), inci_key(match.material))
        if not same and not (is_water(match.inci) and is_water(inci)):
            said.append(
                f"{match.place}: {shown(match.name)} is {match.material} ({match.how}), whose INCI "
                f"name is {shown(inci)}; the sheet says {shown(match.inci)}."
            )
    return said


def _once(matches: Mapping[tuple[str, str, str], NameMatch]) -> list[NameMatch]:
    found: dict[tuple[str, str], NameMatch] = {}
    for match in matches.values():
        found.setdefault((plain(match.name), match.material), match)
    return list(found.values())
