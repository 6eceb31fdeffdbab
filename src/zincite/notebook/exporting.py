"""Taking the notebook's tables out: one workbook, one JSON document, or delimited text."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from zincite.errors import InputError
from zincite.notebook.formats.delimited import write_delimited
from zincite.notebook.formats.document import write_document
from zincite.notebook.formats.workbook import write_workbook
from zincite.notebook.frames.choosing import project_id
from zincite.notebook.frames.columns import FrameTable, frame_tables
from zincite.notebook.frames.reading import Rows, count_rows, read_rows
from zincite.notebook.fresh_files import fresh_file
from zincite.notebook.records import SOFTWARE
from zincite.notebook.schema import event
from zincite.notebook.store import Notebook

__all__ = ["Exported", "export_notebook"]

Progress = Callable[[str, int, int], None]

_ENDINGS = {".xlsx": "workbook", ".json": "document", ".csv": "table", ".zip": "tables"}
_LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the same notebook gives the same file
_EVERY = 1000


@dataclass(frozen=True, slots=True)
class Exported:
    """What was taken out.

    Attributes
    ----------
    path : str
    tables : dict of str to int
        Rows of each table.
    project : str
        Code, "" for the whole notebook.
    events : int
    head_hash : str
        Number and hash of the last event: the notebook is as it was then.
    notes : tuple of str
        What the file could not hold.
    """

    path: str
    tables: dict[str, int]
    project: str
    events: int
    head_hash: str
    notes: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return what `--json` prints."""
        return {
            "export": self.path,
            "tables": self.tables,
            "project": self.project,
            "events": self.events,
            "head_hash": self.head_hash,
            "notes": list(self.notes),
        }


def export_notebook(
    notebook: Notebook,
    path: str | Path,
    *,
    tables: Sequence[str] = (),
    project: str = "",
    replace: bool = False,
    progress: Progress | None = None,
) -> Exported:
    """Write tables of the notebook as they are at one moment.

    Parameters
    ----------
    notebook : Notebook
    path : str or Path
        ".xlsx" makes a workbook, ".json" a document, ".csv" delimited text of one table, ".zip"
        or a folder delimited text of each table.
    tables : sequence of str
        Nouns or names of tables, as `frame_tables` takes them; all where left out.
    project : str
        Code of the project whose things are taken, all where left out.
    replace : bool
        Whether files that are there may be replaced.
    progress : callable, optional
        Gets the table's name, rows written of it and all of its rows.

    Returns
    -------
    Exported

    Raises
    ------
    InputError
        If the ending or a table is unknown, or the file cannot be written.
    NotebookError
        If there is no such project.
    """
    path = Path(path)
    chosen = frame_tables(tuple(tables))
    kind = _kind(path, chosen)
    with notebook.read() as connection:
        source = _Source(connection, chosen, project, progress)
        match kind:
            case "workbook":
                with fresh_file(path, "the workbook", replace=replace) as file:
                    losses = write_workbook(file, source.about, source.rows(), source.done)
                source.notes = losses.sentences()
            case "document":
                with fresh_file(path, "the document", replace=replace) as file:
                    write_document(file, source.about, source.rows(), source.done)
            case "table":
                with fresh_file(path, "the table", replace=replace) as file:
                    source.done(chosen[0].name, write_delimited(file, next(source.rows())))
            case "tables":
                with fresh_file(path, "the tables", replace=replace) as file:
                    _write_zip(file, source)
            case _:
                _write_folder(path, source, replace)
    about = source.about
    return Exported(
        str(path), source.written, project, about["events"], about["head_hash"], source.notes
    )


def _kind(path: Path, chosen: Sequence[FrameTable]) -> str:
    if path.is_dir() or (not path.suffix and not path.exists()):
        return "folder"
    kind = _ENDINGS.get(path.suffix.lower(), "")
    if not kind:
        raise InputError(
            f"{path}: cannot be written as {path.suffix!r}, expected .xlsx, .json, .zip, .csv or "
            "a folder"
        )
    if kind == "table" and len(chosen) != 1:
        names = ", ".join(frame.name for frame in chosen[:4])
        raise InputError(
            f"{path}: a .csv file holds one table and {len(chosen)} are asked for ({names} ...), "
            "expected the name of one, a folder, .zip, .xlsx or .json"
        )
    return kind


class _Source:
    """The tables to write, and what was written of them."""

    def __init__(
        self,
        connection: Connection,
        chosen: Sequence[FrameTable],
        project: str,
        progress: Progress | None,
    ) -> None:
        self._connection, self._chosen, self._progress = connection, chosen, progress
        self._project = project_id(connection, project) if project else ""
        self.about = _about(connection, project)
        self.written: dict[str, int] = {}
        self.notes: tuple[str, ...] = ()

    def rows(self) -> Iterator[Rows]:
        """Give each table in turn."""
        for frame in self._chosen:
            rows = read_rows(self._connection, frame, self._project)
            if self._progress is not None:
                total = count_rows(self._connection, frame, self._project)
                rows = Rows(rows.name, rows.columns, _told(rows, total, self._progress))
            yield rows

    def done(self, name: str, count: int) -> None:
        """Note how many rows a table had."""
        self.written[name] = count


def _about(connection: Connection, project: str) -> dict[str, Any]:
    """Return what stands on the first sheet: when and of what the tables are."""
    last = connection.execute(
        sa.select(event.c.seq, event.c.hash, event.c.at).order_by(event.c.seq.desc()).limit(1)
    ).first()
    return {
        "events": 0 if last is None else int(last.seq),
        "head_hash": "" if last is None else str(last.hash),
        "last_event_at": "" if last is None else str(last.at),
        "project": project,
        "software": SOFTWARE,
    }


def _told(rows: Rows, total: int, progress: Progress) -> Iterator[tuple[Any, ...]]:
    progress(rows.name, 0, total)
    for count, row in enumerate(rows.values, start=1):
        yield row
        if count % _EVERY == 0:
            progress(rows.name, count, total)


def _told_about(source: _Source) -> Rows:
    return Rows("notebook", ("what", "value"), iter(source.about.items()))


def _write_zip(file: BinaryIO, source: _Source) -> None:
    with zipfile.ZipFile(file, "w") as archive:
        for rows in (_told_about(source), *source.rows()):
            entry = zipfile.ZipInfo(f"{rows.name}.csv", _LONG_AGO)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            with archive.open(entry, "w", force_zip64=True) as table:
                count = write_delimited(table, rows)  # type: ignore[arg-type]
            if rows.name != "notebook":
                source.done(rows.name, count)


def _write_folder(path: Path, source: _Source, replace: bool) -> None:
    try:
        path.mkdir(exist_ok=True)
        there = sorted(p.name for p in path.iterdir() if p.suffix == ".csv")
    except OSError as error:
        raise InputError(
            f"{path}: the folder cannot be used ({error.strerror}), expected one that may be made "
            "and written to"
        ) from None
    if there and not replace:
        raise InputError(
            f"{path}: holds {there[0]} already, expected a new folder, or --force to replace it"
        )
    for rows in (_told_about(source), *source.rows()):
        with fresh_file(path / f"{rows.name}.csv", "the table", replace=replace) as file:
            count = write_delimited(file, rows)
        if rows.name != "notebook":
            source.done(rows.name, count)
