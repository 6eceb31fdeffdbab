"""Restoring a whole notebook from its archive, into an empty one: all of it, or nothing."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError, NotebookError
from zincite.notebook.archive_layout import LEFT_OUT, Manifest
from zincite.notebook.archive_reading import ArchiveReader, open_archive
from zincite.notebook.migrating import known_layouts
from zincite.notebook.replaying import Replay
from zincite.notebook.schema import blob, event, metadata
from zincite.notebook.store import Notebook, open_notebook

__all__ = ["Unarchived", "restore_archive"]

Progress = Callable[[int, int], None]

_EVERY = 1000
_HEAD = re.compile("[0-9a-fA-F]{8,64}")


@dataclass(frozen=True, slots=True)
class Unarchived:
    """A notebook that was restored from an archive.

    Attributes
    ----------
    notebook, archive : str
        Where it is now, and from which file.
    manifest : Manifest
        What the archive said, and now holds of the notebook.
    """

    notebook: str
    archive: str
    manifest: Manifest

    @property
    def accounts(self) -> int:
        """How many accounts need a new password."""
        return self.manifest.nouns.get("account", 0)

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "notebook": self.notebook,
            "archive": self.archive,
            "events": self.manifest.events,
            "head_hash": self.manifest.head_hash,
            "kept_files": self.manifest.files,
            "kept_bytes": self.manifest.files_bytes,
            "nouns": dict(self.manifest.nouns),
            "left_out": list(LEFT_OUT),
            "accounts_without_password": self.accounts,
        }


def restore_archive(
    archive: str | Path,
    where: str | Path,
    *,
    head: str = "",
    progress: Progress | None = None,
) -> Unarchived:
    """Fill an empty notebook with everything that an archive holds.

    The chain is checked event by event and every kept file against its hash. Anything wrong, and
    the target is left as it was: a file that was not there is not there afterwards.

    Parameters
    ----------
    archive : str or Path
        Made by `archive_notebook`, of an SQLite file or a PostgreSQL database alike.
    where : str or Path
        A file that is not there yet, an empty notebook, or the URL of an empty database.
    head : str
        A head hash printed on a document, or its beginning of 8 digits or more: the archive must
        know it, or it is cut or of another notebook.
    progress : callable, optional
        Gets events and kept files restored, and all of them.

    Returns
    -------
    Unarchived

    Raises
    ------
    NotebookError
        If the archive is damaged, cut, changed, hostile or of a later version, or the target is
        not empty.
    ReadOnlyError
        If the target cannot be written.
    InputError
        If the head hash can be none.
    """
    if head and not _HEAD.fullmatch(head):
        raise InputError(
            f"the head hash is {head[:70]!r}, expected its first 8 to 64 digits, 0 to 9 and a to f"
        )
    with open_archive(archive) as source:
        _check_layout(source)
        with _target(where) as notebook:
            with notebook.write("zincite") as writer:
                _check_empty(notebook.name, writer.connection)
                _fill(writer.connection, source, head.lower(), progress)
            return Unarchived(notebook.name, source.name, source.manifest)


def _check_layout(source: ArchiveReader) -> None:
    known, found = known_layouts(), source.manifest.layout
    if found not in known:
        raise NotebookError(
            f"{source.name} has layout {found[:40]!r}, expected at most {known[-1]!r}: it was "
            "written by a later version of zincite"
        )


@contextlib.contextmanager
def _target(where: str | Path) -> Iterator[Notebook]:
    """Give the notebook to fill; a file that this made goes again where filling fails."""
    text = str(where)
    fresh = "://" not in text and not Path(text).exists()
    try:
        with open_notebook(where, create=True) as notebook:
            yield notebook
    except BaseException:
        if fresh:
            for ending in ("", "-wal", "-shm", "-journal"):
                with contextlib.suppress(OSError):
                    Path(text + ending).unlink()
        raise


def _check_empty(name: str, connection: Connection) -> None:
    events = connection.execute(sa.select(sa.func.max(event.c.seq))).scalar()
    if events:
        raise NotebookError(
            f"{name} holds {events} event{'' if events == 1 else 's'} already, expected an empty "
            "notebook or a file that is not there yet"
        )
    for table in metadata.sorted_tables:
        if connection.execute(sa.select(sa.literal(1)).select_from(table).limit(1)).first():
            raise NotebookError(
                f"{name} holds something already (table {table.name}), expected an empty notebook "
                "or a file that is not there yet"
            )


def _fill(
    connection: Connection, source: ArchiveReader, head: str, progress: Progress | None
) -> None:
    said = source.manifest
    total = said.files + said.events

    def done(count: int) -> None:
        if progress is not None:
            progress(count, total)

    for number, (sha256, data) in enumerate(source.files(), start=1):
        connection.execute(blob.insert().values(sha256=sha256, size=len(data), data=data))
        done(number)
    replay = Replay(connection, source.name, source.blobs)
    seen = not head
    for one, body in source.events():
        replay.take(one, body)
        seen = seen or one.hash.startswith(head)
        if one.seq % _EVERY == 0:
            done(said.files + one.seq)
    replay.flush()
    _check_whole(source.name, said, replay)
    if not seen:
        raise NotebookError(
            f"{source.name}: no event has the head hash {head[:16]}, expected the one printed: "
            "the archive is cut, or the document is of another notebook"
        )
    done(total)


def _check_whole(name: str, said: Manifest, replay: Replay) -> None:
    if replay.head != said.head_hash:
        raise NotebookError(
            f"{name}: the last event has the hash {replay.head[:16] or 'none'}, expected "
            f"{said.head_hash[:16] or 'none'} as its manifest says"
        )
    counted = {noun: count for noun, count in replay.nouns.items() if count}
    if counted != _standing(said.nouns):
        raise NotebookError(
            f"{name} holds other numbers of things than its manifest says, expected "
            + ", ".join(f"{count} {noun}" for noun, count in _standing(said.nouns).items())
        )


def _standing(nouns: Mapping[str, int]) -> dict[str, int]:
    return {noun: count for noun, count in nouns.items() if count}
