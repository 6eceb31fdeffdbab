"""Reading an archive that may be damaged or hostile: judged before and while it is read.

Nothing is ever unpacked to a path: an archive holds named entries, and only the names that an
archive of zincite has are read, each in bounded memory and against its hash.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from zincite.errors import NotebookError
from zincite.notebook.archive_layout import (
    BLOBS,
    EVENTS,
    LARGEST_LINE,
    LARGEST_MANIFEST,
    LARGEST_RATIO,
    MANIFEST,
    RATIO_COUNTS_ABOVE,
    BlobList,
    Manifest,
)
from zincite.notebook.chain import Event, body_text
from zincite.notebook.writer import LARGEST_FILE

__all__ = ["ArchiveReader", "open_archive"]

_BLOB = re.compile(re.escape(BLOBS) + "[0-9a-f]{64}")
_KEYS = {"at", "body", "hash", "kind", "noun", "prev", "seq", "subject", "who"}
_PACKINGS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    UnicodeError,
    OverflowError,
    IndexError,
)


class ArchiveReader:
    """An archive whose entries have passed as an archive's.

    Attributes
    ----------
    name : str
        For messages.
    manifest : Manifest
    blobs : frozenset of str
        SHA-256 of each kept file.
    """

    def __init__(self, name: str, archive: zipfile.ZipFile) -> None:
        self.name = name
        self._archive = archive
        self._entries = _checked(name, archive)
        with _whole(name):
            content = archive.read(self._entries[MANIFEST])
        self.manifest = Manifest.from_bytes(name, content)
        self.blobs = frozenset(n.removeprefix(BLOBS) for n in self._entries if _BLOB.fullmatch(n))
        if len(self.blobs) != self.manifest.files:
            raise NotebookError(
                f"{name} holds {len(self.blobs)} kept files, expected {self.manifest.files} as "
                f"its {MANIFEST} says"
            )

    def files(self) -> Iterator[tuple[str, bytes]]:
        """Give every kept file with its hash, in order.

        Raises
        ------
        NotebookError
            If one is not what its name says, or the list is not the manifest's.
        """
        files = BlobList()
        for sha256 in sorted(self.blobs):
            with _whole(self.name):
                data = self._archive.read(self._entries[BLOBS + sha256])
            if hashlib.sha256(data).hexdigest() != sha256:
                raise NotebookError(
                    f"{self.name}: kept file {sha256[:12]} was changed, expected the bytes its "
                    "name is the hash of"
                )
            files.add(sha256, len(data))
            yield sha256, data
        if (files.bytes, files.sha256) != (self.manifest.files_bytes, self.manifest.files_sha256):
            raise NotebookError(
                f"{self.name}: the kept files are not those that its {MANIFEST} counts, expected "
                "an archive as it was written"
            )

    def events(self) -> Iterator[tuple[Event, dict[str, Any]]]:
        """Give every event in order, with its body read.

        Raises
        ------
        NotebookError
            If a line is no event, or the lines are not the manifest's.
        """
        digest, length, count = hashlib.sha256(), 0, 0
        for line in self._lines():
            count += 1
            digest.update(line)
            length += len(line)
            yield _event(f"{self.name}: {EVENTS} line {count}", line)
        said = self.manifest
        if (count, length, digest.hexdigest()) != (
            said.events,
            said.events_bytes,
            said.events_sha256,
        ):
            raise NotebookError(
                f"{self.name}: {EVENTS} holds {count} events and is not as its {MANIFEST} says, "
                f"expected {said.events} events as they were written"
            )

    def _lines(self) -> Iterator[bytes]:
        with _whole(self.name):
            lines = self._archive.open(self._entries[EVENTS])
        with lines:
            while True:
                with _whole(self.name):
                    line = lines.readline(LARGEST_LINE + 1)
                if not line:
                    return
                if len(line) > LARGEST_LINE:
                    raise NotebookError(
                        f"{self.name}: {EVENTS} has a line of more than {LARGEST_LINE:,} bytes, "
                        "expected one event a line"
                    )
                yield line


@contextlib.contextmanager
def open_archive(path: str | Path) -> Iterator[ArchiveReader]:
    """Give an archive to read.

    Parameters
    ----------
    path : str or Path

    Raises
    ------
    NotebookError
        If there is none, or its entries, sizes or manifest are not an archive's.
    """
    name = str(path)
    try:
        opened = zipfile.ZipFile(path)
    except (*_BROKEN, ValueError, MemoryError):
        raise NotebookError(
            f"{name} is no whole .zip file, expected an archive made by "
            "`zincite notebook archive`: it is something else, cut short or damaged"
        ) from None
    except OSError as error:
        raise NotebookError(
            f"{name}: cannot be read ({error.strerror or 'no usable name'}), expected an archive "
            "made by `zincite notebook archive`"
        ) from None
    with opened:
        yield ArchiveReader(name, opened)


@contextlib.contextmanager
def _whole(name: str) -> Iterator[None]:
    """Say what damage inside the zip means."""
    try:
        yield
    except (*_BROKEN, OSError) as error:
        raise NotebookError(
            f"{name}: the .zip file is damaged ({' '.join(str(error).split())[:120]}), expected "
            "an archive as it was written"
        ) from None


def _checked(name: str, archive: zipfile.ZipFile) -> dict[str, zipfile.ZipInfo]:
    """Return the entries by name, all of them an archive's and of sizes that can be true."""
    names = archive.namelist()
    for needed in (MANIFEST, EVENTS):
        if needed not in names:
            raise NotebookError(
                f"{name} holds no {needed}, expected an archive made by `zincite notebook archive`"
            )
    entries: dict[str, zipfile.ZipInfo] = {}
    for entry in archive.infolist():
        # orig_filename: a name with a zero byte is cut in filename
        if entry.orig_filename not in (EVENTS, MANIFEST) and not _BLOB.fullmatch(
            entry.orig_filename
        ):
            raise NotebookError(
                f"{name} holds {entry.orig_filename[:80]!r}, expected only {MANIFEST}, {EVENTS} "
                f"and {BLOBS}<sha256>"
            )
        if entry.orig_filename in entries:
            raise NotebookError(f"{name} holds {entry.orig_filename} twice, expected it once")
        _check_entry(name, entry)
        entries[entry.orig_filename] = entry
    # entries that lie over each other unpack to more than the file can hold
    if sum(entry.compress_size for entry in entries.values()) > archive.start_dir:
        raise NotebookError(f"{name}: its entries overlap, expected one after the other")
    return entries


def _check_entry(name: str, entry: zipfile.ZipInfo) -> None:
    where = f"{name}: {entry.orig_filename[:80]}"
    if entry.flag_bits & 1:
        raise NotebookError(f"{where} is protected by a password, expected none")
    if entry.compress_type not in _PACKINGS:
        raise NotebookError(f"{where} is packed by an unknown method, expected deflate or none")
    largest = {MANIFEST: LARGEST_MANIFEST, EVENTS: None}.get(entry.orig_filename, LARGEST_FILE)
    if largest is not None and entry.file_size > largest:
        raise NotebookError(
            f"{where} unpacks to {entry.file_size:,} bytes, expected at most {largest:,}"
        )
    if entry.file_size > LARGEST_RATIO * entry.compress_size + RATIO_COUNTS_ABOVE:
        raise NotebookError(
            f"{where} unpacks to {entry.file_size:,} bytes from {entry.compress_size:,}, expected "
            f"at most {LARGEST_RATIO} times as many"
        )


def _event(where: str, line: bytes) -> tuple[Event, dict[str, Any]]:
    try:
        found = json.loads(line)
        if not isinstance(found, dict) or set(found) != _KEYS:
            raise ValueError
        body, seq = found.pop("body"), found["seq"]
        if not isinstance(body, dict) or not isinstance(seq, int) or isinstance(seq, bool):
            raise ValueError
        if not all(isinstance(value, str) for key, value in found.items() if key != "seq"):
            raise ValueError
        return Event(body=body_text(body), **found), body
    except (ValueError, RecursionError):
        raise NotebookError(
            f"{where} is no event, expected one line of JSON as `zincite notebook archive` "
            "writes it"
        ) from None
