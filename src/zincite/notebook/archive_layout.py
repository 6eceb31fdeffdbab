"""What lies in an archive of a whole notebook: entries, manifest, and the limits of each.

An archive is one .zip file, the same bytes for the same notebook and software:

- `blobs/<sha256>`: every kept file, byte for byte, named by its hash;
- `events.jsonl`: every event in order, one line of canonical JSON each, the body nested;
- `manifest.json`: versions, counts, the head of the chain and the hashes of the rest.

Passwords, sessions and counts of failed logins are left out: whoever restores sets new ones.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from zincite.errors import NotebookError
from zincite.notebook.writer import LARGEST_FILE

__all__ = [
    "BLOBS",
    "EVENTS",
    "FORMAT",
    "LARGEST_LINE",
    "LARGEST_MANIFEST",
    "LARGEST_RATIO",
    "LEFT_OUT",
    "MANIFEST",
    "RATIO_COUNTS_ABOVE",
    "BlobList",
    "Manifest",
]

BLOBS = "blobs/"
EVENTS = "events.jsonl"
MANIFEST = "manifest.json"

FORMAT = "zincite notebook archive 1"
LEFT_OUT = ("passwords", "sessions", "counts of failed logins")

LARGEST_MANIFEST = 2**16
LARGEST_LINE = LARGEST_FILE
"""Bytes of an event; each is in memory once."""
LARGEST_RATIO = 200
"""Times an entry may be larger than packed; kept files that pack better are stored unpacked."""
RATIO_COUNTS_ABOVE = 2**20
"""Bytes of an entry below which its ratio is not judged."""


class BlobList:
    """Count, size and hash over the list of kept files, in order of their names."""

    def __init__(self) -> None:
        self.count, self.bytes = 0, 0
        self._hash = hashlib.sha256()

    def add(self, sha256: str, size: int) -> None:
        """Take in the next one."""
        self.count += 1
        self.bytes += size
        self._hash.update(f"{sha256} {size}\n".encode())

    @property
    def sha256(self) -> str:
        """Hash over lines of name, blank and size."""
        return self._hash.hexdigest()


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an archive says of itself.

    Attributes
    ----------
    layout : str
        Layout of the tables, as the migrations number them.
    software : str
        Version of zincite that wrote it.
    events : int
    head_hash : str
        Hash of the last event, "" of an empty notebook.
    nouns : mapping of str to int
        How many of each there are.
    events_bytes, events_sha256 : int, str
        Of `events.jsonl`.
    files, files_bytes, files_sha256 : int, int, str
        Of the kept files, and of their list as `BlobList` hashes it.
    """

    layout: str
    software: str
    events: int
    head_hash: str
    nouns: Mapping[str, int]
    events_bytes: int
    events_sha256: str
    files: int
    files_bytes: int
    files_sha256: str

    def to_dict(self) -> dict[str, Any]:
        """Return what the archive holds as its manifest."""
        return {
            "format": FORMAT,
            "layout": self.layout,
            "software": self.software,
            "events": self.events,
            "head_hash": self.head_hash,
            "nouns": dict(self.nouns),
            "entries": {
                EVENTS: {"bytes": self.events_bytes, "sha256": self.events_sha256},
                BLOBS: {
                    "files": self.files,
                    "bytes": self.files_bytes,
                    "sha256_of_list": self.files_sha256,
                },
            },
            "left_out": list(LEFT_OUT),
        }

    def to_bytes(self) -> bytes:
        """Return it as JSON."""
        return (json.dumps(self.to_dict(), indent=1) + "\n").encode()

    @classmethod
    def from_bytes(cls, name: str, content: bytes) -> Manifest:
        """Read it.

        Raises
        ------
        NotebookError
            If it is none, or of a later format.
        """
        try:
            found = json.loads(content)
            form = found["format"]
        except (ValueError, KeyError, TypeError, RecursionError):
            raise _no_manifest(name) from None
        if form != FORMAT:
            raise NotebookError(
                f"{name} has the format {str(form)[:60]!r}, expected {FORMAT!r}: it was written "
                "by another version of zincite"
            )
        try:
            events, files = found["entries"][EVENTS], found["entries"][BLOBS]
            made = cls(
                layout=_text(found["layout"]),
                software=_text(found["software"]),
                events=_count(found["events"]),
                head_hash=_text(found["head_hash"]),
                nouns={_text(k): _count(v) for k, v in found["nouns"].items()},
                events_bytes=_count(events["bytes"]),
                events_sha256=_text(events["sha256"]),
                files=_count(files["files"]),
                files_bytes=_count(files["bytes"]),
                files_sha256=_text(files["sha256_of_list"]),
            )
        except (KeyError, TypeError, ValueError, AttributeError):
            raise _no_manifest(name) from None
        return made


def _no_manifest(name: str) -> NotebookError:
    return NotebookError(
        f"{name}: {MANIFEST} is damaged, expected an archive made by `zincite notebook archive`"
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _count(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise TypeError
    return value
