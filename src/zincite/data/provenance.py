"""Where each fact comes from: the keys that data files and docstrings cite.

The keys live in the files sources_*.toml of the data folder, one file per subject.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING

from zincite.errors import InputError, MissingDataError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["STATUSES", "Source", "source", "sources"]

STATUSES = ("read", "computed", "from memory", "invented")
"""How a source was used: seen, calculated by us, remembered and not seen, or made up (demo)."""

_FIELDS = (
    "title",
    "authors",
    "year",
    "locator",
    "licence",
    "transcription",
    "date",
    "status",
)


@dataclass(frozen=True, slots=True)
class Source:
    """One source as cited.

    Attributes
    ----------
    key : str
        Name that data files and docstrings use.
    title, authors, locator : str
        What it is, by whom, and where it is printed or kept.
    year : str
        Year of publication; "" if there is none.
    licence : str
        Terms under which the figures may be passed on.
    transcription : str
        How the figures came into the package.
    date : str
        Day of the transcription, ISO 8601.
    status : str
        One of `STATUSES`.
    """

    key: str
    title: str
    authors: str
    year: str
    locator: str
    licence: str
    transcription: str
    date: str
    status: str


def _entry(file_name: str, key: str, entry: object) -> Source:
    if not isinstance(entry, dict):
        raise InputError(f"{file_name}: {key} is {entry!r}, expected a table [{key}]")
    missing = [field for field in _FIELDS if field not in entry]
    if missing:
        raise InputError(f"{file_name}, [{key}]: {', '.join(missing)} missing, expected a value")
    status = str(entry["status"])
    if status not in STATUSES:
        raise InputError(
            f"{file_name}, [{key}]: status is {status!r}, expected one of {', '.join(STATUSES)}"
        )
    return Source(key=key, **{field: str(entry[field]) for field in _FIELDS})


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Return all sources by key, from every sources*.toml of the data folder.

    Returns
    -------
    Mapping of str to Source
        Read-only.

    Raises
    ------
    InputError
        If an entry is incomplete or a key occurs twice.
    """
    found: dict[str, Source] = {}
    for path in sorted(files("zincite.data").iterdir(), key=lambda item: item.name):
        if not (path.name.startswith("sources") and path.name.endswith(".toml")):
            continue
        for key, entry in tomllib.loads(path.read_text("utf-8")).items():
            if key in found:
                raise InputError(f"{path.name}: source {key} occurs twice, expected unique keys")
            found[key] = _entry(path.name, key, entry)
    return MappingProxyType(found)


def source(key: str) -> Source:
    """Return one source.

    Raises
    ------
    MissingDataError
        If no file has the key.
    """
    try:
        return sources()[key]
    except KeyError:
        raise MissingDataError(
            f"no source has the key {key!r}, expected one of sources()"
        ) from None
