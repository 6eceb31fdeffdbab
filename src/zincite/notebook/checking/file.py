"""The SQLite file itself: its pages and indexes, and the index of the search."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError

from zincite.notebook.checking.findings import Findings
from zincite.notebook.engines import said

__all__ = ["check_file_pages", "check_search_index"]

_MOST = 5


def check_file_pages(connection: Connection, findings: Findings) -> None:
    """Let SQLite check its own file, and that what rows refer to is there."""
    for (line,) in connection.exec_driver_sql(f"PRAGMA integrity_check({_MOST})"):
        if line != "ok":
            findings.add(None, "the file", f"is damaged: {' '.join(str(line).split())}")
    for row in connection.exec_driver_sql("PRAGMA foreign_key_check").fetchmany(_MOST):
        findings.add(None, f"{row[0]}, row {row[1]}", f"refers to a {row[2]} that is not there")


def check_search_index(connection: Connection, findings: Findings) -> None:
    """Let SQLite compare the index of the search with the words; nothing is written."""
    try:
        connection.execute(
            sa.text("INSERT INTO search_index(search_index, rank) VALUES ('integrity-check', 1)")
        )
    except DBAPIError as error:
        found = f"differs from the words it is made of: {said(error)}"
        findings.add(None, "the index of the search", found)
