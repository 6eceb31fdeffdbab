"""A whole file understood as a list of materials: cards, lots, what is still to be said."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from zincite.evaluation.assay.reading.files import refuse, shown
from zincite.formula.card_reading import PROPERTIES
from zincite.formula.formula import PHASE_KINDS
from zincite.formula.material import Material
from zincite.sources import Evidence, Sourced
from zincite.workbench.sheets.answers import Answers
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.layout import (
    TableArea,
    answered_columns,
    find_areas,
    require_columns,
)
from zincite.workbench.sheets.material_rows import (
    MaterialRow,
    list_origin,
    read_material_rows,
    value_sentences,
)
from zincite.workbench.sheets.naming import Cards, NameMatch
from zincite.workbench.sheets.newcards import new_card
from zincite.workbench.sheets.opening import open_file
from zincite.workbench.sheets.phases import PhaseLabel, phase_label
from zincite.workbench.sheets.words import AMOUNT_ROLES

__all__ = ["MaterialPlan", "PlannedLot", "understand_materials"]


@dataclass(frozen=True, slots=True)
class PlannedLot:
    """A lot of the list.

    Attributes
    ----------
    code, material, supplier, received_on, expires_on, note, place : str
        `material` is the card's id, `place` the cell that names the lot.
    values : dict of str to float
        Values of the row, by property with unit.
    """

    code: str
    material: str
    supplier: str
    received_on: str
    expires_on: str
    note: str
    place: str
    values: dict[str, float]

    def to_dict(self) -> dict[str, object]:
        """Return what `--json` prints."""
        return {key: getattr(self, key) for key in self.__slots__}


@dataclass(frozen=True, slots=True)
class MaterialPlan:
    """What an import would add.

    Attributes
    ----------
    file, sha256 : str
    content : bytes
    understood : tuple of str
    names : tuple of NameMatch
    layouts : dict of str to dict of str to str
        Answered roles of columns by layout and header.
    cards : tuple of Material
        New ones, and known ones with the list's values.
    lots : tuple of PlannedLot
    """

    file: str
    sha256: str
    content: bytes
    understood: tuple[str, ...]
    names: tuple[NameMatch, ...]
    layouts: dict[str, dict[str, str]]
    cards: tuple[Material, ...]
    lots: tuple[PlannedLot, ...]

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
            "names": [match.to_dict() for match in self.names],
            "cards": [card.id for card in self.cards],
            "lots": [lot.to_dict() for lot in self.lots],
        }


@dataclass(frozen=True, slots=True)
class _Named:
    """A row with its match and the place and list it stands in."""

    row: MaterialRow
    match: NameMatch
    origin: str
    lot_place: str


def understand_materials(
    path: str | Path, answers: Answers, own: Mapping[str, Material] | None = None
) -> MaterialPlan:
    """Return what a list of materials holds, without writing anything.

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
    said = list(opened.notes)
    cards = Cards(own or {})
    made: dict[str, Material] = {}
    named: list[_Named] = []
    lists: list[TableArea] = []
    for sheet in opened.sheets:
        areas = find_areas(sheet, "materials", answers)
        if areas:
            require_columns(sheet, areas, answers)
        elif sheet.name:
            said.append(f"Sheet {shown(sheet.name)} holds no list of materials and is not read.")
        lists += areas
        for area in areas:
            found = _named(area, cards, answers, made)
            said += [_list_sentence(area, found), *value_sentences(area)]
            named += found
    if not named:
        refuse(
            opened.name,
            "holds no list of materials, expected a row of headers such as Trade name, INCI, "
            "Supplier, Price EUR/kg and Lot with the materials below it",
        )
    _refuse_double_lots(opened.name, named)
    values = _cards(named, cards, made)
    return MaterialPlan(
        file=opened.name,
        sha256=hashlib.sha256(opened.content).hexdigest(),
        content=opened.content,
        understood=tuple(dict.fromkeys(said)),
        names=tuple({(n.match.name, n.match.material): n.match for n in named}.values()),
        layouts=answered_columns(lists),
        cards=tuple(values.values()),
        lots=tuple(_lot(n) for n in named if n.row.lot),
    )


def _named(
    area: TableArea, cards: Cards, answers: Answers, made: dict[str, Material]
) -> list[_Named]:
    sheet: Sheet = area.sheet
    origin = list_origin(area)
    lots = area.role("lot")
    found = []
    known: dict[tuple[str, str, str], NameMatch] = {}
    for row in read_material_rows(area):
        key = (row.name, row.inci, row.code)
        if key not in known:
            first = next(c for c in area.role("name", "inci", "code") if getattr(row, c.role))
            match = cards.match(key, sheet.place(row.number, first.index), answers, area.layout)
            if not match.material and answers.new_cards and match.how == "no card":
                card = new_card(match, cards, row.function, _phase(row), origin)
                cards.own[card.id] = made[card.id] = card
                match = replace(match, material=card.id, how="new card", suggestions=())
            known[key] = match
        place = sheet.place(row.number, lots[0].index) if lots else ""
        found.append(_Named(row, known[key], origin, place))
    return found


def _phase(row: MaterialRow) -> PhaseLabel | None:
    if row.phase.strip().lower() in PHASE_KINDS:
        return PhaseLabel(row.phase, row.phase.strip().lower())
    return phase_label(row.phase) if row.phase else None


def _list_sentence(area: TableArea, rows: Sequence[_Named]) -> str:
    where = f"Sheet {shown(area.sheet.name)}: " if area.sheet.name else ""
    read, unread = [], []
    for column in area.columns:
        name = f"{area.sheet.column_name(column.index).split()[-1]} {shown(column.header)}"
        how = f", {column.how}" if column.how else ""
        if column.role in ("", "ignore", "version", *AMOUNT_ROLES):
            unread.append(name)
        else:
            read.append(f"{name} = {column.role.replace('_', ' ')}{how}")
    left = f" Not read: {', '.join(unread)}." if unread else ""
    return f"{where}header in row {area.header}, {len(rows)} rows; {', '.join(read)}.{left}"


def _refuse_double_lots(file: str, rows: Sequence[_Named]) -> None:
    first: dict[str, str] = {}
    for named in rows:
        if named.row.lot in first:
            refuse(
                file,
                f"{named.lot_place} and {first[named.row.lot]} both hold the lot "
                f"{shown(named.row.lot)}, expected each lot once",
            )
        if named.row.lot:
            first[named.row.lot] = named.lot_place


def _cards(
    rows: Sequence[_Named], cards: Cards, made: Mapping[str, Material]
) -> dict[str, Material]:
    """Return the new cards and those to which the list gives values."""
    found: dict[str, Material] = dict(made)
    by_card: dict[str, list[_Named]] = {}
    for named in rows:
        if named.match.material and named.row.values:
            by_card.setdefault(named.match.material, []).append(named)
    for key, group in by_card.items():
        card = cards[key]
        properties = dict(card.properties)
        for name in PROPERTIES:
            spans = [n.row.values[name] for n in group if name in n.row.values]
            if spans:
                properties[name] = _joined(spans, name, group[-1].origin)
        # in the order in which a card is read, so that the same list gives the same card again
        ordered = {name: properties[name] for name in PROPERTIES if name in properties}
        found[key] = replace(card, properties=ordered, notes=_notes(card, group))
    return found


def _joined(spans: Sequence[tuple[float, float, float]], name: str, origin: str) -> Sourced:
    """Return one value of several lots: the last, with the range of all."""
    low, high = min(s[1] for s in spans), max(s[2] for s in spans)
    bounds = (low, high) if low < high else (None, None)
    return Sourced(spans[-1][0], PROPERTIES[name][0], Evidence.DATA_SHEET, origin, *bounds)


def _notes(card: Material, group: Sequence[_Named]) -> str:
    parts = [card.notes] if card.notes else []
    for named in group:
        supplier = f" ({named.row.supplier})" if named.row.supplier else ""
        text = f"{named.row.called}{supplier}: {named.origin}."
        if not any(text in part for part in parts):
            parts.append(text)
    return " ".join(parts)[:1900]


def _lot(named: _Named) -> PlannedLot:
    row = named.row
    trade = f"Trade name {row.name}. " if row.name and row.name != named.match.inci else ""
    return PlannedLot(
        code=row.lot,
        material=named.match.material,
        supplier=row.supplier,
        received_on=row.received_on,
        expires_on=row.expires_on,
        note=f"{trade}{row.note}".strip(),
        place=named.lot_place,
        values={name: value[0] for name, value in row.values.items()},
    )
