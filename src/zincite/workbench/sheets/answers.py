"""What a person says about a file where it does not say it itself, now or at an earlier import."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from zincite.errors import InputError
from zincite.evaluation.assay.reading.files import shown
from zincite.formula.documents import read_document
from zincite.formula.values import check_keys
from zincite.workbench.sheets.cells import Sheet
from zincite.workbench.sheets.words import ROLES, plain

__all__ = ["Answers", "LayoutMapping", "answers_of", "fingerprint"]


@dataclass(frozen=True, slots=True)
class LayoutMapping:
    """What is remembered of one layout.

    Attributes
    ----------
    columns : dict of str to str
        Roles by header text, in plain words.
    names : dict of str to str
        Ids of cards by name, in plain words.
    """

    columns: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)

    def to_dict(self) -> dict[str, dict[str, str]]:
        """Return what is kept."""
        return {"columns": dict(sorted(self.columns.items())),
                "names": dict(sorted(self.names.items()))}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Answers:
    """All that is known beside the file.

    Attributes
    ----------
    columns : dict of str to str
        Roles by letter, number or header text, as the user gave them now.
    names : dict of str to str
        Ids of cards by name in plain words, as the user gave them now.
    remembered : mapping of str to LayoutMapping
        By the fingerprint of the layout.
    sheet, emulsion, rest, code : str
        The sheet to read; emulsion type; name of the ingredient that fills up to 100 %; code.
    new_cards : bool
        Whether unknown names get cards of their own.
    """

    columns: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    remembered: Mapping[str, LayoutMapping] = field(default_factory=dict)
    sheet: str = ""
    emulsion: str = ""
    rest: str = ""
    code: str = ""
    new_cards: bool = False

    def column_role(self, sheet: Sheet, column: int, header: str, layout: str) -> tuple[str, str]:
        """Return the role that was answered for a column and how, "" where none was."""
        letter = sheet.column_name(column).split()[-1]
        for key, role in self.columns.items():
            if key == letter or (header and plain(key) == plain(header)):
                return role, "as you said"
        known = self.remembered.get(layout)
        role = known.columns.get(plain(header), "") if known else ""
        return role, "remembered" if role else ""

    def header_role(self, text: str) -> str:
        """Return the role that was answered for a header text, whatever its layout, else ""."""
        key = plain(text)
        given = {plain(header): role for header, role in self.columns.items()}
        known = [given, *(mapping.columns for mapping in self.remembered.values())]
        return next((columns[key] for columns in known if key and key in columns), "")

    def name_id(self, name: str, layout: str) -> tuple[str, str]:
        """Return the card that was answered for a name and how, "" where none was."""
        key = plain(name)
        if key in self.names:
            return self.names[key], "as you said"
        here = self.remembered.get(layout)
        for mapping in (*([here] if here else []), *self.remembered.values()):
            if key in mapping.names:
                return mapping.names[key], "remembered"
        return "", ""


def fingerprint(kind: str, headers: list[str]) -> str:
    """Return the fingerprint of a layout: its kind and header texts, whatever their case.

    Examples
    --------
    >>> fingerprint("formula", ["Ingredient", "%"]) == fingerprint("formula", ["INGREDIENT", " %"])
    True
    """
    body = json.dumps([kind, [plain(text) for text in headers]], ensure_ascii=True)
    return hashlib.sha256(body.encode()).hexdigest()


def answers_of(
    maps: tuple[str, ...] = (),
    columns: tuple[str, ...] = (),
    *,
    remembered: Mapping[str, LayoutMapping] | None = None,
    sheet: str = "",
    emulsion: str = "",
    rest: str = "",
    code: str = "",
    new_cards: bool = False,
) -> Answers:
    """Return the answers of a command's options.

    Parameters
    ----------
    maps : tuple of str
        "Name=card-id", or the name of a TOML file with `[names]` and `[columns]`.
    columns : tuple of str
        "Header=role" or "D=role".

    Raises
    ------
    InputError
        If one is not of that form or names an unknown role.
    """
    names: dict[str, str] = {}
    roles: dict[str, str] = {}
    for text in maps:
        if text.lower().endswith(".toml") and "=" not in text:
            _add_file(text, names, roles)
        else:
            name, key = _pair(text, "--map", "'Name=card-id' or a .toml file")
            names[plain(name)] = key
    for text in columns:
        header, role = _pair(text, "--column", "'Header=role' or 'D=role'")
        _add_role(roles, header, role, f"--column {shown(text)}")
    return Answers(roles, names, remembered or {}, sheet, emulsion, rest, code, new_cards)


def _pair(text: str, option: str, expected: str) -> tuple[str, str]:
    name, sign, key = (part.strip() for part in text.rpartition("="))
    if not sign or not plain(name) or not key:
        raise InputError(f"{option} is {shown(text)}, expected {expected}")
    return name, key


def _add_role(roles: dict[str, str], header: str, role: str, where: str) -> None:
    if role not in ROLES:
        raise InputError(f"{where}: role is {shown(role)}, expected one of {', '.join(ROLES)}")
    roles[header] = role


def _add_file(path: str, names: dict[str, str], roles: dict[str, str]) -> None:
    document = read_document(path, "a mapping")
    place = document.top()
    check_keys(document.data, ("names", "columns"), place)
    for key, target in (("names", names), ("columns", None)):
        table = document.data.get(key, {})
        if not isinstance(table, dict) or not all(isinstance(v, str) for v in table.values()):
            place.fail(f'[{key}] is no table of texts, expected lines such as "Name" = "value"')
        for name, value in table.items():
            if target is None:
                _add_role(roles, name, value, place.describe())
            else:
                target[plain(name)] = value
