"""Plate, spot and state of each spectrum from its headers, sheet and the lines above it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from zincite.evaluation.assay.reading.axes import Block
from zincite.evaluation.assay.reading.grid import Cell
from zincite.evaluation.assay.reading.views import View

__all__ = ["Label", "column_headers", "is_statistic", "label_columns", "region_texts", "settle"]

_PLATE = re.compile(
    r"(?<![a-z])(?:(?:plates?|platte|plaque|placa)[\s#.:-]*(?:no\.?|nr\.?|number|id)?[\s:#-]*"
    r"(\d+[a-z]?|[a-z])(?![a-z0-9])|(?:pl|p)[\s#.:-]*(\d+)(?!\d))",
    re.I,
)
_SPOT = re.compile(
    r"(?:(?<![a-z])|(?<=\d))(?:spot|position|pos|point|site|stelle|(?:mess)?punkt|reading|scan|"
    r"replicate|rep|s)[\s#.:-]*(?:no\.?|nr\.?|number)?[\s:#-]*(\d+[a-z]?|[a-z])(?![a-z0-9])",
    re.I,
)
_PAIR = re.compile(r"(?:(\d+)\s*[-/_]\s*|([A-Za-z])\s*[-/_]?\s*)(\d+)")
_PLATE_KEY = re.compile(
    r"(?:plate|platte|plaque|placa)\s*(?:no\.?|nr\.?|number|id|name)?\s*[:=#]?", re.I
)
_SPOT_KEY = re.compile(
    r"(?:spot|position|pos\.?|point|site|stelle|(?:mess)?punkt|scan|replicate|reading)\s*"
    r"(?:no\.?|nr\.?|number|id|name)?\s*[:=#]?",
    re.I,
)
_BEFORE = re.compile(
    r"(?<![a-z])(?:before|pre|vor|avant|initial|unirradiated|unexposed)(?![a-z])", re.I
)
_AFTER = re.compile(
    r"(?<![a-z])(?:after|post|nach|apr[e\u00e8]s|irradiated|exposed)(?![a-z])", re.I
)
_KEYS = {"plate": _PLATE_KEY, "spot": _SPOT_KEY}
_STATISTIC = re.compile(
    r"(?:mean|average|avg|mittel\w*|moyenne|sd|s\.d\.|std\w*|stdev|st(?:andard)?\.?\s?dev\w*|cv|rsd|"
    r"sem|min(?:imum)?|max(?:imum)?|median|variance|baseline|base\s?line|dark|background|"
    r"temp(?:erature)?|time)\b",
    re.I,
)
_QUANTITY_WORDS = re.compile(
    r"transm\w*|absorb\w*|absorpt\w*|extin\w*|optical density|\babs\b|\bo\.?d\b|\bnm\b|%\s?t\b|"
    r"\bt\s?%|[(\[]\s*(?:a\.?\s?u?\.?|t|fraction)\s*[)\]]|^\s*(?:a|t|a\.?\s?u\.?)\s*$",
    re.I,
)
_DEPTH = 8


@dataclass(frozen=True, slots=True)
class Label:
    """Who a spectrum is.

    Attributes
    ----------
    name : str
        Nearest header text.
    plate, spot : str
        Labels as printed, "" where unknown.
    condition : str
        "before", "after" or "".
    """

    name: str = ""
    plate: str = ""
    spot: str = ""
    condition: str = ""


def is_statistic(name: str) -> bool:
    """Return whether a header names a mean, a spread, a baseline or a time, not a spectrum."""
    return bool(_STATISTIC.match(name.strip()))


def column_headers(block: Block, column: int) -> list[tuple[int, Cell]]:
    """Return the header cells of a column with their lines, nearest first.

    A merged header fills the blanks to its right, as far as the block's columns reach.
    """
    view = block.view
    bottom = block.lines[0]
    top = 0 if view.turned else block.region_start
    found: list[tuple[int, Cell]] = []
    for line in range(bottom - 1, max(top - 1, bottom - 1 - _DEPTH), -1):
        if view.is_blank(line) and found:
            break
        cell = view.cell(line, column)
        if cell is None:
            cell = _filled_from_left(block, line, column)
        if cell is not None:
            found.append((line, cell))
    return found


def _filled_from_left(block: Block, line: int, column: int) -> Cell:
    for left in range(column - 1, block.columns.start - 1, -1):
        cell = block.view.cell(line, left)
        if cell is not None:
            return cell if isinstance(cell, str) else None
    return None


def region_texts(block: Block) -> list[str]:
    """Return the texts of the lines above a block in the file, nearest first."""
    view = block.view
    texts: list[str] = []
    if view.turned:
        for column in range(block.column, block.region_start - 1, -1):
            cells = [view.cell(line, column) for line in range(min(len(view.lines), 60))]
            texts += _keyed(cells)
        return texts
    right = block.columns.stop
    for line in range(block.lines[0] - 1, block.region_start - 1, -1):
        texts += _keyed(view.lines[line][block.left_neighbour + 1 : max(right, block.column + 1)])
    return texts


def _keyed(cells: Sequence[Cell]) -> list[str]:
    """Return a line's texts, a key and the value beside it as one ("Plate: 2")."""
    filled = [cell for cell in cells if cell is not None][:60]
    texts = [cell for cell in filled if isinstance(cell, str)]
    if len(filled) >= 2 and isinstance(filled[0], str):
        second = filled[1]
        value = f"{second:g}" if isinstance(second, float) else second
        if _PLATE_KEY.fullmatch(filled[0].strip()) or filled[0].rstrip().endswith((":", "=")):
            texts.insert(0, f"{filled[0][:80].rstrip(':= ')} {value}")
    return texts


def label_columns(block: Block, columns: Sequence[int]) -> list[Label]:
    """Return the label of each column of a block, as far as its headers say."""
    headers = {column: column_headers(block, column) for column in columns}
    region = region_texts(block)
    sheet = block.view.sheet
    plate = _first(_PLATE, [*region, sheet])
    numbers = _numbered(block.view, columns, headers)
    pairs = _pairs(columns, headers)
    beside = {key: _named_beside(block, pattern) for key, pattern in _KEYS.items()}
    labels = []
    for column in columns:
        texts = [cell for _, cell in headers[column] if isinstance(cell, str)]
        name = next((text for text in texts if not _is_only_quantity(text)), "")
        own_plate, own_spot = _first(_PLATE, texts), _first(_SPOT, texts)
        if not own_plate and not own_spot and column in pairs:
            own_plate, own_spot = pairs[column]
        own_plate = own_plate or _keyed_header(block, column, _PLATE_KEY) or beside["plate"]
        own_spot = _keyed_header(block, column, _SPOT_KEY) or own_spot or beside["spot"]
        labels.append(
            Label(
                name=name[:60],
                plate=own_plate or plate,
                spot=own_spot or numbers.get(column, ""),
                condition=_condition(texts) or _condition([sheet, *region]),
            )
        )
    return labels


def _keyed_header(block: Block, column: int, key: re.Pattern[str]) -> str:
    """Return a column's cell on the header line that its axis names "Plate" or "Spot"."""
    view = block.view
    top = 0 if view.turned else block.region_start
    for line in range(block.lines[0] - 1, max(top - 1, block.lines[0] - 1 - _DEPTH), -1):
        name = view.cell(line, block.column)
        if not (isinstance(name, str) and key.fullmatch(name.strip())):
            continue
        if _is_sentence(block, line):
            continue
        for left in range(column, block.columns.start - 1, -1):
            cell = view.cell(line, left)  # a merged plate fills the blanks to its right
            if cell is not None:
                return _label_text(cell)
    return ""


def _is_sentence(block: Block, line: int) -> bool:
    """Return whether a line is clutter such as "Scan speed: 120 nm/min" that blanks cut to cells.

    It is longer than the table, or one of its cells ends in a colon.
    """
    view = block.view
    if any(view.cell(line, c) is not None for c in range(block.columns.stop, view.width)):
        return True
    cells = (view.cell(line, c) for c in block.columns)
    return any(isinstance(cell, str) and cell.strip().endswith(":") for cell in cells)


def _named_beside(block: Block, key: re.Pattern[str]) -> str:
    """Return the one value of a column "Plate" or "Spot" left of the wavelengths, "" if none."""
    view = block.view
    if block.header_line < 0:
        return ""
    for column in range(block.left_neighbour + 1, block.column):
        name = view.cell(block.header_line, column)
        if isinstance(name, str) and key.fullmatch(name.strip()):
            values = {view.cell(line, column) for line in block.lines} - {None}
            if len(values) == 1:
                return _label_text(values.pop())
    return ""


def _label_text(cell: Cell) -> str:
    return f"{cell:g}" if isinstance(cell, float) else (cell or "").strip()[:30]


def _is_only_quantity(text: str) -> bool:
    return not re.sub(r"[\W\d_]", "", _QUANTITY_WORDS.sub("", text[:120].replace("_", " ")))


def _first(pattern: re.Pattern[str], texts: Sequence[str]) -> str:
    for text in texts:
        found = pattern.search(text[:120].replace("_", " "))
        if found:
            return next(group for group in found.groups() if group).upper()
    return ""


def _condition(texts: Sequence[str]) -> str:
    for text in texts:
        low = text[:120].replace("_", " ")
        before, after = bool(_BEFORE.search(low)), bool(_AFTER.search(low))
        if before != after:
            return "before" if before else "after"
    return ""


def _numbered(
    view: View, columns: Sequence[int], headers: dict[int, list[tuple[int, Cell]]]
) -> dict[int, str]:
    """Return spot numbers where the nearest header line numbers all columns (1, 2, 3)."""
    if len(columns) < 2:
        return {}
    lines = {cells[0][0] for cells in headers.values() if cells}
    if len(lines) != 1 or not all(headers.values()):
        return {}
    firsts = [headers[column][0][1] for column in columns]
    if not all(isinstance(cell, float) and cell == int(cell) and cell >= 0 for cell in firsts):
        return {}
    return {column: f"{cell:g}" for column, cell in zip(columns, firsts, strict=True)}


def _pairs(
    columns: Sequence[int], headers: dict[int, list[tuple[int, Cell]]]
) -> dict[int, tuple[str, str]]:
    """Return plate and spot where every column is named as "1-3" or "A3"."""
    pairs: dict[int, tuple[str, str]] = {}
    for column in columns:
        texts = [cell for _, cell in headers[column] if isinstance(cell, str)]
        found = _PAIR.fullmatch(texts[0].strip()[:20]) if texts else None
        if found is None:
            return {}
        pairs[column] = ((found[1] or found[2]).upper(), found[3])
    return pairs if len(set(pairs.values())) == len(pairs) else {}


def settle(groups: Sequence[Sequence[Label]]) -> tuple[list[Label], tuple[str, ...]]:
    """Return complete, distinct labels of all blocks' columns in file order, and notes.

    Where no plate is named, blocks of several spectra are plates; otherwise there is one plate.
    """
    several = len(groups) > 1 and any(len(group) > 1 for group in groups)
    labels: list[Label] = []
    used: Counter[tuple[str, str, str]] = Counter()
    notes: list[str] = []
    counts: Counter[tuple[str, str]] = Counter()
    for number, group in enumerate(groups, start=1):
        for label in group:
            plate = label.plate or (str(number) if several else "1")
            counts[plate, label.condition] += 1
            spot = label.spot or str(counts[plate, label.condition])
            used[plate, spot, label.condition] += 1
            times = used[plate, spot, label.condition]
            if times > 1:
                notes.append(
                    f"Plate {plate} spot {spot} occurs again; its reading {times} is called "
                    f"spot '{spot} ({times})'."
                )
                spot = f"{spot} ({times})"
            name = label.name or f"plate {plate} spot {spot}"
            labels.append(replace(label, name=name, plate=plate, spot=spot))
    if len(notes) > 3:
        notes = [*notes[:2], f"{len(notes) - 2} more spots occur again."]
    if labels and not any(label.plate for group in groups for label in group):
        notes.append(
            "No plate is named: "
            + ("each block counts as a plate." if several else "all spectra count as one plate.")
        )
    return labels, tuple(notes)
