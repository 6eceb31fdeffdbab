"""Archiving a whole notebook into one .zip file that any empty notebook can be restored from."""

from __future__ import annotations

import hashlib
import json
import zipfile
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import NotebookError
from zincite.notebook.archive_layout import (
    BLOBS,
    EVENTS,
    LARGEST_LINE,
    LARGEST_RATIO,
    LEFT_OUT,
    MANIFEST,
    RATIO_COUNTS_ABOVE,
    BlobList,
    Manifest,
)
from zincite.notebook.chain import GENESIS, event_hash
from zincite.notebook.fresh_files import fresh_file
from zincite.notebook.migrating import schema_version
from zincite.notebook.records import SOFTWARE
from zincite.notebook.schema import NOUNS, blob, event
from zincite.notebook.store import Notebook

__all__ = ["Archived", "archive_notebook"]

Progress = Callable[[int, int], None]

_BATCH = 1000
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""Time of every entry: the archive of one notebook is always the same."""
_PACKED_WELL = LARGEST_RATIO // 2


@dataclass(frozen=True, slots=True)
class Archived:
    """An archive that was written.

    Attributes
    ----------
    path : str
    sha256 : str
        Of the archive itself.
    bytes : int
    manifest : Manifest
    """

    path: str
    sha256: str
    bytes: int
    manifest: Manifest

    @property
    def left_out(self) -> tuple[str, ...]:
        """What no archive holds."""
        return LEFT_OUT

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "archive": self.path,
            "archive_sha256": self.sha256,
            "archive_bytes": self.bytes,
            "events": self.manifest.events,
            "head_hash": self.manifest.head_hash,
            "kept_files": self.manifest.files,
            "kept_bytes": self.manifest.files_bytes,
            "nouns": dict(self.manifest.nouns),
            "left_out": list(self.left_out),
        }


def archive_notebook(
    notebook: Notebook,
    path: str | Path,
    *,
    replace: bool = False,
    progress: Progress | None = None,
) -> Archived:
    """Write everything but passwords and sessions into one .zip file.

    Parameters
    ----------
    notebook : Notebook
        Read at one moment, whatever others write meanwhile.
    path : str or Path
        The file; it appears when it is finished.
    replace : bool
        Whether a file that is there may be replaced.
    progress : callable, optional
        Gets events and kept files written, and all of them.

    Returns
    -------
    Archived

    Raises
    ------
    NotebookError
        If the chain does not hold or a kept file was changed: the archive would not restore.
    InputError
        If the file cannot be written.
    """
    path = Path(path)
    layout = schema_version(notebook.engine, notebook.name)
    with fresh_file(path, "the archive", replace=replace) as file:
        with notebook.read() as connection:
            source = _Source(connection, notebook.name, layout)
            manifest = _write(source, file, progress)
        file.flush()
        size, digest = file.tell(), _digest(Path(file.name))
    return Archived(str(path), digest, size, manifest)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


@dataclass(frozen=True, slots=True)
class _Source:
    connection: Connection
    name: str
    layout: str

    def count(self, table: sa.Table) -> int:
        found = self.connection.execute(sa.select(sa.func.count()).select_from(table))
        return int(found.scalar_one())


def _write(source: _Source, file: BinaryIO, progress: Progress | None) -> Manifest:
    made = _attempt(source, file, zipfile.ZIP_DEFLATED, progress)
    if made is None:  # its events pack so well that it would look like a bomb
        file.seek(0)
        file.truncate()
        made = _attempt(source, file, zipfile.ZIP_STORED, progress)
        assert made is not None
    return made


def _attempt(
    source: _Source, file: BinaryIO, method: int, progress: Progress | None
) -> Manifest | None:
    total = source.count(blob) + source.count(event)

    def done(count: int) -> None:
        if progress is not None:
            progress(count, total)

    with zipfile.ZipFile(file, "w") as archive:
        files = _write_blobs(source, archive, done)
        written = _write_events(source, archive, method, lambda count: done(files.count + count))
        packed = archive.getinfo(EVENTS)
        if packed.file_size > LARGEST_RATIO * packed.compress_size + RATIO_COUNTS_ABOVE:
            return None
        manifest = Manifest(
            layout=source.layout,
            software=SOFTWARE,
            events=written.count,
            head_hash=written.head,
            nouns={noun: written.nouns[noun] for noun in NOUNS},
            events_bytes=packed.file_size,
            events_sha256=written.digest.hexdigest(),
            files=files.count,
            files_bytes=files.bytes,
            files_sha256=files.sha256,
        )
        archive.writestr(_entry(MANIFEST), manifest.to_bytes())
    return manifest


def _write_blobs(
    source: _Source, archive: zipfile.ZipFile, done: Callable[[int], None]
) -> BlobList:
    files = BlobList()
    for sha256 in sorted(source.connection.execute(sa.select(blob.c.sha256)).scalars()):
        data = _kept(source, sha256)
        _write_blob(archive, sha256, data)
        files.add(sha256, len(data))
        done(files.count)
    return files


@dataclass(slots=True)
class _Written:
    count: int = 0
    head: str = ""
    nouns: Counter[str] = field(default_factory=Counter)
    digest: Any = field(default_factory=hashlib.sha256)


def _write_events(
    source: _Source, archive: zipfile.ZipFile, method: int, done: Callable[[int], None]
) -> _Written:
    written = _Written()
    entry = _entry(EVENTS)
    entry.compress_type = method
    with archive.open(entry, "w", force_zip64=True) as lines:
        for row in _events(source):
            line = _line(source.name, row)
            lines.write(line)
            written.digest.update(line)
            written.nouns[row.noun] += row.kind == f"{row.noun} added"
            written.count, written.head = row.seq, row.hash
            if written.count % _BATCH == 0:
                done(written.count)
    done(written.count)
    return written


def _entry(name: str) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name, _LONG_AGO)
    made.compress_type = zipfile.ZIP_DEFLATED
    made.create_system = 3  # the same on every system
    made.external_attr = 0o644 << 16
    return made


def _kept(source: _Source, sha256: str) -> bytes:
    found = source.connection.execute(sa.select(blob.c.data).where(blob.c.sha256 == sha256))
    kept = found.scalar_one()
    data = kept.encode() if isinstance(kept, str) else bytes(kept)
    if hashlib.sha256(data).hexdigest() != sha256:
        raise NotebookError(
            f"{source.name}: kept file {sha256[:12]} was changed after it was kept, expected it "
            "as it was: see `zincite notebook verify` and restore a backup"
        )
    return data


def _write_blob(archive: zipfile.ZipFile, sha256: str, data: bytes) -> None:
    entry = _entry(BLOBS + sha256)
    # what packs better than the limit of unpacking would be refused as a bomb
    if len(data) > RATIO_COUNTS_ABOVE and len(data) > _PACKED_WELL * len(zlib.compress(data)):
        entry.compress_type = zipfile.ZIP_STORED
    archive.writestr(entry, data)


def _events(source: _Source) -> Iterator[Any]:
    """Give all events in order, each held against the chain."""
    before = GENESIS
    with source.connection.execution_options(yield_per=_BATCH).execute(
        event.select().order_by(event.c.seq)
    ) as found:
        for count, row in enumerate(found, start=1):
            made = event_hash(
                row.prev, row.seq, row.at, row.who, row.kind, row.noun, row.subject, row.body
            )
            if row.seq != count or row.prev != before or made != row.hash:
                raise NotebookError(
                    f"{source.name}: event {count} is not as the chain says, expected a notebook "
                    "that `zincite notebook verify` passes"
                )
            before = row.hash
            yield row


def _line(name: str, row: Any) -> bytes:
    """Return an event as canonical JSON; its body is canonical already and stays as hashed."""

    def said(text: str) -> str:
        return json.dumps(text, ensure_ascii=False)

    line = (
        f'{{"at":{said(row.at)},"body":{row.body},"hash":"{row.hash}","kind":{said(row.kind)},'
        f'"noun":{said(row.noun)},"prev":"{row.prev}","seq":{row.seq},'
        f'"subject":{said(row.subject)},"who":{said(row.who)}}}\n'
    ).encode()
    if len(line) > LARGEST_LINE or b"\n" in line[:-1]:
        raise NotebookError(
            f"{name}: event {row.seq} has {len(line):,} bytes, expected one line of at most "
            f"{LARGEST_LINE:,}"
        )
    return line
